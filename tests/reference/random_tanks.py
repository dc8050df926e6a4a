#!/usr/bin/python3
"""Random tank files, for the tests that hold the planner against the reference.

Part of the independent second implementation (plan_reference.py); shares no code
with the program.  The same seed and options give the same files.

    random_tanks.py --seed N --count K --out DIR [--profiles DIR] [--zero-dials]

--profiles DIR    let some groups name a profile of this folder (else all are in place)
--zero-dials      also write ramps that leave a light out by naming it at 0 % in ramp.to
                  (whether the set of lights changes is a matter of reading then)

More than a quarter of the tanks are simple: every light read alone, in umol m-2 s-1,
and nobody new or moved. A tank of which the readings do not tell enough is drawn again,
since the program refuses it.
"""

import argparse
import copy
import datetime
import json
import math
import os
import random

from plan_reference import Dimming, Photoperiod, Tank, goal_dials, lit_lights

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
    "swap": (5, True), "add": (4, True), "remove": (3, True), "crossfade": (4, True),
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
        if rng.random() < 0.25:
            channels = ["royal", "violet", "red", "lime"][:rng.randint(1, 4)]
            light["channels"] = {name: rng.choice([100, 100, 80, 50, 37.5, 8])
                                 for name in channels}
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

class Readings:
    """Draws readings of lights whose true full outputs it knows."""

    def __init__(self, rng, lights, spots, meter, start):
        brightness = {light["name"]: rng.uniform(0.5, 1.3) for light in lights}
        at_spot = {spot: rng.uniform(0.15, 1.0) for spot in spots}
        self.rng, self.spots, self.start = rng, spots, start
        self.factor = meter.get("immersion_factor", 1)
        # A relative meter reads in a unit of its own.
        self.unit = rng.choice([0.04, 1, 30]) if meter.get("relative") else 1
        self.scatter = rng.choice([0.01, 0.02, 0.02, 0.05, 0.1])
        self.most_repeats = rng.choice([1, 1, 4, 6])
        self.full = {light["name"]: {spot: 420 * brightness[light["name"]] * at_spot[spot]
                                     * rng.uniform(0.75, 1.3) for spot in spots}
                     for light in lights}
        self.phi = {light["name"]: Dimming(light.get("dimming")) for light in lights}

    def true_value(self, dials, spot):
        return sum(self.full[n][spot] * self.phi[n](p) for n, p in dials.items()) / self.factor

    def is_plausible(self, dials):
        values = [self.true_value(dials, spot) for spot in self.spots]
        return min(values) >= 12 and max(values) <= 850

    def one_reading(self, dials, spot):
        deviation = min(max(self.rng.gauss(0, self.scatter), -0.25), 0.25)
        value = self.true_value(dials, spot) * (1 + deviation)
        if self.unit != 1:
            return round(value * self.unit, 2)
        return tidy(max(round(value, self.rng.choice([0, 0, 1])), 10))

    def survey(self, dials, covered):
        taken = self.start - datetime.timedelta(days=self.rng.randint(1, 60))
        ppfd = {}
        for spot in covered:
            if self.most_repeats > 1 and self.rng.random() < 0.5:
                ppfd[spot] = [self.one_reading(dials, spot)
                              for _ in range(self.rng.randint(1, self.most_repeats))]
            else:
                ppfd[spot] = self.one_reading(dials, spot)
        return {"taken": taken.isoformat(), "dials": dials, "ppfd": ppfd}

    def some_spots(self):
        return self.rng.sample(self.spots, self.rng.randint(1, len(self.spots)))


def draw_single_surveys(readings, lights, with_mixes):
    """Each light by itself, now and then with a mix on top."""
    rng, surveys = readings.rng, []
    for light in lights:
        name, highest = light["name"], dial_of(light)["highest"]
        levels = [p for p in (30, 40, 50, 60, 75, 80, 100)
                  if p <= highest and readings.is_plausible({name: p})] or [highest]
        for k, level in enumerate(rng.sample(levels, min(len(levels), rng.choice([1, 1, 2, 3])))):
            surveys.append(readings.survey({name: level},
                                           readings.spots if k == 0 else readings.some_spots()))
    if with_mixes and len(lights) > 1 and rng.random() < 0.5:
        for _ in range(rng.randint(1, 2)):
            chosen = rng.sample(lights, rng.randint(2, len(lights)))
            dials = {light["name"]: rng.choice([20, 30, 40, 60]) for light in chosen}
            if readings.is_plausible(dials):
                surveys.append(readings.survey(dials, readings.some_spots()))
    return surveys


