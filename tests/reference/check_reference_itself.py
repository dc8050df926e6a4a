#!/usr/bin/env python3
"""The second implementation against numbers worked by hand, and against itself.

check_reference_itself.py

Small tanks of which every amount can be worked on paper, and random ones for what must
hold of any tank. Needs no program, and writes no file.
"""
import collections
import copy
import math
import random

import plan_reference
from plan_reference import FullOutputs, Meter, Planner, plan_tank, standard_error
from random_tanks import draw_tank, every_dials

SEED = 20261127
REPEAT = 0.05
PROFILE = {"dose_band": [2, 30], "peak_ceiling": 900, "headroom_percent": 30,
           "weekly_rise_percent": 15, "tau_up_days": 10, "tau_down_days": 5,
           "carryover": 0.8, "floor_percent": 50}


def near(found, expected, tolerance=1e-12):
    return abs(found - expected) <= tolerance * max(1.0, abs(expected))


def tank_of(surveys, before, after, groups=None, meter=None):
    """A tank of lights that are all on from 10:00 to 20:00 without rise or fall, so that
    a dose is 0.036 times the peak. surveys: ({light: dial}, {spot: reading})."""
    lights = sorted({name for dials, _ in surveys for name in dials})
    return {
        "format": "slowdawn-tank/1", "name": "Paper tank",
        "meter": {"repeat_percent": 100 * REPEAT, "calibration_percent": 10, **(meter or {})},
        "lights": [{"name": name, "photoperiod": {"on": "10:00", "off": "20:00"}}
                   for name in lights],
        "surveys": [{"dials": dials, "ppfd": ppfd} for dials, ppfd in surveys],
        "groups": [{"name": "plates", "profile": PROFILE, "spot": "crest", **group}
                   for group in groups or [{}]],
        "ramp": {"from": before, "to": after, "start": "2026-12-01"},
    }


def weights_of(tank, group=0):
    return Planner(tank).groups[group].weights


def weight_of_new(u, carryover=0.8):
    return math.exp(1.645 * u) / carryover


OLD_AND_NEW = [({"old": 100}, {"crest": 200, "sand": 50}),
               ({"new": 40}, {"crest": 100, "sand": 30})]


# ---------------------------------------------------------------- readings

def check_standard_error():
    meter = Meter({"repeat_percent": 5, "immersion_factor": 1.2})
    # (r c E)^2 + 0.25 = (0.05 1.2 200)^2 + 0.25
    assert near(standard_error(200, meter), math.sqrt(144.25))
    assert near(standard_error([190, 210], meter), math.sqrt(144 / 2 + 0.25))
    # Two repeats far apart have no say in their scatter, three have: sd 20 of 200 is 10 %.
    assert near(standard_error([150, 250], meter), math.sqrt(144 / 2 + 0.25))
    assert near(standard_error([180, 200, 220], meter), math.sqrt(24 ** 2 / 3 + 0.25))
    # Three that agree better than the meter repeats count with the meter's scatter.
    assert near(standard_error([200, 200, 200], meter), math.sqrt(144 / 3 + 0.25))
    # Six count like four; their own scatter is that of all six.
    assert near(standard_error([200] * 6, meter), math.sqrt(144 / 4 + 0.25))
    six = [160, 200, 200, 200, 200, 240]          # sd sqrt(3200 / 5)
    assert near(standard_error(six, meter), math.sqrt(1.44 * 640 / 4 + 0.25))
    relative = Meter({"repeat_percent": 5, "relative": True})
    assert near(standard_error(200, relative), 10.0)


def check_weighted_readings():
    # Two readings at full output, errors 2 and 1: weights 1/4 and 1, variance 4/5.
    for extra in ([], [({"other": 1.0}, 80.0, 3.0), ({"other": 0.5, "old": 0.0}, 40.0, 3.0)]):
        rows = [({"old": 1.0}, 110.0, 2.0), ({"old": 1.0}, 100.0, 1.0), *extra]
        full = FullOutputs(["old", "other"], rows)
        assert near(full.value["old"], (110 / 4 + 100) / 1.25, 1e-9)
        assert near(full.covariance["old", "old"], 0.8, 1e-9)
    # Through the origin: readings 60 at half output and 100 at full, both with error 1.
    half = FullOutputs(["old"], [({"old": 0.5}, 60.0, 1.0), ({"old": 1.0}, 100.0, 1.0)])
    assert near(half.value["old"], (0.5 * 60 + 100) / 1.25)


