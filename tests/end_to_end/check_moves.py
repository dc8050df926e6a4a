#!/usr/bin/env python3
"""Readings, spots and moves as a keeper meets them: survey, place, dose, moved, and what plan,
today and why say of moves, meshes and spots that were not read.

check_moves.py PROGRAM SOURCE_FOLDER [-k WORD]

The tanks are invented, and square where nothing else is said: a panel that burns steadily for
10 h and gives half at 50 %. Then PPFD at a spot is its full PPFD times the dial, and the dose is
0.0036 x 10 x PPFD; what the program says can be worked out beside it.
"""
import datetime
import json
import math
import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile
import unittest

import lived

import numpy
from scipy.optimize import linear_sum_assignment

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
QUARANTINE = SOURCE / "examples/quarantine-moves/quarantine-moves.tank.json"

# Entries may not lie in the future, and readings over a year back are warned of.
START = datetime.date.today() - datetime.timedelta(days=150)
DOSE_OF_PPFD = 0.0036 * 10
SQUARE_DAY = {"on": "10:00", "off": "20:00"}
KIND = {"light_class": "medium", "dose_band": [1, 20], "peak_ceiling": 600,
        "headroom_percent": 30, "weekly_rise_percent": 15, "tau_up_days": 12, "tau_down_days": 5,
        "carryover": 0.8, "floor_percent": 50}
LUX_FACTORS = (54, 52, 71, 74, 82, 50)  # as README.md's source has them, sun to incandescent


def run(*words, cwd=None, expect=0, env=None):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env={**clean, **(env or {})},
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    if "--json" not in words:
        for line in result.stdout.splitlines():
            assert len(line) <= 80, (words, line)
    return result


def words_of(text):
    return " ".join(text.split())


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


def coral(name, spot, override=None, **more):
    return {"name": name, "profile": {**KIND, **(override or {})}, "spot": spot, **more}


def make_tank(full, groups, ramp=(50, 100), tubes=None, **more):
    """A tank under one square panel, read at 100 %.

    full: PPFD by spot. ramp: the panel's dial before and at the goal. tubes: PPFD by spot of an
    older light, which then is the one before.
    """
    lights = [{"name": "panel", "photoperiod": SQUARE_DAY, "dial": {"step": 5}}]
    surveys = [{"taken": date_of(-7), "dials": {"panel": 100}, "ppfd": full}]
    before = {"panel": ramp[0]}
    if tubes:
        lights.append({"name": "tubes", "photoperiod": SQUARE_DAY})
        surveys.append({"taken": date_of(-9), "dials": {"tubes": 100}, "ppfd": tubes})
        before = {"tubes": 100}
    made = {"format": "slowdawn-tank/1", "name": "Weir tank", "meter": {"repeat_percent": 5},
            "lights": lights, "spots": [{"name": name} for name in full], "surveys": surveys,
            "groups": groups, "ramp": {"from": before, "to": {"panel": ramp[1]},
                                       "start": date_of(0)}}
    return {**made, **more}


class Folder:
    """A folder with one tank file, in which commands are given without naming it."""

    def __init__(self, test, tank, **files):
        holder = tempfile.TemporaryDirectory()
        test.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        self.tank = self.path / "weir.tank.json"
        self.clock = lived.Clock(date_of(0))
        self.write(tank)
        for name, text in files.items():
            (self.path / f"{name}.csv").write_bytes(text.encode())

    def write(self, tank):
        self.tank.write_text(json.dumps(tank, indent=1))

    def run(self, *words, **keys):
        return run(*words, cwd=self.path, env=self.clock.environment(words), **keys)

    def text(self, *words, **keys):
        return words_of(self.run(*words, **keys).stdout)

    def json(self, *words, **keys):
        return json.loads(self.run(*words, "--json", **keys).stdout)

    def error(self, *words, expect=2):
        return words_of(self.run(*words, expect=expect).stderr)


def dials_of(plan):
    return [day["dials"]["panel"] for day in plan["days"]]


# ---------------------------------------------------------------------------------------------
# A second reckoning of the days of a group.

class Coral:
    """What a group is used to and what it may get; dose and peak are reckoned alike.

    After each day: A += (1 - exp(-1/tau)) (D - A), tau = tau_up if D > A, else tau_down.
    L = min(L (1+w)^(1/7), max((1+w) D, Dnext)), L(0) = A(0), Dnext at the next brighter setting.
    dose <= min(max(L, A), (1+h) A); dose <= max(band high, D0), peak <= max(ceiling, P0).
    For moves there is a second L, whose Dnext is also that of the next brighter stop. On the day
    of a move A counts for exp(-1.645 u), u the errors of both spots' readings in squares.
    """

    def __init__(self, kind, before, used_to, allowed=None, allowed_to_move=None):
        self.kind, self.before, self.used_to = kind, before, used_to
        self.allowed = allowed or used_to
        self.allowed_to_move = allowed_to_move or self.allowed

    def bears(self, exposure):
        tops = (self.kind["dose_band"][1], self.kind["peak_ceiling"])
        reach = 1 + self.kind["headroom_percent"] / 100
        return all(value <= (1 + 1e-9) * min(max(l, a), reach * a, max(top, old))
                   for value, l, a, top, old in zip(exposure, self.allowed, self.used_to, tops,
                                                    self.before))

    def moved(self, u):
        used_to = [a * math.exp(-1.645 * u) for a in self.used_to]
        allowed = [max(pair) for pair in zip(self.allowed, self.allowed_to_move)]
        return Coral(self.kind, self.before, used_to, allowed)

    def after(self, exposure, setting, stop):
        """setting, stop: what the next brighter one would bring."""
        rise = 1 + self.kind["weekly_rise_percent"] / 100
        tau = [self.kind["tau_up_days" if value > a else "tau_down_days"]
               for value, a in zip(exposure, self.used_to)]
        used_to = [a + (1 - math.exp(-1 / t)) * (value - a)
                   for value, a, t in zip(exposure, self.used_to, tau)]
        grown = [[min(l * rise ** (1 / 7), max(rise * value, *more))
                  for l, value, *more in zip(before, exposure, *nexts)]
                 for before, nexts in ((self.allowed, [setting]),
                                       (self.allowed_to_move, [setting, stop]))]
        return Coral(self.kind, self.before, used_to, *grown)


def exposure_of(tank, seat, dial):
    spot, transmission = seat
    ppfd = transmission * numpy.mean(tank["surveys"][0]["ppfd"][spot]) * dial / 100
    return DOSE_OF_PPFD * ppfd, ppfd


def repeat_of(tank):
    return tank["meter"]["repeat_percent"] / 100


def error_at(tank, spot):
    """Relative standard error of a spot's reading of the panel: the mean of n repeats (4 at
    most) has r^2 / n, r of 3 and more at least their own scatter, and half a digit."""
    values = numpy.atleast_1d(tank["surveys"][0]["ppfd"][spot])
    r = repeat_of(tank)
    if len(values) >= 3:
        r = max(r, values.std(ddof=1) / values.mean())
    return math.hypot(r / math.sqrt(min(len(values), 4)), 0.5 / values.mean())


def doubt_between(tank, seat, other):
    """A mesh is read over the same spot, with the meter's repeatability."""
    if seat[0] == other[0]:
        return math.sqrt(2) * repeat_of(tank) if seat != other else 0
    return math.hypot(error_at(tank, seat[0]), error_at(tank, other[0]))


def seats_of(tank, group):
    """Where a group may be, a spot and the share of light under its mesh: the first seat, the
    stops on its way from dim to bright, the last one."""
    meshes = group.get("shade", {}).get("transmission", [])
    last = (group.get("to_spot", group["spot"]), 1)
    first = (group["spot"], meshes[0] if meshes else 1)
    via = group.get("via", [])
    via = [spot["name"] for spot in tank["spots"]] if via == "any" else via
    stops = [(spot, 1) for spot in via] + [(group["spot"], mesh) for mesh in meshes[1:]]
    light = [exposure_of(tank, seat, 100) for seat in (first, last)]
    stops = [seat for seat in stops if light[0] < exposure_of(tank, seat, 100) < light[1]]
    return [first, *sorted(stops, key=lambda seat: exposure_of(tank, seat, 100)), last]


def coral_at_start(tank, group):
    """A(0) = carryover D0 exp(-1.645 u), or D0 where the light stays; and the u of it."""
    kind, r = group["profile"], repeat_of(tank)
    if "history" not in group:
        before = exposure_of(tank, (group["spot"], 1), tank["ramp"]["from"]["panel"])
        return Coral(kind, before, before), 0
    before = (group["history"]["dose"], group["history"]["peak"])
    u = math.hypot(r, error_at(tank, group["spot"]),
                   tank["meter"].get("calibration_percent", 10) / 100)
    share = kind["carryover"] * math.exp(-1.645 * u)
    return Coral(kind, before, [share * value for value in before]), u