def draw_mixed_surveys(readings, lights):
    """As many mixes as lights: one light more in each, or another one bright in each."""
    rng = readings.rng
    names = rng.sample([light["name"] for light in lights], len(lights))
    if rng.random() < 0.5:
        level = rng.choice([40, 60, 80])
        mixes = [{name: level for name in names[:k + 1]} for k in range(len(names))]
    else:
        mixes = [{name: 80 if name == bright else 20 for name in names} for bright in names]
    surveys = [readings.survey(dials, readings.spots) for dials in mixes]
    if rng.random() < 0.3:
        surveys.append(readings.survey(rng.choice(mixes), readings.some_spots()))
    return surveys


def draw_surveys(readings, lights, is_simple):
    if not is_simple and len(lights) > 1 and readings.rng.random() < 0.35:
        surveys = draw_mixed_surveys(readings, lights)
    else:
        surveys = draw_single_surveys(readings, lights, with_mixes=not is_simple)
    readings.rng.shuffle(surveys)
    return surveys


# ---------------------------------------------------------------- groups

def draw_profile(rng, may_have_ek=True):
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
    if may_have_ek and rng.random() < 0.4:
        made["ek"] = rng.randint(60, 500)
        if rng.random() < 0.8:
            made["excitation_cap"] = round(rng.uniform(0.1, 0.6), 2)
    return made


def draw_override(rng, may_have_ek):
    other = draw_profile(rng, may_have_ek)
    # A cap needs an Ek, which the profile below may not have.
    if may_have_ek and rng.random() < 0.15:
        return {"ek": rng.randint(60, 500), "excitation_cap": round(rng.uniform(0.1, 0.6), 2)}
    keys = [key for key in other
            if key not in ("name", "light_class", "dose_band", "excitation_cap")]
    return {key: other[key] for key in rng.sample(keys, rng.randint(1, 3))}


def draw_history(rng, spots, lights, ramp, is_relative):
    """A dose and a peak from elsewhere, or a spot and dials of this tank."""
    ends_dark = any(dial == 0 for dial in ramp["to"].values())
    # With a light that ends dark, what is new to a group here could be dark at the goal.
    if is_relative or (rng.random() < 0.5 and not ends_dark):
        lived_under = rng.sample(lights, rng.randint(1, len(lights)))
        return {"spot": rng.choice(spots),
                "dials": {light["name"]: draw_setting(rng, light, 20, 90)
                          for light in lived_under}}
    from_shade = rng.random() < 0.3
    dose = round(rng.uniform(0.3, 2) if from_shade else rng.uniform(3, 16), 1)
    history = {"dose": dose, "peak": round(dose / 0.0036 / rng.uniform(5, 10))}
    if rng.random() < 0.3:
        history["error_percent"] = rng.choice([0, 3, 20, 35])
    return history


def draw_groups(rng, spots, lights, ramp, named_profiles, is_relative, newcomers, may_move):
    """newcomers: the share of groups that have a history."""
    groups = []
    if is_relative and any(dial == 0 for dial in ramp["to"].values()):
        newcomers = 0.0
    for name in rng.sample(GROUP_NAMES, rng.choice([1, 1, 2, 3, 4, 5, 6, 7, 8])):
        named = named_profiles and rng.random() < 0.4
        group = {"name": name,
                 "profile": rng.choice(named_profiles) if named
                            else draw_profile(rng, not is_relative),
                 "spot": rng.choice(spots)}
        if rng.random() < newcomers:
            group["history"] = draw_history(rng, spots, lights, ramp, is_relative)
        if (may_move and len(spots) > 1 and "spot" not in group.get("history", {})
                and rng.random() < 0.25):
            group["to_spot"] = rng.choice([spot for spot in spots if spot != group["spot"]])
        if rng.random() < 0.25:
            group["override"] = draw_override(rng, not is_relative)
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
    elif kind == "add":                                      # the others stay, or go elsewhere
        before = {light["name"]: some(light, 30) for light in lights[:-1]}
        after = (dict(before) if rng.random() < 0.5
                 else {light["name"]: some(light) for light in lights[:-1]})
        after[names[-1]] = end(lights[-1], 15, 80)
        if rng.random() < 0.2:
            before[names[-1]] = 0
    elif kind == "remove":                                   # the others stay, or go elsewhere
        before = {light["name"]: some(light, 30) for light in lights}
        after = ({name: before[name] for name in names[:-1]} if rng.random() < 0.5
                 else {light["name"]: end(light, 40) for light in lights[:-1]})
        if zero_dials and rng.random() < 0.5:
            after[names[-1]] = 0
    elif kind == "crossfade":                                # the old light fades, perhaps to 0
        before = {names[0]: some(lights[0], 40)}
        after = {names[0]: 0 if rng.random() < 0.3 else lower(lights[0], before[names[0]]),
                 names[1]: end(lights[1], 20)}
        if len(lights) == 3 and rng.random() < 0.5:          # a third light stays
            before[names[2]] = after[names[2]] = some(lights[2])
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