def check_channel_by_subtraction():
    # White alone reads 100, with blue 150: s^2 = 25.25 and 56.5. Blue is 50, with the
    # variance 25.25 + 56.5, and what white is too high blue is too low.
    surveys = [({"white": 100}, {"crest": 100}), ({"white": 100, "blue": 100}, {"crest": 150})]
    tank = tank_of(surveys, {"white": 100}, {"white": 100, "blue": 100})
    planner = Planner(tank)
    full = planner.tank.full["crest"]
    assert near(full.value["white"], 100, 1e-9) and near(full.value["blue"], 50, 1e-9)
    assert near(full.covariance["white", "white"], 25.25, 1e-9)
    assert near(full.covariance["blue", "blue"], 81.75, 1e-9)
    assert near(full.covariance["white", "blue"], -25.25, 1e-9)
    assert not full.inseparable
    # g_b is 1/100 of white, g_a 1/50 of blue.
    u_squared = 81.75 / 50 ** 2 + 25.25 / 100 ** 2 + 2 * 25.25 / (50 * 100)
    assert near(weights_of(tank)["blue"], weight_of_new(math.sqrt(u_squared)), 1e-9)
    assert weights_of(tank)["white"] == 1


def check_light_held_at_zero_keeps_its_doubt():
    # With blue lit less is read than without: blue is held at 0, as uncertain as ever.
    full = FullOutputs(["white", "blue"], [({"white": 1.0}, 100.0, 3.0),
                                           ({"white": 1.0, "blue": 1.0}, 90.0, 4.0)])
    assert full.value["blue"] == 0
    # White alone then: (100/9 + 90/16) / (1/9 + 1/16) = 96.4.
    assert near(full.value["white"], 96.4, 1e-9)
    assert near(full.covariance["blue", "blue"], 25, 1e-9)


def check_inseparable_lights():
    # Only lit together, alike: the sum is known (160, error 4), the difference is not.
    full = FullOutputs(["left", "right"], [({"left": 0.5, "right": 0.5}, 80.0, 2.0)])
    assert full.inseparable == {"left", "right"}
    assert near(full.value["left"] + full.value["right"], 160, 1e-9)
    assert near(full.variance({"left": 1.0, "right": 1.0}), 16, 1e-9)


# ---------------------------------------------------------------- weights

def check_one_reading_each():
    tank = tank_of(OLD_AND_NEW, {"old": 80}, {"new": 60})
    u = math.sqrt(2 * REPEAT ** 2 + 0.25 / 200 ** 2 + 0.25 / 100 ** 2)
    assert near(weights_of(tank)["new"], weight_of_new(u))
    relative = tank_of(OLD_AND_NEW, {"old": 80}, {"new": 60}, meter={"relative": True})
    assert near(weights_of(relative)["new"], weight_of_new(math.sqrt(2) * REPEAT))


def check_what_was_had():
    # A light at 0 before is a new one; one that stays is none, whatever its dials.
    surveys = OLD_AND_NEW + [({"bar": 100}, {"crest": 100})]
    weights = weights_of(tank_of(surveys, {"old": 80, "bar": 0}, {"old": 20, "bar": 50}))
    u = math.sqrt(2 * REPEAT ** 2 + 0.25 / 200 ** 2 + 0.25 / 100 ** 2)
    assert weights["old"] == 1 and near(weights["bar"], weight_of_new(u))
    assert weights_of(tank_of(OLD_AND_NEW, {"old": 80, "new": 40}, {"old": 90})) == {"old": 1}


def check_several_new_lights_share_one_weight():
    # New part 20 of one and 80 of the other: (0.2^2 + 0.8^2) of one reading's variance.
    surveys = OLD_AND_NEW + [({"bar": 100}, {"crest": 200})]
    meter = {"relative": True}
    weights = weights_of(tank_of(surveys, {"old": 80}, {"new": 8, "bar": 40}, meter=meter))
    u = REPEAT * math.sqrt(1 + 0.2 ** 2 + 0.8 ** 2)
    assert near(weights["new"], weight_of_new(u)) and weights["new"] == weights["bar"]