def brighter_than(tank, seats, seat, dial):
    """At the next setting, and at the dimmest stop that is brighter than where the group is."""
    top = max(tank["ramp"]["from"]["panel"], tank["ramp"]["to"]["panel"])
    here = exposure_of(tank, seat, dial)
    stops = [] if seat == seats[-1] else [exposure_of(tank, stop, dial) for stop in seats[1:]]
    stops = [stop for stop in stops if stop[0] > here[0] * (1 + 1e-9)]
    return exposure_of(tank, seat, min(dial + 5, top)), min(stops, default=(0, 0))


def check_days(test, tank, plan):
    """Every day of a plan keeps its caps, and its spots are those of its moves."""
    for g, group in enumerate(tank["groups"]):
        seats = seats_of(tank, group)
        seat, (living, known) = seats[0], coral_at_start(tank, group)
        moves = {move["date"]: (move["spot"], move.get("shade", 1))
                 for move in plan.get("moves", []) if move["group"] == group["name"]}
        for day in plan["days"]:
            where = (group["name"], day["date"])
            if day["date"] in moves:
                there = moves.pop(day["date"])
                living = living.moved(max(0, doubt_between(tank, seat, there) - known))
                seat = there
            known = 0  # Only on the first day the doubt of the start is in A already.
            row, dial = day["groups"][g], day["dials"]["panel"]
            exposure = exposure_of(tank, seat, dial)
            test.assertEqual((row["spot"], row.get("shade", 1)), seat, where)
            for key, value, a in zip(("dose", "peak"), exposure, living.used_to):
                test.assertAlmostEqual(row[key] / value, 1, 9, where)
                test.assertAlmostEqual(row[f"acclimated_{key}"] / a, 1, 9, where)
            test.assertTrue(living.bears(exposure), where)
            living = living.after(exposure, *brighter_than(tank, seats, seat, dial))
        test.assertEqual(moves, {}, group["name"])


def find_fastest(tank, group):
    """The first day on which a group can be at its last seat under a dial that stays, and the
    fewest moves by which it can be: every day and every choice of stops is tried."""
    seats, dial = seats_of(tank, group), tank["ramp"]["to"]["panel"]
    stay = group.get("min_stay_days", 7)
    light = [exposure_of(tank, seat, dial) for seat in seats]
    more = [brighter_than(tank, seats, seat, dial) for seat in seats]
    start, known = coral_at_start(tank, group)
    best = (366, 0)

    def go(day, at, free_day, living, moves):
        nonlocal best
        while day <= best[0] and living.bears(light[at]):
            for there in range(at + 1, len(seats)) if day >= free_day else ():
                doubt = doubt_between(tank, seats[at], seats[there])
                arrived = living.moved(doubt if day else max(0, doubt - known))
                if not arrived.bears(light[there]):
                    break
                if there == len(seats) - 1:
                    best = min(best, (day, moves + 1))
                else:
                    go(day + 1, there, day + stay, arrived.after(light[there], *more[there]),
                       moves + 1)
            living = living.after(light[at], *more[at])
            day += 1

    go(0, 0, 0, start, 0)
    return best


# ---------------------------------------------------------------------------------------------

class Survey(unittest.TestCase):
    """One sheet, worked by hand. Readings are low by 1.25 under water.

    spot    tubes at 80   x 1.25   at 100   bar at 40   x 1.25   at 80, x 72/30   after/before
    crest   80 (mean)     100      125      60          75       180              1.44
    ledge   51.2          64        80      24          30        72              0.90
    sand    34.56         43.2      54      12          15        36              0.6667
    nook    16            20        25      not read
    """

    def setUp(self):
        readings = {"crest": [80, 83.2, 76.8], "ledge": 51.2, "sand": 34.56, "nook": 16}
        self.tank = make_tank(readings, [coral("acropora frags", "crest")])
        self.tank["meter"]["immersion_factor"] = 1.25
        self.tank["lights"] = [
            {"name": "tubes", "photoperiod": SQUARE_DAY},
            {"name": "bar", "photoperiod": SQUARE_DAY, "dimming": [[40, 30], [80, 72]]}]
        self.tank["surveys"][0]["dials"] = {"tubes": 80}
        self.tank["surveys"].append({"taken": date_of(-3), "dials": {"bar": 40},
                                     "ppfd": {"crest": 60, "ledge": 24, "sand": 12}})
        self.tank["ramp"].update({"from": {"tubes": 100}, "to": {"bar": 80}})

    def check_spread(self, spread, spots, lowest, mean, highest, squares):
        """squares: the sum of the squared distances from the mean."""
        variation = math.sqrt(squares / (spots - 1)) / mean
        self.assertEqual(spread["spots"], spots)
        for key, value in (("lowest", lowest), ("mean", mean), ("highest", highest),
                           ("lowest_over_mean", lowest / mean),
                           ("coefficient_of_variation", variation)):
            self.assertAlmostEqual(spread[key], value, 9, key)

    def test_statistics_are_those_of_the_sheet(self):
        survey = Folder(self, self.tank).json("survey")
        self.assertEqual([(s["taken"], s["dials"]) for s in survey["surveys"]],
                         [(date_of(-7), {"tubes": 80}), (date_of(-3), {"bar": 40})])
        # 43.2^2 + 7.2^2 + 13.6^2 + 36.8^2 = 1866.24 + 51.84 + 184.96 + 1354.24 = 3457.28
        self.check_spread(survey["surveys"][0], 4, 20, 56.8, 100, 3457.28)
        # 35^2 + 10^2 + 25^2 = 1950
        self.check_spread(survey["surveys"][1], 3, 15, 40, 75, 1950)
        # 54^2 + 9^2 + 17^2 + 46^2 = 2916 + 81 + 289 + 2116 = 5402
        self.check_spread(survey["before"], 4, 25, 71, 125, 5402)
        # 84^2 + 24^2 + 60^2 = 7056 + 576 + 3600 = 11232
        self.check_spread(survey["goal"], 3, 36, 96, 180, 11232)

    def test_changes_are_sorted_by_how_far_the_ratio_is_from_1_either_way(self):
        # |ln 0.6667| = 0.405, |ln 1.44| = 0.365, |ln 0.9| = 0.105; by difference the crest would
        # come first, and by |ratio - 1| as well (0.44 and 0.33).
        changes = Folder(self, self.tank).json("survey")["changes"]
        self.assertEqual([change["spot"] for change in changes], ["sand", "crest", "ledge"])
        for change, sheet in zip(changes, ((54, 36, 2 / 3), (125, 180, 1.44), (80, 72, 0.9))):
            for key, value in zip(("before", "after", "ratio"), sheet):
                self.assertAlmostEqual(change[key], value, 9, (change["spot"], key))

    def test_immersion_counts_once_also_in_the_dose(self):
        group = Folder(self, self.tank).json("check")["groups"][0]
        self.assertAlmostEqual(group["before"]["dose"], DOSE_OF_PPFD * 125, 9)
        self.assertAlmostEqual(group["goal"]["peak"], 180, 9)

    def test_text_has_a_map_with_each_layer_of_depth(self):
        places = {"crest": (50, 40, 10), "ledge": (10, 10, 14), "sand": (90, 5, 40)}
        for spot in self.tank["spots"]:
            place = places.get(spot["name"], ())
            spot.update(zip(("x_cm", "y_cm", "depth_cm"), place))
        folder = Folder(self, self.tank)
        text = folder.run("survey").stdout
        self.assertRegex(words_of(text), r"\AWeir tank: .* changes most at sand, 0\.67 times\.")
        self.assertRegex(text, r"\nsand +c +54 +36 +0\.67 +-18\n")
        layers = re.split(r"^(\d.*) cm deep\n", text, flags=re.M)
        self.assertEqual(layers[1::2], ["10 to 14", "40"])
        where = [{mark[0]: (row, mark.start()) for row, line in enumerate(layer.splitlines())
                  for mark in re.finditer(r"[a-z]:[\d?]+", line)} for layer in layers[2::2]]
        self.assertEqual([set(layer) for layer in where], [{"a:180", "b:72"}, {"c:36"}])
        crest, ledge, sand = where[0]["a:180"], where[0]["b:72"], where[1]["c:36"]
        self.assertTrue(crest[0] < ledge[0] < sand[0], "the front is not at the bottom")
        self.assertTrue(ledge[1] < crest[1] < sand[1], "x does not go to the right")
        for spot in self.tank["spots"]:
            spot.pop("x_cm", None)
        folder.write(self.tank)
        self.assertIn("No map: no spot has all of x, y and depth", folder.text("survey"))

    @staticmethod
    def doubts():
        """What is warned of, a tank that is not and one that is, and what the warning names."""
        def one(repeats, dial=100, goal=100, taken=-7, more=()):
            tank = make_tank({"crest": repeats}, [coral("frags", "crest")], (dial, goal))
            tank["surveys"][0].update({"dials": {"panel": dial}, "taken": date_of(taken)})
            tank["surveys"] += [{"taken": date_of(-3), "dials": {"panel": at},
                                 "ppfd": {"crest": ppfd}} for at, ppfd in more]
            return tank

        # (highest - lowest) / mean: (107.5 - 92.5) / 100 is 15 % and not over it.
        yield "repeats scatter", one([92.5, 107.5]), one([92.4, 107.6]), "crest (15 %)"
        # Two readings, x at 50 % and 100 at 100 %, of weights w = 1 / ((0.05 E)^2 + 0.25): by
        # weighted least squares the full PPFD is (0.5 w1 x + w2 100) / (0.25 w1 + w2). With x =
        # 34.5 it is 79.5, of 100 20.5 % off, with 35 it is 80.3; with x = 72 half of it is 57.1,
        # of x 20.7 % off, with 71 it is 56.9, 19.8 % off.
        yield "the reading is over 20 % off", one(35, 50, 100, more=[(100, 100)]), \
            one(34.5, 50, 100, more=[(100, 100)]), "survey 2 of"
        yield "the reading is over 20 % off", one(71, 50, 100, more=[(100, 100)]), \
            one(72, 50, 100, more=[(100, 100)]), "crest (21 %)"
        # 60 / 40 is 1.5 and not over it.
        yield "was read at 40 % alone", one(100, 40, 60), one(100, 40, 61), "the goal is 61 %"
        yield "was read at 60 % alone", one(100, 60, 40), one(100, 60, 39), "the goal is 39 %"
        yield "was read at 40 % alone", one(100, 40, 80, more=[(80, 200)]), one(100, 40, 80), \
            '"panel"'
        yield "older than a year", one(100, taken=-365), one(100, taken=-366), "survey 1"

        def two(dial):
            tank = one(100, 100, 100)
            tank["lights"].append({"name": "blue", "photoperiod": SQUARE_DAY})
            tank["surveys"] = [{"dials": {"panel": 100, "blue": blue}, "ppfd": {"crest": ppfd}}
                               for blue, ppfd in ((50, 75), (dial, 50 + dial / 2))]
            columns = numpy.array([[1, 0.5], [1, dial / 100]])
            apart = numpy.linalg.svd(columns / numpy.linalg.norm(columns, axis=0))[1][-1]
            return apart, tank
        (apart, quiet), (mixed, warned) = two(68), two(66)
        assert mixed < 0.1 < apart, (mixed, apart)
        yield "in nearly the same proportions", quiet, warned, "crest"

    def test_each_doubt_is_said_on_one_side_of_its_threshold_alone(self):
        for doubt, quiet, warned, name in self.doubts():
            with self.subTest(doubt, name=name):
                folder = Folder(self, quiet)
                self.assertEqual(folder.json("survey")["warnings"], [])
                self.assertNotIn("Doubts", folder.text("survey"))
                folder.write(warned)
                warnings = folder.json("survey")["warnings"]
                self.assertEqual(len(warnings), 1, warnings)
                self.assertIn(doubt, warnings[0])
                self.assertIn(name, warnings[0])
                self.assertIn(words_of(warnings[0]), folder.text("survey"))