def split_light(rng, tank):
    """One light becomes two of the same course, always dialled alike: the readings cannot
    tell them apart, and no setting needs it."""
    light = rng.choice(tank["lights"])
    name, twin = light["name"], light["name"] + " two"
    tank["lights"].append({**copy.deepcopy(light), "name": twin})
    for dials in every_dials(tank):
        if name in dials:
            dials[twin] = dials[name]


def every_dials(tank):
    yield from (survey["dials"] for survey in tank["surveys"])
    yield from (group["history"]["dials"] for group in tank["groups"]
                if "dials" in group.get("history", {}))
    yield tank["ramp"]["from"]
    yield tank["ramp"]["to"]


def is_well_read(spec):
    """Whether the readings tell enough of every light, with room to spare.

    The program refuses a light of the goal that is held at 0, or known to worse than
    25 %, where it may be over 5 % of the goal's dose.
    """
    tank, ramp = Tank(spec), spec["ramp"]
    goal = goal_dials(tank, ramp)
    for group in spec["groups"]:
        history = group.get("history", {})
        lived = history if "spot" in history else {"spot": group["spot"], "dials": ramp["from"]}
        if tank.exposure(lived["spot"], lived["dials"])[0] <= 0:
            return False
        for spot in {group["spot"], group.get("to_spot", group["spot"]), lived["spot"]}:
            if not all(is_known(tank, spot, goal, name) for name in lit_lights(goal)):
                return False
    return True


def is_known(tank, spot, goal, name):
    full = tank.full[spot]
    if name in full.inseparable:
        return True
    value, error = full.value[name], math.sqrt(full.covariance[name, name])
    dose = tank.exposure(spot, goal)[0]
    most = 0.0036 * tank.lights[name].full_hours(goal[name]) * (value + 2 * error)
    return most < 0.04 * dose or error < 0.22 * value


def draw_meter(rng, may_be_relative):
    meter = {"calibration_percent": rng.choice([5, 10, 15]),
             "repeat_percent": rng.choice([2, 5, 8])}
    factor = rng.choice([1, 1, 1.08, 1.25, 1.32])
    if factor != 1 or rng.random() < 0.5:
        meter["immersion_factor"] = factor
    if may_be_relative and rng.random() < 0.1:
        meter["relative"] = True
    return meter


def draw_tank(rng, named_profiles, zero_dials):
    while True:
        tank = draw_any_tank(rng, named_profiles, zero_dials)
        if is_well_read(tank):
            return tank


def draw_any_tank(rng, named_profiles, zero_dials):
    kinds = list(RAMPS)
    kind = rng.choices(kinds, [RAMPS[k][0] for k in kinds])[0]
    needs_two = kind in ("swap", "add", "remove", "crossfade", "mixed")
    lights = draw_lights(rng, rng.randint(2, 3) if needs_two else rng.choice([1, 1, 2, 3]))
    spots = rng.sample(SPOT_NAMES, rng.randint(1, 5))
    length, width, depth = (10 * rng.randint(a, b) for a, b in ((6, 24), (4, 9), (4, 8)))
    start = datetime.date(2026, 1, 1) + datetime.timedelta(days=rng.randint(0, 800))
    before, after = draw_dials(rng, kind, lights, zero_dials)
    ramp = {"from": before, "to": after, "start": start.isoformat(),
            "every_days": rng.choice([1, 1, 1, 2, 3, 4, 7, 7, 10, 14, 21, 28]),
            "pace": rng.choice(PACES)}
    is_simple = rng.random() < 0.15
    meter = draw_meter(rng, may_be_relative=not is_simple)
    readings = Readings(rng, lights, spots, meter, start)
    newcomers = 0.0 if is_simple else rng.choice([0.0, 0.1, 0.2, 0.6])
    may_move = not is_simple and rng.random() < (0.6 if kind in ("add", "crossfade") else 0.4)
    tank = {
        "format": "slowdawn-tank/1",
        "name": rng.choice(TANK_NAMES),
        "water": {"length_cm": length, "width_cm": width, "depth_cm": depth},
        "meter": meter,
        "lights": lights,
        "spots": [{"name": spot, "x_cm": rng.randint(1, length - 1),
                   "y_cm": rng.randint(1, width - 1), "depth_cm": rng.randint(5, depth - 2)}
                  for spot in spots],
        "surveys": draw_surveys(readings, lights, is_simple),
        "groups": draw_groups(rng, spots, lights, ramp, named_profiles,
                              meter.get("relative", False), newcomers, may_move),
        "ramp": ramp,
    }
    if not is_simple and rng.random() < 0.08:
        split_light(rng, tank)
    return tank


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