def check_histories():
    meter = {"relative": False}
    s_new = REPEAT ** 2 + 0.25 / 100 ** 2                 # of the new light at crest, relative
    s_old = REPEAT ** 2 + 0.25 / 200 ** 2
    s_old_sand = REPEAT ** 2 + 0.25 / 50 ** 2

    def weights(history, after):
        return weights_of(tank_of(OLD_AND_NEW, {"old": 80}, after, [{"history": history}], meter))

    elsewhere = {"dose": 4, "peak": 120}
    u = math.sqrt(REPEAT ** 2 + s_new + 0.1 ** 2)         # e is r by default
    assert near(weights(elsewhere, {"new": 60})["new"], weight_of_new(u))
    u = math.sqrt(0.2 ** 2 + s_new + 0.1 ** 2)
    assert near(weights({**elsewhere, "error_percent": 20}, {"new": 60})["new"], weight_of_new(u))
    # Even the light of before is new to one that comes from elsewhere.
    u = math.sqrt(REPEAT ** 2 + s_old + 0.1 ** 2)
    assert near(weights(elsewhere, {"old": 60})["old"], weight_of_new(u))

    # By spot and dials at the spot where it stays: a light that was had.
    assert weights({"spot": "crest", "dials": {"old": 30}}, {"old": 60}) == {"old": 1}
    u = math.sqrt(s_old + s_new)
    assert near(weights({"spot": "crest", "dials": {"old": 30}}, {"new": 60})["new"],
                weight_of_new(u))
    # From another spot: the ratio of the old light there and here, without carryover.
    u = math.sqrt(s_old_sand + s_old)
    assert near(weights({"spot": "sand", "dials": {"old": 30}}, {"old": 60})["old"],
                math.exp(1.645 * u))


def check_move_on_the_first_day():
    surveys = [({"old": 100}, {"crest": [200] * 4, "sand": 50}),
               ({"new": 40}, {"crest": [100] * 4, "sand": 30})]
    tank = tank_of(surveys, {"old": 80}, {"old": 80, "new": 20},
                   [{"to_spot": "crest", "spot": "sand"}])
    planner = Planner(tank)
    old_sand = REPEAT ** 2 + 0.25 / 50 ** 2
    old_crest = REPEAT ** 2 / 4 + 0.25 / 200 ** 2
    new_crest = REPEAT ** 2 / 4 + 0.25 / 100 ** 2
    had = math.exp(1.645 * math.sqrt(old_sand + old_crest))
    new = weight_of_new(math.sqrt(old_sand + new_crest))
    weights = planner.groups[0].weights
    assert near(weights["old"], had) and near(weights["new"], new)
    assert near(planner.groups[0].A, 0.036 * 40)         # 80 % of 50, as it is

    # The new light is read far better here than the old one: it weighs no less all the same.
    surveys[0][1]["crest"] = [100, 200, 300]
    tank = tank_of(surveys, {"old": 80}, {"old": 80, "new": 20},
                   [{"to_spot": "crest", "spot": "sand", "override": {"carryover": 0.98}}])
    weights = weights_of(tank)
    had = math.exp(1.645 * math.sqrt(old_sand + 0.5 ** 2 / 3 + 0.25 / 200 ** 2))
    assert near(weights["old"], had) and weights["new"] == weights["old"]


# ---------------------------------------------------------------- plans