class Readings(unittest.TestCase):
    HERE = {"crest": [101.5, 99.5], "ledge": 60.25, "sand": [31, 30.5, 30]}
    TABLE = "spot,first,second,third\ncrest,101.5,99.5,\nledge,,60.25,\nsand,31,30.5,30\n"

    def tank(self, in_a_file):
        tank = make_tank(self.HERE, [coral("frags", "crest"), coral("chalice", "sand")])
        if in_a_file:
            del tank["surveys"][0]["ppfd"]
            tank["surveys"][0]["ppfd_file"] = "panel.csv"
        return tank

    def test_a_csv_file_gives_the_plan_of_the_same_numbers_in_the_tank_file(self):
        expected = Folder(self, self.tank(False)).run("plan", "--json").stdout
        semicolons = self.TABLE.replace(",", ";").replace(".", ",")
        forms = {"comma": self.TABLE, "semicolon and decimal comma": semicolons,
                 "semicolon": self.TABLE.replace(",", ";"), "tab": self.TABLE.replace(",", "\t"),
                 "byte order mark": "\ufeff" + self.TABLE,
                 "CR LF": semicolons.replace("\n", "\r\n"),
                 "empty line, no line end": self.TABLE.replace("\nsand", "\n\nsand").strip(),
                 "spot last": "a,b,c,spot\n101.5,99.5,,crest\n60.25,,,ledge\n31,30.5,30,sand\n"}
        for form, text in forms.items():
            with self.subTest(form):
                folder = Folder(self, self.tank(True), panel=text)
                self.assertEqual(folder.run("plan", "--json").stdout, expected)
                # Also from another folder: the file is beside the tank file.
                self.assertEqual(run("plan", folder.tank, "--json", cwd="/").stdout, expected)
        other = Folder(self, self.tank(True), panel=self.TABLE.replace("30.5", "32.5"))
        self.assertNotEqual(other.run("plan", "--json").stdout, expected)

    def test_errors_name_the_file_the_line_and_the_remedy(self):
        wrong = {
            "unknown spot": ("crest,", "crst,", "panel.csv:2:1: error: there is no spot",
                             'did you mean "crest"?'),
            "bad number": ("60.25", "60 umol", "panel.csv:3:8: error: expected a number",
                           "write the bare number, without a unit"),
            "out of range": ("60.25", "60250", "panel.csv:3:8: error: 60250 is out of range",
                             "is this lux"),
            "no column of spots": ("spot,", "place,", "panel.csv:1:1: error: there is no column",
                                   'name the right one "spot"'),
            "decimal comma": ("60.25,", "60,25,", "panel.csv:3:14: error: expected 4 cells",
                              "write decimals with a point")}
        for name, (right, slip, place, hint) in wrong.items():
            with self.subTest(name):
                folder = Folder(self, self.tank(True), panel=self.TABLE.replace(right, slip))
                error = folder.error("plan")
                self.assertIn(place, error)
                self.assertRegex(error, "hint: .*" + re.escape(hint))
                made = json.loads(folder.run("plan", "--json", expect=2).stderr)["errors"][0]
                self.assertEqual(made["file"], "panel.csv")
                self.assertIn(f"panel.csv:{made['line']}:{made['column']}: ", error)

    def test_a_file_that_is_not_there_or_is_a_folder_cannot_be_read(self):
        folder = Folder(self, self.tank(True))
        error = folder.error("plan", expect=3)
        self.assertIn('"panel.csv" cannot be read: there is no such file', error)
        self.assertIn("hint: check the path", error)
        (folder.path / "panel.csv").mkdir()
        error = folder.error("plan", expect=3)
        self.assertIn('"panel.csv" cannot be read: this is a folder, not a file', error)
        self.assertIn("hint: name the file inside it", error)

    def check_same_plan(self, tank, expected):
        plan = Folder(self, tank).json("plan")
        self.assertEqual([day["dials"] for day in plan["days"]],
                         [day["dials"] for day in expected["days"]])
        for day, other in zip(plan["days"], expected["days"]):
            for row, right in zip(day["groups"], other["groups"]):
                self.assertAlmostEqual(row["dose"], right["dose"], 9)
                self.assertAlmostEqual(row["peak"], right["peak"], 9)

    def test_lux_of_one_light_plans_like_the_divided_readings(self):
        expected = Folder(self, self.tank(False)).json("plan")
        tank = self.tank(False)
        tank["lights"][0]["lux_per_ppfd"] = 63.7
        tank["surveys"][0].update({"unit": "lux", "ppfd": {
            spot: (63.7 * numpy.array(ppfd)).tolist() for spot, ppfd in self.HERE.items()}})
        self.check_same_plan(tank, expected)

    def two_lights(self, white_factor, blue_factor):
        """Both lit in both surveys; white has 210 and blue 90 umol at the crest at full output.

        A meter in lux adds factor x PPFD of each light.
        """
        tank = make_tank({"crest": 1}, [coral("frags", "crest")])
        tank["lights"] = [{"name": "white", "photoperiod": SQUARE_DAY, "dimming": [[50, 40]]},
                          {"name": "blue", "photoperiod": {"on": "09:00", "off": "21:00"}}]
        tank["surveys"] = [
            {"dials": {"white": 100, "blue": 25},
             "ppfd": {"crest": white_factor * 210 + blue_factor * 90 * 0.25}},
            {"dials": {"white": 50, "blue": 100},
             "ppfd": {"crest": white_factor * 210 * 0.4 + blue_factor * 90}}]
        tank["ramp"].update({"from": {"white": 50, "blue": 50}, "to": {"white": 75, "blue": 100}})
        # Mixes tell their lights apart by differences, which asks for a steady hand.
        tank["meter"]["repeat_percent"] = 2
        return tank

    def test_lux_of_two_lights_lit_together_plans_like_the_readings_in_ppfd(self):
        expected = Folder(self, self.two_lights(1, 1)).json("plan")
        self.assertAlmostEqual(expected["groups"][0]["before"]["dose"],
                               0.0036 * (210 * 0.4 * 10 + 90 * 0.5 * 12), 9)
        tank = self.two_lights(66, 19)
        for light, factor in zip(tank["lights"], (66, 19)):
            light["lux_per_ppfd"] = factor
        for survey in tank["surveys"]:
            survey["unit"] = "lux"
        self.check_same_plan(tank, expected)
        tank["lights"][0]["lux_per_ppfd"] = 60
        self.assertNotEqual(Folder(self, tank).json("plan")["days"], expected["days"])

    def test_lux_without_a_factor_names_the_published_ones(self):
        tank = self.tank(False)
        tank["surveys"][0]["unit"] = "lux"
        error = Folder(self, tank).error("plan")
        self.assertIn('lux of "panel" cannot be turned into PPFD without its "lux_per_ppfd"', error)
        hint = error.split("hint:")[1]
        for factor in LUX_FACTORS:
            self.assertRegex(hint, rf"\b{factor}\b")
        self.assertIn("quantum sensor", hint)


