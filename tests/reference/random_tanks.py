#!/usr/bin/python3
"""Random tank files, for the tests that hold the planner against the reference.

Part of the independent second implementation (plan_reference.py); shares no code
with the program.  The same seed and options give the same files.

    random_tanks.py --seed N --count K --out DIR [--profiles DIR] [--zero-dials]

--profiles DIR    let some groups name a profile of this folder (else all are in place)
--zero-dials      also write ramps that name a light at 0 % where it matters whether
                  that light counts as one of the lights of ramp.from or ramp.to
"""

import argparse
import datetime
import json
import math
import os
import random

from plan_reference import Dimming, Photoperiod

LIGHT_NAMES = ["bars", "tubes", "left puck", "right puck", "blue channel",
               "white channel", "halide", "strip"]
SPOT_NAMES = ["crest", "east ledge", "west ledge", "cave mouth", "rubble", "sand"]
GROUP_NAMES = ["staghorn thicket", "chalice", "new frags", "elephant ear", "plate garden",
               "finger leather", "brain", "torch colony", "mushrooms", "bird's nest",
               "encrusting rim", "frag rack"]
TANK_NAMES = ["Stairwell reef", "Hall tank", "Quarantine cube", "Teaching lagoon",
              "Window box", "Deep shelf"]
STEPS = [1, 1, 2, 5, 5, 10, 0.5]
PACES = ["gentle", "standard", "brisk"]

# kind: (weight, whether the set of lights changes)
RAMPS = {
    "swap": (5, True), "add": (3, True), "remove": (3, True), "crossfade": (2, True),
    "up": (4, False), "down": (3, False), "mixed": (3, False), "still": (1, False),
}


def tidy(number):
    """A whole number as int, so that files read as a keeper would write them."""
    return int(number) if number == int(number) else number