def check_effective_and_real_amounts():
    # Old gives 200 at 100 % and weighs 1; new gives 250 and weighs 1.40. So 60 % less of
    # old make room for 30 % of new, on the first day.
    tank = tank_of(OLD_AND_NEW, {"old": 80}, {"old": 20, "new": 30})
    planner = Planner(tank)
    group, weight = planner.groups[0], planner.groups[0].weights["new"]
    day = plan_tank(tank)["days"][0]
    assert day["dials"] == {"old": 20, "new": 30}
    real, effective = 40 + 75, 40 + weight * 75
    shown = day["groups"][0]
    assert near(shown["peak"], real) and near(shown["dose"], 0.036 * real)
    assert near(shown["acclimated_peak"], 160 * real / effective)
    assert near(shown["acclimated_dose"], 0.036 * 160 * real / effective)
    # On a day without any light there is no ratio.
    dark = plan_reference.Day(0.0, 0.0, 0.0, 0.0)
    assert group.shown_used_to(dark) == (group.A, group.B)
    # Pace goes by effective amounts, the band by real ones.
    group.A = group.L = group.B = group.M = 10.0
    assert group.broken(plan_reference.Day(20.0, 5.0, 40.0, 5.0)) == {"dose_pace": 4.0}
    assert group.broken(plan_reference.Day(33.0, 5.0, 5.0, 5.0)) == {"dose_band": 1.1}
    # The floor is effective too: 5 is half of 10, and only a step that lowers it counts.
    present = plan_reference.Day(1.0, 5.0, 9.0, 5.0)
    assert "dose_floor" in group.broken_by_step(plan_reference.Day(2.0, 5.0, 4.9, 5.0), present)
    assert "dose_floor" not in group.broken_by_step(plan_reference.Day(0.5, 5.0, 5.1, 5.0), present)


def check_second_bar_opens_at_the_old_level():
    tank = tank_of(OLD_AND_NEW, {"old": 80}, {"old": 80, "new": 60})
    days = plan_tank(tank)["days"]
    assert days[0]["dials"] == {"old": 80, "new": 0}
    assert days[0]["groups"][0]["acclimated_dose"] == days[0]["groups"][0]["dose"]
    # On the next day the allowance is a seventh of a week's rise higher, in new light.
    weight = weights_of(tank)["new"]
    assert days[1]["dials"]["new"] == math.floor(160 * (1.15 ** (1 / 7) - 1) / (2.5 * weight))


def check_leaving_a_light_out_costs_nothing():
    surveys = OLD_AND_NEW
    days = plan_tank(tank_of(surveys, {"old": 80, "new": 10}, {"old": 80}))["days"]
    assert days[0]["dials"] == {"old": 80} and days[0]["held_by"] is None
    assert days[0]["groups"][0]["acclimated_dose"] == 0.0036 * 10 * (160 + 25)
    # The light that goes leaves room for one that stays, to the old level at once.
    days = plan_tank(tank_of(surveys, {"old": 80, "new": 20}, {"old": 100}))["days"]
    assert days[0]["dials"] == {"old": 100}


# ---------------------------------------------------------------- random tanks

def random_tank(k):
    return draw_tank(random.Random(f"{SEED}/{k}"), [], False)


class DiscountedPlanner(Planner):
    """Where all light is new: what a group is used to is discounted, once, instead."""

    def __init__(self, spec):
        super().__init__(spec)
        for group in self.groups:
            weight, = set(group.weights.values())
            group.weights = dict.fromkeys(group.weights, 1.0)
            for name in "ABLM":
                setattr(group, name, getattr(group, name) / weight)


def all_light_is_new(spec):
    goes_on = set(spec["ramp"]["to"]) & {n for n, p in spec["ramp"]["from"].items() if p > 0}
    return all("dose" in group["history"] if "history" in group else not goes_on
               for group in spec["groups"])


def same(a, b):
    """Two plans, but for the rounding of their numbers."""
    if isinstance(a, dict):
        return set(a) == set(b) and all(same(a[key], b[key]) for key in a)
    if isinstance(a, list):
        return len(a) == len(b) and all(map(same, a, b))
    if isinstance(a, float) and isinstance(b, float):
        return near(a, b, 1e-9)
    return a == b


def check_all_new_is_a_discount(count=200):
    seen, k = 0, 0
    while seen < count:
        spec = random_tank(k)
        k += 1
        if not all_light_is_new(spec):
            continue
        seen += 1
        assert same(Planner(spec).plan(), DiscountedPlanner(spec).plan()), f"tank {k - 1}"


def check_added_light_never_dims_the_rest(count=60):
    """Of groups that stay, with lights that stay or rise: open at the old level or beyond."""
    seen, k = 0, 0
    while seen < count:
        spec = random_tank(k)
        k += 1
        before, after = spec["ramp"]["from"], spec["ramp"]["to"]
        lit = {name for name, dial in before.items() if dial > 0}
        if not lit < set(after):
            continue
        spec["groups"] = [{key: value for key, value in group.items()
                           if key not in ("to_spot", "history")} for group in spec["groups"]]
        after.update({name: before[name] for name in lit})
        seen += 1
        planner = Planner(spec)
        assert planner.lights_change, f"tank {k - 1}"
        opening = planner.opening()
        assert opening is not None and opening >= planner.base, f"tank {k - 1}"