class RelativeMeter(unittest.TestCase):
    def tank(self, factor):
        full, tubes = {"crest": 183.7, "sand": 61.3}, {"crest": 141.1, "sand": 70.9}
        scaled = [{spot: factor * ppfd for spot, ppfd in light.items()} for light in (full, tubes)]
        groups = [coral("frags", "crest"), coral("chalice", "sand", {"weekly_rise_percent": 9})]
        tank = make_tank(scaled[0], groups, tubes=scaled[1])
        tank["meter"]["relative"] = True
        return tank

    def test_the_plan_is_the_same_in_any_unit(self):
        plans = [Folder(self, self.tank(factor)).json("plan") for factor in (1, 0.013, 7, 1000)]
        self.assertGreater(len(set(dials_of(plans[0]))), 4)
        for plan, factor in zip(plans, (1, 0.013, 7, 1000)):
            self.assertEqual(dials_of(plan), dials_of(plans[0]))
            for key in ("status", "reaches_goal", "settled"):
                self.assertEqual(plan[key], plans[0][key])
            self.assertEqual([d["held_by"] for d in plan["days"]],
                             [d["held_by"] for d in plans[0]["days"]])
            self.assertAlmostEqual(plan["days"][9]["groups"][0]["peak"],
                                   factor * plans[0]["days"][9]["groups"][0]["peak"], 6)
        # Bands count for a quantum sensor: 1000 times the light is no plan at all.
        tank = self.tank(10)
        del tank["meter"]["relative"]
        self.assertNotEqual(dials_of(Folder(self, tank).json("plan")), dials_of(plans[0]))

    def test_every_answer_says_that_it_is_relative_and_judges_no_amount(self):
        folder = Folder(self, self.tank(7))
        for command in ("check", "plan", "today", "why", "survey"):
            words = (command, "--date", date_of(3)) if command in ("today", "why") else (command,)
            with self.subTest(command):
                self.assertRegex(folder.text(*words), r"meter is relative|meter's own unit")
                self.assertIs(folder.json(*words)["relative"], True)
                self.assertNotRegex(folder.text(*words), r"in umol|in mol|within|below|above")
        self.assertEqual([group["fit"] for group in folder.json("plan")["groups"]], [None, None])
        for group in folder.json("check")["groups"]:
            self.assertEqual([group[key] for key in ("dose_band", "peak_ceiling", "verdict")],
                             [None] * 3)

    def test_a_history_is_an_error_and_placing_is_refused(self):
        tank = self.tank(7)
        self.assertIn("a relative meter cannot say whether a spot suits a coral",
                      Folder(self, tank).error("place", expect=1))
        tank["groups"][0]["history"] = {"dose": 6.2, "peak": 190}
        error = Folder(self, tank).error("plan")
        self.assertIn("means nothing to a relative meter", error)
        self.assertIn("/groups/0/history", error)


class UnreadSpots(unittest.TestCase):
    """The panel was read at some of six spots with coordinates, and not at the nook."""
    PLACES = {"crest": (50, 20, 10), "left": (20, 20, 18), "right": (80, 20, 18),
              "front": (50, 5, 28), "back": (45, 35, 26), "sand": (55, 12, 44)}
    PPFD = {"crest": 260, "left": 150, "right": 170, "front": 110, "back": 120, "sand": 70}

    def tank(self, count=6, ppfd=None, nook=None):
        ppfd = dict(list((ppfd or self.PPFD).items())[:count])
        if nook:
            ppfd["nook"] = nook
        tank = make_tank(ppfd, [coral("chalice", "nook"), coral("frags", "crest")],
                         tubes={"nook": 100, "crest": 500})
        places = {**self.PLACES, "nook": (35, 14, 24)}
        tank["spots"] = [{"name": name, "x_cm": x, "y_cm": y, "depth_cm": z}
                         for name, (x, y, z) in places.items()]
        tank["lights"][0]["dial"]["step"] = 0.1
        return tank

    def test_an_estimate_is_marked_wherever_it_counts_and_a_reading_nowhere(self):
        folder, read = Folder(self, self.tank()), Folder(self, self.tank(nook=130))
        for words in (["check"], ["plan"], ["today", "--date", date_of(0)],
                      ["why", "--date", date_of(0)]):
            with self.subTest(words):
                (estimate,) = folder.json(*words)["estimated"]
                self.assertEqual((estimate["spot"], estimate["light"]), ("nook", "panel"))
                percent = round(100 * estimate["log_error"])
                self.assertIn(f"Estimated from the readings around, not read: panel at nook "
                              f"(+/- {percent} %)", folder.text(*words))
                self.assertFalse(read.json(*words).get("estimated"))
                self.assertNotIn("Estimated", read.text(*words))
        survey = folder.json("survey")
        self.assertEqual([c["spot"] for c in survey["changes"] if "estimated" in c], ["nook"])
        self.assertEqual([(m["light"], m["readings"]) for m in survey["maps"]], [("panel", 6)])
        self.assertEqual(survey["read_next"]["spot"], "nook")
        self.assertIsNone(read.json("survey")["read_next"])
        text = folder.run("survey").stdout
        self.assertRegex(text, r"\n *nook .* estimated\n")
        self.assertEqual(re.findall(r"([a-z]):\d+~", text), ["g"])
        self.assertNotRegex(read.run("survey").stdout, r":\d+~|estimated\n")
        self.assertEqual(folder.json("place")["estimated"], ["nook"])
        self.assertIn("Estimated, not read: nook.", folder.text("place"))
        self.assertNotIn("estimated", read.text("place").lower())

    def nook_of(self, folder):
        return next(c["after"] for c in folder.json("survey")["changes"] if c["spot"] == "nook")

    def test_an_even_light_is_estimated_as_even(self):
        even = Folder(self, self.tank(ppfd=dict.fromkeys(self.PPFD, 140)))
        self.assertAlmostEqual(self.nook_of(even), 140, 6)
        self.assertTrue(70 < self.nook_of(Folder(self, self.tank())) < 260)

    def test_too_few_readings_are_an_error_that_counts_what_is_lacking(self):
        for count, lacking in ((5, 1), (4, 2)):
            error = Folder(self, self.tank(count)).error("plan")
            self.assertIn('"chalice" needs a reading of "panel" at "nook"', error)
            self.assertRegex(error, rf"to estimate it instead takes {lacking} more reading")
        # A reading at a spot without coordinates does not count.
        tank = self.tank()
        del tank["spots"][2]["depth_cm"]
        self.assertRegex(Folder(self, tank).error("plan"), "takes 1 more reading")

    def test_without_coordinates_there_is_no_estimate_and_the_error_says_so(self):
        tank = self.tank()
        del tank["spots"][-1]["y_cm"]
        error = Folder(self, tank).error("plan")
        self.assertIn("to estimate it instead takes its x, y and depth", error)
        self.assertNotIn("more reading", error)

    def test_the_error_of_an_estimate_makes_the_opening_more_careful(self):
        # A(0) = 0.8 D0 exp(-1.645 u). Tubes and panel read: u^2 is the sum of both readings'
        # own, (0.05)^2 + (0.5 / E)^2. With the panel estimated to e its reading's is e^2. L(0) =
        # A(0), so the opening is the last dial whose dose is not over A(0). Doses go as PPFD:
        # 100 before, 100 % of `full` after.
        folder = Folder(self, self.tank())
        plan, full = folder.json("plan"), self.nook_of(folder)
        error = plan["estimated"][0]["log_error"]
        read = Folder(self, self.tank(nook=full)).json("plan")
        self.assertGreater(error, 0.02)
        before = math.hypot(0.05, 0.5 / 100)
        for opening, u in ((plan, math.hypot(before, error)),
                           (read, math.hypot(before, 0.05, 0.5 / full))):
            self.assertEqual(opening["days"][0]["held_by"]["group"], "chalice")
            dial = 100 * 0.8 * 100 * math.exp(-1.645 * u) / full
            self.assertAlmostEqual(dials_of(opening)[0], math.floor(10 * dial) / 10, 9)
        self.assertLess(dials_of(plan)[0], dials_of(read)[0])
        # What was estimated is slower at no time.
        for dim, bright in zip(dials_of(plan), dials_of(read)):
            self.assertLessEqual(dim, bright)