def clock(minutes):
    return "%02d:%02d" % (minutes // 60 % 24, minutes % 60)


# ---------------------------------------------------------------- lights

def draw_on_off(rng):
    length = 15 * rng.randint(20, 52)                       # 5 to 13 h
    on = 15 * rng.randint(24, 52) if rng.random() < 0.8 else 15 * rng.randint(53, 95)
    spec = {"on": clock(on), "off": clock(on + length)}
    if rng.random() < 0.7:
        spec["rise_minutes"] = 5 * rng.randint(0, length // 15)
    if rng.random() < 0.7:
        spec["fall_minutes"] = 5 * rng.randint(0, length // 15)
    return spec


def draw_points(rng):
    length = 10 * rng.randint(36, 82)                       # 6 to 13 h 40
    on = 10 * rng.randint(30, 80) if rng.random() < 0.75 else 10 * rng.randint(81, 143)
    inner = sorted(rng.sample(range(10, length, 10), rng.randint(1, 5)))
    levels = [rng.choice([20, 35, 50, 62.5, 80, 90, 100]) for _ in inner]
    levels[rng.randrange(len(levels))] = 100
    points = [[on, 0]]
    if rng.random() < 0.3:
        points.append([on, rng.choice([10, 40, 70])])       # a step at lights on
    for minute, level in zip(inner, levels):
        points.append([on + minute, level])
        if rng.random() < 0.25:
            points.append([on + minute, rng.choice([15, 45, 75, 95])])
    if rng.random() < 0.3:
        points.append([on + length, rng.choice([10, 40, 70])])
    points.append([on + length, 0])
    today = [[clock(m), v] for m, v in points if m < 1440]
    tomorrow = [[clock(m), v] for m, v in points if m >= 1440]
    return {"points": tomorrow + today}


def draw_photoperiod(rng):
    while True:
        spec = draw_on_off(rng) if rng.random() < 0.6 else draw_points(rng)
        try:
            Photoperiod(spec)
        except AssertionError:
            continue
        return spec


def draw_dimming(rng):
    drives = sorted(rng.sample([10, 20, 25, 30, 40, 50, 60, 70, 75, 80, 90],
                               rng.randint(1, 4)))
    bend = rng.uniform(0.75, 1.5)
    pairs = []
    for drive in drives:
        output = round(100 * (drive / 100) ** bend * rng.uniform(0.96, 1.04), 1)
        low = pairs[-1][1] + 1 if pairs else 1
        pairs.append([drive, tidy(min(max(output, low), 99))])
    rising = all(a[1] < b[1] for a, b in zip(pairs, pairs[1:]))
    return pairs if rising else pairs[:1]


def draw_dial(rng):
    return {"lowest": rng.choice([0, 0, 5, 5, 20]), "highest": rng.choice([100, 100, 100, 90, 80]),
            "step": rng.choice(STEPS)}


def draw_lights(rng, count):
    lights = []
    for name in rng.sample(LIGHT_NAMES, count):
        light = {"name": name, "photoperiod": draw_photoperiod(rng)}
        if rng.random() < 0.85:
            light["dial"] = draw_dial(rng)
        if rng.random() < 0.5:
            light["dimming"] = draw_dimming(rng)
        lights.append(light)
    return lights


def dial_of(light):
    return {"lowest": 0, "highest": 100, "step": 1, **light.get("dial", {})}


def draw_setting(rng, light, low, high):
    """A dial between low and high, on the light's range; often on its steps."""
    dial = dial_of(light)
    low = max(round(low, 1), dial["lowest"], 1)
    high = max(min(round(high, 1), dial["highest"]), low)
    value = rng.uniform(low, high)
    if rng.random() < 0.6:
        value = round(value / dial["step"]) * dial["step"]
    else:
        value = round(value, rng.choice([0, 0, 1]))
    return tidy(min(max(value, low), high))


# ---------------------------------------------------------------- surveys

def draw_surveys(rng, lights, spots, factor, start):
    """The readings, and the true full outputs behind them."""
    brightness = {light["name"]: rng.uniform(0.5, 1.3) for light in lights}
    at_spot = {spot: rng.uniform(0.15, 1.0) for spot in spots}
    full = {light["name"]: {spot: 420 * brightness[light["name"]] * at_spot[spot]
                            * rng.uniform(0.75, 1.3) for spot in spots} for light in lights}
    phi = {light["name"]: Dimming(light.get("dimming")) for light in lights}

    def read(dials, spot):
        value = sum(full[n][spot] * phi[n](p) for n, p in dials.items()) / factor
        value *= rng.uniform(0.97, 1.03)
        return max(round(value, rng.choice([0, 0, 1])), 10)

    def plausible(dials):
        values = [sum(full[n][s] * phi[n](p) for n, p in dials.items()) / factor for s in spots]
        return min(values) >= 12 and max(values) <= 850

    def survey(dials, covered, repeats):
        taken = start - datetime.timedelta(days=rng.randint(1, 60))
        ppfd = {}
        for spot in covered:
            if repeats and rng.random() < 0.4:
                ppfd[spot] = [tidy(read(dials, spot)) for _ in range(rng.randint(2, 4))]
            else:
                ppfd[spot] = tidy(read(dials, spot))
        return {"taken": taken.isoformat(), "dials": dials, "ppfd": ppfd}

    surveys, repeats = [], rng.random() < 0.6
    for light in lights:
        name, highest = light["name"], dial_of(light)["highest"]
        levels = [p for p in (30, 40, 50, 60, 75, 80, 100) if p <= highest and plausible({name: p})]
        levels = levels or [highest]
        for k, level in enumerate(rng.sample(levels, min(len(levels), rng.choice([1, 1, 2, 3])))):
            covered = spots if k == 0 else rng.sample(spots, rng.randint(1, len(spots)))
            surveys.append(survey({name: level}, covered, repeats))
    if len(lights) > 1 and rng.random() < 0.5:
        for _ in range(rng.randint(1, 2)):
            chosen = rng.sample(lights, rng.randint(2, len(lights)))
            dials = {light["name"]: rng.choice([20, 30, 40, 60]) for light in chosen}
            if plausible(dials):
                surveys.append(survey(dials, rng.sample(spots, rng.randint(1, len(spots))), repeats))
    rng.shuffle(surveys)
    return surveys


# ---------------------------------------------------------------- groups

def draw_profile(rng):
    light_class = rng.choice(["low", "medium", "medium", "high", "high", "high"])
    band, ceiling = {"low": ((1.5, 5), 150), "medium": ((2, 13), 350),
                     "high": ((4, 28), 700)}[light_class]
    made = {
        "name": "%s light %d" % (light_class, rng.randint(1, 99)),
        "light_class": light_class,
        "dose_band": [round(band[0] * rng.uniform(0.8, 1.2), 2),
                      round(band[1] * rng.uniform(0.8, 1.2), 2)],
        "peak_ceiling": round(ceiling * rng.uniform(0.8, 1.2)),
        "headroom_percent": tidy(round(rng.uniform(20, 50), rng.choice([0, 1]))),
        "weekly_rise_percent": tidy(round(rng.uniform(10, 20), rng.choice([0, 1]))),
        "tau_up_days": rng.randint(3, 20) if rng.random() < 0.9 else rng.randint(21, 60),
        "tau_down_days": tidy(round(rng.uniform(2, 13), rng.choice([0, 1]))),
        "carryover": round(rng.uniform(0.65, 1), 2),
        "floor_percent": rng.randint(50, 70),
    }
    if rng.random() < 0.4:
        made["ek"] = rng.randint(60, 500)
        if rng.random() < 0.8:
            made["excitation_cap"] = round(rng.uniform(0.1, 0.6), 2)
    return made


def draw_override(rng):
    other = draw_profile(rng)
    # A cap needs an Ek, which the profile below may not have.
    if rng.random() < 0.15:
        return {"ek": rng.randint(60, 500), "excitation_cap": round(rng.uniform(0.1, 0.6), 2)}
    keys = [key for key in other
            if key not in ("name", "light_class", "dose_band", "excitation_cap")]
    return {key: other[key] for key in rng.sample(keys, rng.randint(1, 3))}


def draw_groups(rng, spots, named_profiles, may_move):
    groups = []
    newcomers = rng.choice([0.0, 0.1, 0.2, 0.6])             # how many groups have a history
    for name in rng.sample(GROUP_NAMES, rng.choice([1, 1, 2, 3, 4, 5, 6, 7, 8])):
        named = named_profiles and rng.random() < 0.4
        group = {"name": name,
                 "profile": rng.choice(named_profiles) if named else draw_profile(rng),
                 "spot": rng.choice(spots)}
        if rng.random() < newcomers:
            from_shade = rng.random() < 0.3
            dose = round(rng.uniform(0.3, 2) if from_shade else rng.uniform(3, 16), 1)
            group["history"] = {"dose": dose, "peak": round(dose / 0.0036 / rng.uniform(5, 10))}
        if may_move and len(spots) > 1 and rng.random() < 0.25:
            group["to_spot"] = rng.choice([spot for spot in spots if spot != group["spot"]])
        if rng.random() < 0.25:
            group["override"] = draw_override(rng)
        groups.append(group)
    return groups


# ---------------------------------------------------------------- ramps

def draw_dials(rng, kind, lights, zero_dials):
    """(ramp.from, ramp.to) for one kind of ramp."""
    def some(light, low=15, high=100):
        return draw_setting(rng, light, low, high)

    def end(light, low=15, high=100):
        return "highest" if rng.random() < 0.1 else some(light, low, high)

    def higher(light, dial):
        return end(light, dial, min(dial * rng.uniform(1.1, 2.5), 100))

    def lower(light, dial):
        return some(light, dial * rng.uniform(0.3, 0.9), dial)

    names = [light["name"] for light in lights]
    if kind == "swap":
        cut = rng.randint(1, len(lights) - 1)
        before, after = {}, {}
        for light in lights[:cut]:
            before[light["name"]] = some(light, 30)
        for light in lights[cut:]:
            after[light["name"]] = end(light, 20)
        if len(lights) == 3 and rng.random() < 0.5:          # one light stays
            after[names[0]] = some(lights[0])
            before.setdefault(names[0], some(lights[0]))
    elif kind == "add":
        before = {light["name"]: some(light, 30) for light in lights[:-1]}
        after = {light["name"]: some(light) for light in lights[:-1]}
        after[names[-1]] = end(lights[-1], 15, 80)
        if zero_dials and rng.random() < 0.5:
            before[names[-1]] = 0
    elif kind == "remove":
        before = {light["name"]: some(light, 30) for light in lights}
        after = {light["name"]: end(light, 40) for light in lights[:-1]}
        if zero_dials and rng.random() < 0.5:
            after[names[-1]] = 0
    elif kind == "crossfade":                                # the old light fades to 0
        before = {names[0]: some(lights[0], 40)}
        after = {names[0]: 0, names[1]: end(lights[1], 20)}
    elif kind == "up":
        before = {light["name"]: some(light, 15, 60) for light in lights}
        after = {light["name"]: higher(light, before[light["name"]]) for light in lights}
    elif kind == "down":
        before = {light["name"]: some(light, 50) for light in lights}
        after = {light["name"]: lower(light, before[light["name"]]) for light in lights}
    elif kind == "mixed":
        before = {light["name"]: some(light, 25, 80) for light in lights}
        after = {light["name"]: (higher if k % 2 else lower)(light, before[light["name"]])
                 for k, light in enumerate(lights)}
    else:
        before = {light["name"]: some(light, 20) for light in lights}
        after = dict(before)
    return before, after


def draw_tank(rng, named_profiles, zero_dials):
    kinds = list(RAMPS)
    kind = rng.choices(kinds, [RAMPS[k][0] for k in kinds])[0]
    needs_two = kind in ("swap", "add", "remove", "crossfade", "mixed")
    lights = draw_lights(rng, rng.randint(2, 3) if needs_two else rng.choice([1, 1, 2, 3]))
    spots = rng.sample(SPOT_NAMES, rng.randint(1, 5))
    length, width, depth = (10 * rng.randint(a, b) for a, b in ((6, 24), (4, 9), (4, 8)))
    start = datetime.date(2026, 1, 1) + datetime.timedelta(days=rng.randint(0, 800))
    factor = rng.choice([1, 1, 1.08, 1.25, 1.32])
    before, after = draw_dials(rng, kind, lights, zero_dials)

    meter = {"calibration_percent": rng.choice([5, 10, 15]), "repeat_percent": rng.choice([2, 5, 8])}
    if factor != 1 or rng.random() < 0.5:
        meter["immersion_factor"] = factor
    return {
        "format": "slowdawn-tank/1",
        "name": rng.choice(TANK_NAMES),
        "water": {"length_cm": length, "width_cm": width, "depth_cm": depth},
        "meter": meter,
        "lights": lights,
        "spots": [{"name": spot, "x_cm": rng.randint(1, length - 1), "y_cm": rng.randint(1, width - 1),
                   "depth_cm": rng.randint(5, depth - 2)} for spot in spots],
        "surveys": draw_surveys(rng, lights, spots, factor, start),
        "groups": draw_groups(rng, spots, named_profiles, may_move=rng.random() < 0.4),
        "ramp": {"from": before, "to": after, "start": start.isoformat(),
                 "every_days": rng.choice([1, 1, 1, 2, 3, 4, 7, 7, 10, 14, 21, 28]),
                 "pace": rng.choice(PACES)},
    }


def main():
    parser = argparse.ArgumentParser(description="Write random tank files.")
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--count", type=int, required=True)
    parser.add_argument("--out", required=True)
    parser.add_argument("--profiles", metavar="DIR")
    parser.add_argument("--zero-dials", action="store_true")
    options = parser.parse_args()
    named = []
    if options.profiles:
        named = sorted(name[:-len(".json")] for name in os.listdir(options.profiles)
                       if name.endswith(".json"))
    os.makedirs(options.out, exist_ok=True)
    digits = max(4, math.ceil(math.log10(options.count + 1)))
    for k in range(options.count):
        rng = random.Random("%d/%d" % (options.seed, k))
        tank = draw_tank(rng, named, options.zero_dials)
        path = os.path.join(options.out, "random-%d-%0*d.tank.json" % (options.seed, digits, k))
        with open(path, "w", encoding="utf-8") as file:
            json.dump(tank, file, indent=1, ensure_ascii=False)
            file.write("\n")


if __name__ == "__main__":
    main()
