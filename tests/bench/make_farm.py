#!/usr/bin/env python3
"""Writes invented coral farms as tank files; the same arguments give the same bytes.

    make_farm.py tank FILE --groups 10000 --spots 2000
    make_farm.py folder FOLDER --tanks 40

Racks stand under two rows of bars; old bars are taken down and brighter ones hung.
"""
import argparse
import json
import math
import pathlib
import random

PROFILES = ["acropora", "montipora", "pocilloporid", "leather", "torch", "zoanthid"]
COURSES = {"old bars": {"on": "09:00", "off": "19:00"},
           "new bars": {"on": "10:00", "off": "20:00", "rise_minutes": 60, "fall_minutes": 60}}


def light_at(x, y, depth, spacing, brightest):
    """PPFD under bars that hang `spacing` cm apart along the raceway."""
    ripple = 1 + 0.25 * math.cos(2 * math.pi * x / spacing) * math.exp(-depth / 60)
    across = math.exp(-((y - 60) / 90) ** 2)
    return brightest * ripple * across * math.exp(-0.012 * depth)


def make_tank(name, groups, spots, unread, seed):
    """A tank of `groups` corals at `spots` spots, a share of which was not read."""
    draw = random.Random(seed)
    length = max(200, 4 * spots)
    places = []
    for number in range(spots):
        places.append({"name": f"rack {number // 20:03d} slot {number % 20:02d}",
                       "x_cm": round(draw.uniform(0, length), 1),
                       "y_cm": round(draw.uniform(5, 115), 1),
                       "depth_cm": draw.choice([10, 20, 35, 50]), "capacity": 40})
    surveys = []
    for light, dial, spacing, brightest in [("old bars", 100, 90, 160), ("new bars", 40, 120, 190)]:
        readings = {}
        for place in places:
            value = light_at(place["x_cm"], place["y_cm"], place["depth_cm"], spacing, brightest)
            noise = draw.gauss(1, 0.03)
            if light == "new bars" and draw.random() < unread:
                continue
            readings[place["name"]] = round(value * noise, 1)
        surveys.append({"dials": {light: dial}, "ppfd": readings})
    corals = []
    for number in range(groups):
        coral = {"name": f"frag {number:05d}", "profile": draw.choice(PROFILES),
                 "spot": places[number % spots]["name"]}
        if number % 7 == 3:
            coral["override"] = {"weekly_rise_percent": draw.choice([7, 8, 9, 10, 12])}
        if number % 11 == 5:
            coral["fixed"] = True
        corals.append(coral)
    return {"format": "slowdawn-tank/1", "name": name,
            "water": {"length_cm": length, "width_cm": 120, "depth_cm": 60},
            "lights": [{"name": light, "photoperiod": course} for light, course in COURSES.items()],
            "spots": places, "surveys": surveys, "groups": corals,
            "ramp": {"from": {"old bars": 100}, "to": {"new bars": 80}, "start": "2026-12-01"}}


def write(file, tank):
    file.write_text(json.dumps(tank, indent=1) + "\n", encoding="utf-8")


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("kind", choices=["tank", "folder"])
    parser.add_argument("target", type=pathlib.Path)
    parser.add_argument("--groups", type=int, default=10000)
    parser.add_argument("--spots", type=int, default=2000)
    parser.add_argument("--unread", type=float, default=0.0, help="share of spots not read")
    parser.add_argument("--tanks", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    if given.kind == "tank":
        write(given.target, make_tank("Raceway", given.groups, given.spots, given.unread,
                                      given.seed))
        return
    given.target.mkdir(parents=True, exist_ok=True)
    draw = random.Random(given.seed)
    for number in range(given.tanks):
        name = f"raceway-{number + 1:02d}"
        tank = make_tank(name, draw.randint(5, 40), draw.randint(5, 20), 0.0, given.seed + number)
        write(given.target / f"{name}.tank.json", tank)


if __name__ == "__main__":
    main()