# ---------------------------------------------------------------------------------------------

def place_tank(doses, groups, goal=100, capacity=None):
    """doses: by spot, with the panel at 100 %. The corals come from the goal's dial."""
    tank = make_tank({spot: dose / DOSE_OF_PPFD for spot, dose in doses.items()}, groups,
                     (goal, goal))
    tank["lights"][0]["dial"]["step"] = 10
    for spot in tank["spots"]:
        spot["capacity"] = (capacity or {}).get(spot["name"], 1)
    return tank


def band(low, high):
    return {"dose_band": [low, high], "peak_ceiling": 3000}


class RandomPlaces:
    """A random tank, and the cost of its placements by scipy."""
    PRICE = math.log(1.25)  # of a move
    FORBIDDEN, LEFT = 1e6, 1e3
    DIALS = range(10, 101, 10)

    def __init__(self, seed):
        dice = random.Random(seed)
        names = [f"spot {n}" for n in range(dice.randint(4, 6))]
        self.doses = {name: math.exp(dice.uniform(0, 3.4)) for name in names}
        self.capacity = {name: dice.randint(1, 2) for name in names}
        groups = []
        for n in range(dice.randint(3, 6)):
            low = dice.uniform(1, 8)
            figures = {"dose_band": [low, low * dice.uniform(1.3, 3)],
                       "peak_ceiling": dice.uniform(80, 600)}
            groups.append(coral(f"coral {n}", dice.choice(names), figures))
            if dice.random() < 0.3:
                dose = dice.uniform(2, 20)
                groups[-1]["history"] = {"dose": dose, "peak": dose / DOSE_OF_PPFD}
            groups[-1]["fixed"] = dice.random() < 0.2
        self.goal = dice.choice((30, 60, 100))
        self.tank = place_tank(self.doses, groups, self.goal, self.capacity)

    def judge(self, group, spot, dial):
        """The misfit, and whether the group may be put there.

        ln(low / dose) below the band, ln(dose / high) above it, ln(peak / ceiling) over the
        ceiling, whichever is most; the band ends at max(high, D0), the ceiling is max(ceiling, P0).
        """
        dose, now = self.doses[spot] * dial / 100, self.doses[group["spot"]] * self.goal / 100
        before = group.get("history", {"dose": now, "peak": now / DOSE_OF_PPFD})
        low, high = group["profile"]["dose_band"]
        over = max(math.log(dose / max(high, before["dose"])),
                   math.log(dose / DOSE_OF_PPFD / max(group["profile"]["peak_ceiling"],
                                                      before["peak"])))
        is_permitted = over <= 1e-9
        return max(0 if is_permitted else over, math.log(low / dose), 0), is_permitted

    def best_at(self, dial):
        """The spots that cost least for all groups at once, price of moves included."""
        groups = self.tank["groups"]
        movers = [group for group in groups if not group["fixed"]]
        rooms = []
        for spot in self.doses:
            here = [group for group in groups if group["spot"] == spot]
            room = max(self.capacity[spot], len(here)) - sum(group["fixed"] for group in here)
            rooms += [spot] * room
        costs = numpy.empty((len(movers), len(rooms)))
        for i, group in enumerate(movers):
            for j, spot in enumerate(rooms):
                misfit, is_permitted = self.judge(group, spot, dial)
                if spot == group["spot"]:
                    costs[i, j] = misfit + (0 if is_permitted else self.LEFT)
                else:
                    costs[i, j] = misfit + self.PRICE if is_permitted else self.FORBIDDEN
        chosen = {group["name"]: group["spot"] for group in groups}
        for i, j in zip(*linear_sum_assignment(costs)):
            chosen[movers[i]["name"]] = rooms[j]
        return chosen

    def worth_of(self, chosen, dial):
        """Groups that are not right, groups left where they may not be, moves, misfit."""
        judged = [self.judge(group, chosen[group["name"]], dial) for group in self.tank["groups"]]
        return (sum(verdict != (0, True) for verdict in judged),
                sum(not is_permitted for _, is_permitted in judged),
                sum(chosen[group["name"]] != group["spot"] for group in self.tank["groups"]),
                sum(misfit for misfit, _ in judged))

    def without_spot(self, dials):
        return [group["name"] for group in self.tank["groups"]
                if all(self.judge(group, spot, dial) != (0, True)
                       for spot in self.doses for dial in dials)]


class Place(unittest.TestCase):
    def place(self, *tank, options=(), **keys):
        return Folder(self, place_tank(*tank, **keys)).json("place", *options)

    def test_nothing_is_moved_for_a_trifle(self):
        # The band begins at 4. From 3.3 a move gains ln(4 / 3.3) = 0.192, from 3.1 ln(4 / 3.1) =
        # 0.255; it must gain ln 1.25 = 0.223, or ln 1.1 = 0.095, or ln 1.4 = 0.336.
        for dose, option, moves in ((3.3, (), 0), (3.1, (), 1), (3.3, ("--least-gain", 10), 1),
                                    (3.1, ("--least-gain", 40), 0)):
            answer = self.place({"low": dose, "ledge": 5}, [coral("frags", "low", band(4, 8))],
                                options=option)
            expected = [{"group": "frags", "from": "low", "to": "ledge"}][:moves]
            self.assertEqual(answer["moves"], expected, (dose, option))
            self.assertEqual(answer["assignment"], {"frags": "ledge" if moves else "low"})
            self.assertEqual((answer["within_band"], answer["no_spot"]), (moves, []))
            self.assertAlmostEqual(answer["misfit"], 0 if moves else math.log(4 / dose), 9)
            self.assertEqual(answer["dials"], {"panel": 100})

    def test_a_spot_takes_as_many_as_its_capacity(self):
        groups = [coral("dimmer", "low", band(4, 8)), coral("dimmest", "lower", band(4, 8))]
        doses = {"low": 2.5, "lower": 1.5, "ledge": 5}
        one = self.place(doses, groups)
        self.assertEqual([move["group"] for move in one["moves"]], ["dimmest"])
        two = self.place(doses, groups, capacity={"ledge": 2})
        self.assertEqual([move["to"] for move in two["moves"]], ["ledge", "ledge"])
        # Who lives there already takes up room. The low spot is emptied by nobody then.
        full = self.place(doses, [*groups, coral("old", "ledge", band(4, 8))])
        self.assertEqual(full["moves"], [])

    def test_a_fixed_group_stays_right_or_wrong(self):
        doses = {"low": 1.5, "ledge": 5}
        self.assertEqual(len(self.place(doses, [coral("frags", "low", band(4, 8))])["moves"]), 1)
        fixed = self.place(doses, [coral("frags", "low", band(4, 8), fixed=True)])
        self.assertEqual((fixed["moves"], fixed["within_band"], fixed["no_spot"]), ([], 0, []))

    def test_groups_without_a_spot_and_the_best_dial(self):
        # At 50 % the doses are 1.5 and 2.5. frags, 4 to 8, have no spot; at 80 % and more, doses
        # of 4 and 2.4, they have, and of the dials that move nobody 80 is nearest to the goal.
        frags, sponge = coral("frags", "ledge", band(4, 8)), coral("chalice", "low", band(2, 3))
        tank = place_tank({"low": 3, "ledge": 5}, [frags, sponge], goal=50)
        folder = Folder(self, tank)
        answer = folder.json("place")
        self.assertEqual(answer["no_spot"], ["frags"])
        self.assertEqual(answer["no_spot_at_any_dial"], [])
        over = answer["over_dials"]
        self.assertEqual((over["dials"], over["moves"], over["within_band"], over["no_spot"]),
                         ({"panel": 80}, [], 2, []))
        text = folder.text("place")
        self.assertIn("at the goal, panel 50 %, 0 of 2 groups can sit right", text)
        self.assertIn("panel 80 % lets 2 of 2 sit right, with no move", text)
        self.assertIn("no spot that was read is right for: frags", text)
        tank["groups"][0]["profile"]["dose_band"] = [30, 40]
        folder.write(tank)
        self.assertEqual(folder.json("place")["no_spot_at_any_dial"], ["frags"])
        self.assertIn("At no setting is any spot of this tank right for: frags",
                      folder.text("place"))

    def test_random_tanks_are_placed_as_well_as_by_another_solver(self):
        moves = 0
        for seed in range(40):
            with self.subTest(seed=seed):
                tank = RandomPlaces(seed)
                answer = Folder(self, tank.tank).json("place")
                worth = tank.worth_of(answer["assignment"], tank.goal)
                numpy.testing.assert_allclose(
                    worth, tank.worth_of(tank.best_at(tank.goal), tank.goal), atol=1e-9)
                self.assertEqual(answer["within_band"], len(tank.tank["groups"]) - worth[0])
                self.assertEqual(answer["no_spot"], tank.without_spot([tank.goal]))
                self.assertEqual(answer["no_spot_at_any_dial"], tank.without_spot(tank.DIALS))
                over = answer["over_dials"]
                best = min(tank.worth_of(tank.best_at(dial), dial) for dial in tank.DIALS)
                numpy.testing.assert_allclose(
                    tank.worth_of(over["assignment"], over["dials"]["panel"]), best, atol=1e-9)
                moves += len(answer["moves"])
        self.assertGreater(moves, 20)