def split(spec):
    """The same tank, its first light as two that are always dialled alike."""
    spec = copy.deepcopy(spec)
    name = spec["lights"][0]["name"]
    spec["lights"].append({**copy.deepcopy(spec["lights"][0]), "name": "the half of it"})
    for dials in every_dials(spec):
        if name in dials:
            dials["the half of it"] = dials[name]
    return spec


def check_halves_that_go_together_count_as_one(count=40):
    for k in range(count):
        spec = random_tank(k)
        # Two lights round their channels apart.
        spec["lights"][0].pop("channels", None)
        whole, halves = plan_tank(spec), plan_tank(split(spec))
        for day in halves["days"]:
            day["dials"].pop("the half of it", None)
        assert same(whole, halves), f"tank {k}"


def check_channels_by_hand():
    """58 % of 100, 80 and 8 are 58, 46.4 and 4.64; half a step each of the two that are rounded."""
    light = plan_reference.Light({"name": "panel", "photoperiod": {"on": "10:00", "off": "20:00"},
                                  "channels": {"royal": 100, "violet": 80, "red": 8}})
    assert plan_reference.channel_dials(light, 58) == {"royal": 58, "violet": 46, "red": 5}
    assert abs(light.rounding(50) - 0.5 * math.sqrt(2) / (50 + 40 + 4)) < 1e-15
    assert light.rounding(0) == 0


def features(spec):
    """What a random tank has that the comparison with the program must have seen."""
    planner = Planner(spec)
    meter = planner.tank.meter
    found = set()
    if any(len(survey["dials"]) > 1 for survey in spec["surveys"]):
        found.add("mixes")
    if any(full.inseparable for full in planner.tank.full.values()):
        found.add("inseparable")
    if any(light.channels for light in planner.tank.lights.values()):
        found.add("channels")
    for survey in spec["surveys"]:
        for reading in survey["ppfd"].values():
            repeats = len(reading) if isinstance(reading, list) else 0
            found |= {f"{repeats} repeats"} if repeats else set()
            as_told = [plan_reference.mean_reading(reading)] * repeats
            if (repeats >= 3
                    and standard_error(reading, meter) > 1.01 * standard_error(as_told, meter)):
                found.add("own scatter")
    if meter.is_relative:
        found.add("relative")
    if any("dials" in group.get("history", {}) for group in spec["groups"]):
        found.add("history in this tank")
    for group, of_file in zip(planner.groups, spec["groups"]):
        weights = set(group.weights.values())
        if len(weights) > 1:
            found.add("partly new")
            if "to_spot" in of_file:
                found.add("partly new, moved")
        if weights == {1.0}:
            found.add("nothing new")
    ramp = spec["ramp"]
    stays = [name for name in ramp["to"] if ramp["from"].get(name, 0) > 0]
    if planner.lights_change and any(
            ramp["to"][n] != "highest" and ramp["to"][n] < ramp["from"][n] for n in stays):
        found.add("crossfade")
    if planner.lights_change and any(ramp["to"][n] == ramp["from"][n] for n in stays):
        found.add("beside one that stays")
    if "mixes" not in found and meter.is_relative is False and all(
            set(group) <= {"name", "profile", "spot", "override"} for group in spec["groups"]):
        found.add("simple")
    return found


def check_random_tanks_have_everything(count=300):
    seen = collections.Counter()
    for k in range(count):
        seen.update(features(random_tank(k)))
    for feature in ["mixes", "own scatter", "relative", "history in this tank", "partly new",
                    "partly new, moved", "nothing new", "crossfade", "beside one that stays",
                    "inseparable", "channels", *(f"{n} repeats" for n in range(1, 7))]:
        assert seen[feature] >= 8, (feature, seen)
    assert seen["simple"] >= count / 5, seen
    return seen


def main():
    checks = [check for name, check in globals().items() if name.startswith("check_")]
    for check in checks:
        result = check()
        print(f"{check.__name__}: holds" + (f" {dict(result)}" if result else ""))


if __name__ == "__main__":
    main()