# ---------------------------------------------------------------------------------------------

STAIRS = {"sand": 60, "step": 72, "ledge": 86, "crest": 103, "nook": 40}


def climber(**more):
    """From 60 to 67.2 umol, 1.12 times, under a light that stays."""
    return make_tank({"sand": 60, "shelf": 67.2}, [coral("climber", "sand", to_spot="shelf",
                                                         when="ready", **more)], (100, 100))


def stairs(ramp=(100, 100), others=(), **more):
    """Three steps of about 1.2; readings repeat to 2 %, so that 1.3 exp(-1.645 sqrt(2) 0.02) =
    1.241 allows one at a time."""
    group = coral("climber", "sand", to_spot="crest", when="ready",
                  **{"via": ["step", "ledge"], **more})
    return make_tank(STAIRS, [group, *others], ramp, meter={"repeat_percent": 2})


def under_meshes(meshes):
    """A coral from a dim tank, 2 mol a day, at once at its spot of 3.6."""
    group = coral("staghorn", "crest", history={"dose": 2, "peak": 60},
                  shade={"transmission": meshes, "until": "ready"})
    return make_tank({"crest": 100}, [group], (100, 100))


MESHES = [0.36, 0.41, 0.47, 0.54, 0.62, 0.71, 0.81, 0.92]


class Moves(unittest.TestCase):
    def test_a_group_moves_on_the_first_day_on_which_the_pace_allows_it(self):
        # L has grown from D to 1.12 D after 7 ln 1.12 / ln 1.15 = 5.7 days: on day 6. Headroom
        # would allow it from the first day on: 1.3 exp(-1.645 sqrt(2) 0.05) = 1.157.
        folder = Folder(self, climber())
        plan = folder.json("plan")
        self.assertEqual(plan["moves"], [{"date": date_of(6), "group": "climber",
                                          "spot": "shelf"}])
        check_days(self, climber(), plan)
        self.assertIn(f"Moves, before the lights come on {date_of(6)} day 6 move climber to shelf",
                      folder.text("plan"))
        before = folder.json("today", "--date", date_of(2))
        self.assertFalse(before.get("moves"))
        self.assertEqual(before["next"]["date"], date_of(6))
        self.assertEqual(before["next"]["moves"], plan["moves"])
        self.assertIn(f"Next: panel 100 % on {date_of(6)}, and move climber to shelf",
                      folder.text("today", "--date", date_of(2)))
        self.assertEqual(folder.json("today", "--date", date_of(6))["moves"],
                         ["move climber to shelf"])
        self.assertIn("Before the lights come on: move climber to shelf.",
                      folder.text("today", "--date", date_of(6)))
        why = folder.json("why", "climber", "--date", date_of(5))["move"]
        self.assertEqual((why["spot"], why["arrives"], why["binds"]),
                         ("shelf", date_of(6), "dose_pace"))
        self.assertAlmostEqual(why["exposure"]["peak"], 67.2, 9)
        self.assertRegex(folder.text("why", "climber", "--date", date_of(5)),
                         rf"is to move to shelf, where it would get dose 2\.42, peak 67\.2 today: "
                         rf".* It is to be there on {date_of(6)}")
        self.assertIsNone(folder.json("why", "climber", "--date", date_of(6)).get("move"))

    def test_one_move_may_bring_no_more_than_headroom_less_the_doubt(self):
        # At once used to 1.3 x 0.8902 = 1.157 times 60 umol, 69.4, and L reaches that on day 8.
        for ppfd, is_ready in ((69.3, True), (69.6, False)):
            tank = climber()
            tank["surveys"][0]["ppfd"]["shelf"] = ppfd
            folder = Folder(self, tank)
            plan = folder.json("plan")
            self.assertEqual(bool(plan.get("moves")), is_ready, ppfd)
            self.assertEqual(any("never ready" in note for note in plan["notes"]), not is_ready)
            if not is_ready:
                self.assertIn("climber is never ready for shelf", folder.text("plan"))
                self.assertIn('"via"', folder.text("plan"))

    def test_stops_on_the_way_are_the_fastest_there_are(self):
        for more in ({}, {"min_stay_days": 30}, {"via": "any"}, {"via": ["ledge", "step"]},
                     {"min_stay_days": 1}):
            with self.subTest(more):
                tank = stairs(**more)
                plan = Folder(self, tank).json("plan")
                check_days(self, tank, plan)
                days = [(datetime.date.fromisoformat(move["date"]) - START).days
                        for move in plan["moves"]]
                self.assertEqual([move["spot"] for move in plan["moves"]],
                                 ["step", "ledge", "crest"])
                stay = more.get("min_stay_days", 7)
                self.assertTrue(all(b - a >= stay for a, b in zip(days, days[1:])), days)
                self.assertEqual((days[-1], len(days)), find_fastest(tank, tank["groups"][0]))

    def test_a_stop_that_saves_no_day_is_left_out(self):
        tank = climber(via="any")
        tank["spots"].append({"name": "between"})
        tank["surveys"][0]["ppfd"]["between"] = 63
        plan = Folder(self, tank).json("plan")
        check_days(self, tank, plan)
        self.assertEqual(find_fastest(tank, tank["groups"][0]), (6, 1))
        self.assertEqual([(m["date"], m["spot"]) for m in plan["moves"]], [(date_of(6), "shelf")])

    def test_the_dial_does_not_wait_for_a_group_that_can_wait(self):
        stayer = coral("frags", "crest")
        tank = stairs((40, 80), [stayer])
        plan = Folder(self, tank).json("plan")
        check_days(self, tank, plan)
        self.assertEqual(plan["moves"][-1]["spot"], "crest")
        alone = make_tank(STAIRS, [stayer], (40, 80), meter={"repeat_percent": 2})
        dials = dials_of(Folder(self, alone).json("plan"))
        self.assertEqual(dials_of(plan)[:len(dials)], dials)
        self.assertEqual(set(dials_of(plan)[len(dials):]), {80})
        self.assertGreater(len(set(dials)), 4)

    def test_the_dial_waits_for_a_group_that_can_neither_wait_nor_go(self):
        tank = stairs((40, 80), [coral("frags", "crest")], via=[])
        tank["groups"][0]["profile"]["weekly_rise_percent"] = 5
        tank["groups"][0]["to_spot"] = "step"
        plan = Folder(self, tank).json("plan")
        check_days(self, tank, plan)
        self.assertIn("climber", [day["held_by"]["group"] for day in plan["days"]
                                  if day["held_by"]])
        alone = make_tank(STAIRS, [coral("frags", "crest")], (40, 80),
                          meter={"repeat_percent": 2})
        self.assertGreater(plan["reaches_goal"],
                           Folder(self, alone).json("plan")["reaches_goal"])

    def test_a_stack_of_meshes_comes_off_one_by_one(self):
        tank = under_meshes(MESHES)
        folder = Folder(self, tank)
        plan = folder.json("plan")
        check_days(self, tank, plan)
        self.assertEqual(set(dials_of(plan)), {100})
        self.assertEqual([move.get("shade", 1) for move in plan["moves"]], [*MESHES[1:], 1])
        self.assertEqual(plan["days"][0]["groups"][0]["shade"], 0.36)
        self.assertNotIn("shade", plan["days"][-1]["groups"][0])
        text = folder.text("plan")
        self.assertIn(f"{date_of(0)} day 0 put a mesh that lets 36 % through over staghorn", text)
        self.assertRegex(text, "change the mesh over staghorn for .{,7} that lets 41 % through")
        last = plan["moves"][-1]["date"]
        self.assertEqual(folder.json("today", "--date", last)["moves"],
                         ["take the mesh off staghorn"])
        self.assertIn("Before the lights come on: take the mesh off staghorn.",
                      folder.text("today", "--date", last))
        self.assertIn("staghorn is never ready to lose its mesh",
                      Folder(self, under_meshes([0.36])).text("plan"))

    def test_a_stack_comes_off_as_fast_as_the_caps_allow(self):
        tank = under_meshes([0.66, 0.76, 0.87])
        tank["groups"][0]["history"] = {"dose": 4, "peak": 110}
        plan = Folder(self, tank).json("plan")
        check_days(self, tank, plan)
        arrival, count = find_fastest(tank, tank["groups"][0])
        self.assertEqual((plan["moves"][-1]["date"], len(plan["moves"])),
                         (date_of(arrival), count))

    def test_the_example_does_what_its_text_says(self):
        plan = json.loads(run("plan", QUARANTINE, "--json").stdout)
        self.assertEqual({day["dials"]["bars"] for day in plan["days"]}, {70})
        last = {group["name"]: group for group in plan["days"][-1]["groups"]}
        self.assertEqual(last["new birdsnest"]["spot"], "left ledge")
        self.assertGreater([m["group"] for m in plan["moves"]].count("new birdsnest"), 1)
        for name in ("new staghorn", "new hammer"):
            self.assertIn("shade", plan["days"][0]["groups"][list(last).index(name)])
            self.assertNotIn("shade", last[name])
        self.assertEqual({e["spot"] for e in plan["estimated"]}, {"right ledge"})

    def test_moves_that_make_no_sense_are_errors(self):
        to = {"to_spot": "crest", "when": "ready"}
        for more, what, key in (
                ({"to_spot": "crest", "via": ["step"]}, 'add "when": "ready"', "via"),
                ({"to_spot": "crest", "min_stay_days": 5}, 'add "when": "ready"', "min_stay_days"),
                ({"when": "ready"}, '"when" needs a spot to move to', "when"),
                ({"to_spot": "sand", "when": "ready"}, "at this spot already", "to_spot"),
                ({"to_spot": "crest", "fixed": True}, "a fixed group cannot move", "to_spot"),
                ({**to, "via": ["stepp"]}, 'did you mean "step"?', "via/0"),
                ({**to, "via": ["step", "step"]}, "stands twice", "via/1"),
                ({"shade": {"transmission": [0.5, 0.7, 0.6]}}, "do not get lighter",
                 "shade/transmission/2"),
                ({"shade": {"transmission": [0.5, 0.5]}}, "do not get lighter",
                 "shade/transmission/1"),
                ({"shade": {"transmission": 60}}, "the share of the light",
                 "shade/transmission")):
            with self.subTest(more):
                tank = make_tank(STAIRS, [coral("climber", "sand", **more)])
                error = Folder(self, tank).error("plan")
                self.assertIn(what, error)
                self.assertIn(f"/groups/0/{key})", error)
                self.assertRegex(error, r"weir\.tank\.json:\d+:\d+: error: .* hint: ")


# ---------------------------------------------------------------------------------------------

class Logged(unittest.TestCase):
    """What today proposes, until it is logged. All are looked at on days 5 and 12."""

    def followed(self, tank, **files):
        folder = Folder(self, tank, **files)
        folder.run("follow")
        self.looks = [5, 12]
        return folder

    def live(self, folder, day):
        """Up to the evening of a day, with the looks that are due by then."""
        while self.looks and self.looks[0] <= day:
            folder.run("checkin", "--all", "--colour", "0", "--date", date_of(self.looks.pop(0)))

    def proposed(self, folder, day):
        self.live(folder, day)
        return folder.json("today", "--date", date_of(day)).get("moves", [])

    def test_a_move_is_proposed_from_its_day_on_until_it_is_logged(self):
        folder = self.followed(climber())
        for day in range(9):
            expected = ["move climber to shelf"] if day >= 6 else []
            self.assertEqual(self.proposed(folder, day), expected, day)
        text = folder.text("today", "--date", date_of(8))
        self.assertIn("move climber to shelf. Log it once it is done: slowdawn moved", text)
        folder.run("moved", "climber", "shelf", "--date", date_of(8))
        plan = folder.json("plan")
        spots = [day["groups"][0]["spot"] for day in plan["days"]]
        self.assertEqual(spots[:8], ["sand"] * 8)
        self.assertEqual(set(spots[8:]), {"shelf"})
        self.assertEqual([(move["date"], move["spot"]) for move in plan["moves"]],
                         [(date_of(8), "shelf")])
        # From A(8) = D on, as reckoned: A counts for exp(-1.645 u) on its day.
        u = doubt_between(climber(), ("sand", 1), ("shelf", 1))
        self.assertAlmostEqual(plan["days"][8]["groups"][0]["acclimated_peak"],
                               60 * math.exp(-1.645 * u), 9)
        folder.run("undo")
        self.assertEqual([self.proposed(folder, day) for day in (8, 9, 13)],
                         [["move climber to shelf"]] * 3)

    def test_a_move_that_was_logged_is_not_proposed_again(self):
        folder = self.followed(climber())
        self.live(folder, 8)
        folder.run("moved", "climber", "shelf", "--date", date_of(8))
        self.assertEqual([self.proposed(folder, day) for day in (9, 10, 13)], [[], [], []])

    def test_the_stops_of_a_way_are_proposed_one_after_the_other(self):
        folder = self.followed(stairs())
        self.looks = [5, 12, 19]
        first = next(day for day in range(20) if self.proposed(folder, day))
        self.assertEqual(self.proposed(folder, first), ["move climber to step"])
        folder.run("moved", "climber", "step", "--date", date_of(first))
        plan = folder.json("plan")
        moves = [(move["spot"], move["date"]) for move in plan["moves"]]
        self.assertEqual(moves[0], ("step", date_of(first)))
        self.assertEqual([spot for spot, _ in moves], ["step", "ledge", "crest"])

    def test_a_group_that_nobody_has_looked_at_is_not_moved_to_more_light(self):
        folder = self.followed(climber())
        self.looks = []
        self.assertEqual([self.proposed(folder, day) for day in (7, 8)],
                         [["move climber to shelf"], []])

    def test_meshes_that_are_changed_and_taken_off_are_logged(self):
        folder = self.followed(under_meshes(MESHES))
        self.live(folder, 9)
        folder.run("moved", "staghorn", "--mesh", "0.47", "--date", date_of(9))
        folder.run("moved", "staghorn", "--mesh-off", "--date", date_of(11))
        shades = [day["groups"][0].get("shade", 1) for day in folder.json("plan")["days"]]
        self.assertEqual(shades[8:12], [0.36, 0.47, 0.47, 1])
        self.assertEqual(self.proposed(folder, 13), [])
        folder.run("undo")
        shades = [day["groups"][0].get("shade", 1) for day in folder.json("plan")["days"]]
        self.assertEqual(shades[8:11], [0.36, 0.47, 0.47])
        for share in ("0", "-0.5", "1.01", "60"):
            error = folder.error("moved", "staghorn", "--mesh", share)
            self.assertIn("--mesh goes from over 0 to 1", error)
            self.assertIn("--mesh-off", error)
        # Any share that was measured will do, whatever the file has.
        folder.run("moved", "staghorn", "--mesh", "0.5", "--date", date_of(13))
        shades = [day["groups"][0].get("shade", 1) for day in folder.json("plan")["days"]]
        self.assertEqual(shades[13], 0.5)
        folder.run("moved", "staghorn", "--mesh", "0.5", "--mesh-off", expect=2)
        self.assertRegex(folder.text("history"), r"staghorn.* mesh")

    def test_a_followed_plan_keeps_the_readings_of_its_csv_file(self):
        tank = climber()
        ppfd = tank["surveys"][0].pop("ppfd")
        tank["surveys"][0]["ppfd_file"] = "panel.csv"
        table = "spot,ppfd\n" + "".join(f"{spot},{value}\n" for spot, value in ppfd.items())
        folder = self.followed(tank, panel=table)
        notice = "tank file has changed"
        self.assertNotIn(notice, folder.text("today", "--date", date_of(2)))
        (folder.path / "panel.csv").write_text(table.replace("67.2", "90"))
        self.assertIn(notice, folder.text("today", "--date", date_of(2)))
        self.assertEqual(self.proposed(folder, 6), ["move climber to shelf"])
        (folder.path / "panel.csv").write_text(table)
        self.assertNotIn(notice, folder.text("today", "--date", date_of(2)))
        (folder.path / "panel.csv").unlink()
        # Like the tank file, its readings must be there to be compared with.
        self.assertIn("panel.csv", folder.run("today", "--date", date_of(2), expect=3).stderr)


# ---------------------------------------------------------------------------------------------

def log_of(ppfd, days=1, step=10, without=()):
    """A log from midnight to midnight. ppfd: of the minute of a day. without: minutes left out."""
    lines = ["time,ppfd"]
    for minute in range(0, 1440 * days + 1, step):
        if minute % 1440 not in without:
            at = datetime.datetime(2026, 3, 28) + datetime.timedelta(minutes=minute)
            lines.append(f"{at:%Y-%m-%d %H:%M},{ppfd(minute % 1440)!r}")
    return "\n".join(lines) + "\n"


def square(minute):
    """200 umol for 10 h: up and down within 10 minutes, half of which count."""
    return 200 * min(1, max(0, min(minute - 595, 1205 - minute) / 10))


def trapezoid(minute):
    """200 umol from 11 to 19 h, an hour up and an hour down."""
    return 200 * min(1, max(0, min(minute - 600, 1200 - minute) / 60))


def half_sine(minute):
    return 400 * max(0, math.sin(math.pi * (minute - 360) / 720)) if 360 < minute < 1080 else 0


class Dose(unittest.TestCase):
    def dose(self, text, *options):
        return self.folder(text).json("dose", "sensor.csv", *options)

    def folder(self, text):
        return Folder(self, climber(), sensor=text)

    def test_days_whose_dose_is_known(self):
        # 0.0036 x 200 x 10 h = 7.2; 0.0036 x 200 x 9 h = 6.48; a half-sine has 2 / pi of its
        # square, 0.0036 x 400 x 12 h x 2 / pi = 11.0008, and n trapezoids of it give that times
        # x cot x, x = pi / 2n, here 72 of 10 minutes: 0.016 % less.
        x = math.pi / 144
        sine = 0.0036 * 400 * 12 * 2 / math.pi
        self.assertAlmostEqual(sine, 11.0008, 4)
        for shape, step, dose, peak, lit in ((square, 5, 7.2, 200, 10 + 10 / 60),
                                             (trapezoid, 10, 6.48, 200, 10),
                                             (half_sine, 10, sine * x / math.tan(x), 400, 12)):
            for days in (1, 2):
                with self.subTest(shape.__name__, days=days):
                    made = self.dose(log_of(shape, days, step))
                    self.assertEqual(list(made), ["dose", "peak", "lit_hours", "whole_days",
                                                  "days"])
                    self.assertAlmostEqual(made["dose"], dose, 9)
                    self.assertAlmostEqual(made["peak"], peak, 9)
                    self.assertAlmostEqual(made["lit_hours"], lit, 9)
                    self.assertEqual([day["date"] for day in made["days"]],
                                     ["2026-03-28", "2026-03-29"][:days])
                    self.assertEqual([day["gaps"] for day in made["days"]], [[]] * days)
                    self.assertEqual(made["whole_days"], days)

    def test_the_immersion_factor_multiplies_what_the_sensor_showed(self):
        folder = self.folder(log_of(square, 2, 5))
        plain = folder.json("dose", "sensor.csv")
        factor = folder.json("dose", "sensor.csv", "--immersion-factor", "1.3")
        for made, shown in ((factor, plain), *zip(factor["days"], plain["days"], strict=True)):
            self.assertAlmostEqual(made["dose"], 1.3 * shown["dose"], 9)
            self.assertAlmostEqual(made["peak"], 1.3 * shown["peak"], 9)
        # 7.2 and 200 plain: the row of a day, and the line to paste.
        text = folder.text("dose", "sensor.csv", "--immersion-factor", "1.3")
        self.assertRegex(text, r"2026-03-28 +9\.36 +260 ")
        self.assertIn('"history": {"dose": 9.36, "peak": 260}', text)

    def test_gaps_of_over_10_minutes_are_named(self):
        for last, gaps in ((730, []), (731, [{"from": "12:00", "to": "12:11", "dark": False}])):
            folder = self.folder(log_of(trapezoid, step=1, without=range(721, last)))
            made = folder.json("dose", "sensor.csv")
            self.assertEqual(made["days"][0]["gaps"], gaps)
            self.assertAlmostEqual(made["dose"], 6.48, 9)
            text = folder.text("dose", "sensor.csv")
            self.assertEqual("2026-03-28 12:00 to 12:11, crossed by a straight line" in text,
                             bool(gaps))
        night = self.dose(log_of(trapezoid, step=1, without=range(121, 300)))
        self.assertEqual(night["days"][0]["gaps"], [{"from": "02:00", "to": "05:00",
                                                     "dark": True}])

    def test_gaps_of_over_an_hour_in_the_light_are_an_error_unless_allowed(self):
        self.dose(log_of(trapezoid, step=1, without=range(721, 780)))
        folder = self.folder(log_of(trapezoid, step=1, without=range(721, 781)))
        error = folder.error("dose", "sensor.csv")
        # The header, minutes 0 to 720, then 781.
        self.assertIn("sensor.csv:723:1: error: there is no sample for 1 h 1 min, from 12:00 on "
                      "day 1 to 13:01 on day 1", error)
        self.assertRegex(error, "hint: .*allow gaps")
        self.assertAlmostEqual(folder.json("dose", "sensor.csv", "--allow-gaps")["dose"], 6.48, 9)
        # From 10 to 12 h a straight line from 0 to 200 instead of half an hour's worth of rise
        # and an hour of 200: 200 for 1 h instead of 1.5 h. 6.48 - 0.0036 x 200 x 0.5 = 6.12.
        steep = log_of(trapezoid, step=1, without=range(601, 720))
        self.assertAlmostEqual(self.dose(steep, "--allow-gaps")["dose"], 6.12, 9)


# ---------------------------------------------------------------------------------------------

class WhatWouldHelp(unittest.TestCase):
    """The advice is followed by hand, and the plan must say the date that was promised."""

    def advice(self, tank, pattern):
        folder = Folder(self, tank)
        text = folder.text("plan")
        found = re.search(r"What would help: (.*) the goal is reached (\d+) days sooner, on "
                          r"(\S+)\.\Z", text)
        self.assertTrue(found, text[-500:])
        goal = datetime.date.fromisoformat(folder.json("plan")["reaches_goal"])
        self.assertEqual(goal - datetime.timedelta(days=int(found[2])),
                         datetime.date.fromisoformat(found[3]))
        self.assertRegex(found[1], pattern)
        return re.search(pattern, found[1]).groups(), found[3]

    def check_date(self, tank, date, last_move=None):
        plan = Folder(self, tank).json("plan")
        self.assertEqual(plan["reaches_goal"], date)
        if last_move is not None:
            self.assertEqual(plan["moves"][-1]["date"], date_of(int(last_move)))

    def holders(self, ledge=90):
        groups = [coral("slow", "crest", {"weekly_rise_percent": 5}), coral("frags", "ledge")]
        return make_tank({"crest": 150, "ledge": 140, "nook": 131}, groups,
                         tubes={"crest": 100, "ledge": ledge, "nook": 85},
                         meter={"repeat_percent": 2, "calibration_percent": 0})

    def test_another_spot_for_a_while(self):
        tank = self.holders(ledge=110)
        (group, spot, days), date = self.advice(
            tank, r"with (slow) at (nook) for the first (\d+) days\Z")
        # By hand: its light before is what the tubes gave it at the crest; the meter is the same,
        # so calibration adds nothing to the doubt; it sits at the nook from the first day on.
        tank["groups"][0].update({"spot": "nook", "to_spot": "crest", "when": "ready",
                                  "history": {"dose": DOSE_OF_PPFD * 100, "peak": 100,
                                              "error_percent": 100 * math.hypot(0.02, 0.005)}})
        self.check_date(tank, date, days)

    def test_turning_the_dial_every_day(self):
        tank = make_tank({"crest": 150}, [coral("frags", "crest")], (50, 100))
        tank["ramp"]["every_days"] = 14
        _, date = self.advice(tank, r"with the dial turned every day")
        tank["ramp"]["every_days"] = 1
        self.check_date(tank, date)
        # With nothing to gain there is no advice.
        self.assertNotIn("What would help", Folder(self, tank).text("plan"))

    def test_a_fixed_group_is_not_advised_to_move(self):
        tank = self.holders(ledge=110)
        tank["groups"][0]["fixed"] = tank["groups"][1]["fixed"] = True
        self.assertNotIn("What would help", Folder(self, tank).text("plan"))


if __name__ == "__main__":
    unittest.main()
