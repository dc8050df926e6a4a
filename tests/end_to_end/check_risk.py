#!/usr/bin/env python3
"""`risk`: its chances against a second computation, with NumPy's own generator, of the dials of
the plan's JSON, and of outputs, their covariance and weights that come from the tank file by
way of tests/reference; its words; its sameness.

check_risk.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import datetime
import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

import numpy
from scipy import stats

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
sys.path.insert(0, str(SOURCE / "tests/reference"))
sys.dont_write_bytecode = True
import plan_reference  # noqa: E402  (its folder is known only now)

EXAMPLES = {file.parent.name: file for file in sorted(SOURCE.glob("examples/*/*.tank.json"))}
REEF, RACK = EXAMPLES["stairwell-reef"], EXAMPLES["frag-rack"]
PACES = ("gentle", "standard", "brisk")
TODAY = datetime.date.today()
# The assumptions once more, as DEVELOPERS.md has them.
HEADROOM_SD, TAU_SD = 0.25, 0.40


def run(*words, expect=0, today=None, **others):
    """today: the day on which it is given; the clock's where there is none."""
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    if today:
        clean["SLOWDAWN_TODAY"] = str(today)
    result = subprocess.run([PROGRAM, *map(str, words)], env=clean, check=False, text=True,
                            stdin=subprocess.DEVNULL, capture_output=True, **others)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result.stdout


def run_json(*words, **others):
    return json.loads(run(*words, "--json", **others))


def figures_of(tank, group):
    profile = json.loads((SOURCE / "profiles" / f"{group['profile']}.json").read_text())
    return {**profile, **group.get("override", {})}


def log_sd(relative):
    return math.sqrt(math.log(1 + relative ** 2))


def read_tank(file):
    """The tank file, with the readings of other files in it."""
    tank = json.loads(file.read_text())
    for survey in tank["surveys"]:
        if "ppfd_file" in survey:
            with open(file.parent / survey.pop("ppfd_file"), encoding="utf-8") as table:
                rows = list(csv.reader(table))[1:]
            survey["ppfd"] = {spot: [float(each) for each in repeats] for spot, *repeats in rows}
    return tank


class SecondOpinion:
    """The same question, with outputs drawn from the tank file: which draws meet too much, and
    when. Of the plan it takes where each group is and the dials of each day, and no amount."""

    def __init__(self, file, plan, seed, asked_from=0, count=50_000):
        self.spec = read_tank(file)
        self.tank = plan_reference.Tank(self.spec)
        self.meter = self.tank.meter
        self.plan, self.asked_from = plan, asked_from
        self.random = numpy.random.default_rng(seed)
        self.count = count
        self.known = {}
        self.calibration = self.normal()
        self.first = [self.live(g) for g in range(len(self.spec["groups"]))]

    def normal(self):
        return self.random.standard_normal(self.count)

    def once(self, key, draw):
        """What all that ask for it share."""
        if key not in self.known:
            self.known[key] = draw()
        return self.known[key]

    def draw_read(self, spot):
        """{light: true output} by the covariance of what was read at a spot."""
        full = self.tank.full[spot]
        covariance = numpy.array([[full.covariance[a, b] for b in full.names]
                                  for a in full.names])
        variances, directions = numpy.linalg.eigh(covariance)
        spread = directions * numpy.sqrt(numpy.maximum(variances, 0))
        errors = spread @ self.random.standard_normal((len(full.names), self.count))
        return {name: numpy.maximum(0, full.value[name] + errors[j])
                for j, name in enumerate(full.names)}

    def draw_estimated(self, spot, day, dials):
        """The same where one light was estimated: its value is in the plan's doses."""
        (name, dial), = dials.items()
        estimate, = [each["log_error"] for each in self.plan["estimated"]
                     if each["spot"] == spot]
        hours = 0.0036 * self.tank.lights[name].full_hours(dial)
        value = day["dose"] / (day.get("shade", 1) * hours)
        return {name: value * numpy.exp(estimate * self.normal())}

    def outputs(self, spot, day=None, dials=None):
        if spot in self.tank.full:
            return self.once(spot, lambda: self.draw_read(spot))
        return self.once(spot, lambda: self.draw_estimated(spot, day, dials))

    def mesh(self, spot, shade):
        """What it lets through, read with it and without."""
        error = math.sqrt(2) * self.meter.repeat
        return self.once((spot, shade), lambda: shade * numpy.exp(error * self.normal()))

    def light(self, day, dials, weights):
        """True dose and peak; the moment of the peak is that of what was read, as the plan
        weighs it. weights: {light: (without doubt, as in the plan)}."""
        spot = day["spot"]
        dials = {name: dial for name, dial in dials.items() if dial > 0}
        outputs = self.outputs(spot, day, dials)
        told = {name: float(numpy.median(outputs[name])) for name in dials}
        if spot in self.tank.full:
            told = self.tank.full[spot].value
        lit = tuple(dials.items())
        moment = max(sorted(self.tank.moments(lit)), key=lambda outs: sum(
            weights[name][1] * told[name] * out for (name, _), out in zip(lit, outs)))
        made = {
            "dose": sum(0.0036 * self.tank.lights[name].full_hours(dial) * weights[name][0]
                        * outputs[name] for name, dial in lit),
            "peak": sum(out * weights[name][0] * outputs[name]
                        for (name, _), out in zip(lit, moment))}
        if "shade" in day:
            made = {key: value * self.mesh(spot, day["shade"]) for key, value in made.items()}
        return made

    def start(self, group):
        """What it is used to, and the weights of the lights for it."""
        ramp, figures = self.spec["ramp"], figures_of(self.spec, group)
        past = plan_reference.Past(group, self.tank, ramp)
        goal = plan_reference.goal_dials(self.tank, ramp)
        sure = {name: 1 if name in past.lights() else 1 / figures["carryover"] for name in goal}
        waits = group.get("when") == "ready"
        spot = group["spot"] if waits else group.get("to_spot", group["spot"])
        told = sure
        if spot in self.tank.full:
            told = plan_reference.light_weights(past, spot, self.tank, ramp,
                                                figures["carryover"])
        if past.dials is None:
            factor = numpy.exp(past.error * self.normal()
                               + self.meter.calibration * self.calibration)
        else:
            gradient = self.tank.relative_gradient(past.spot, past.dials)
            outputs = self.outputs(past.spot)
            factor = sum(g * outputs[name] for name, g in gradient.items())
        used_to = {"dose": past.dose * factor, "peak": past.peak * factor}
        return used_to, {name: (sure[name], told[name]) for name in goal}

    def live(self, g):
        figures = figures_of(self.spec, self.spec["groups"][g])
        used_to, weights = self.start(self.spec["groups"][g])
        reach = 1 + (figures["headroom_percent"] / 100
                     * numpy.exp(log_sd(HEADROOM_SD) * self.normal()))
        slower = numpy.exp(log_sd(TAU_SD) * self.normal())
        first = numpy.full(self.count, self.days())
        stood = light = None
        for number, day in enumerate(self.plan["days"]):
            here = day["groups"][g]
            if stood != (here["spot"], here.get("shade"), day["dials"]):
                stood = here["spot"], here.get("shade"), day["dials"]
                light = self.light(here, day["dials"], weights)
            over = numpy.zeros(self.count, dtype=bool)
            for key, level in used_to.items():
                over |= light[key] > reach * level
                tau = numpy.where(light[key] > level, figures["tau_up_days"],
                                  figures["tau_down_days"]) * slower
                used_to[key] = light[key] + (level - light[key]) * numpy.exp(-1 / tau)
            if number >= self.asked_from:
                first = numpy.where(over & (first == self.days()), number, first)
        return first

    def days(self):
        return len(self.plan["days"])


class OfTwoLegs(SecondOpinion):
    """Of a plan in which a light and a group were added when it was followed again."""

    added, newcomer, dials_before = "rear bar", "late comers", None

    def start(self, group):
        if group["name"] == self.newcomer:
            # It has lived there all along, under what was lit before it was named.
            carryover = figures_of(self.spec, group)["carryover"]
            weights = {name: (1, 1) for name in self.tank.lights}
            weights[self.added] = 1 / carryover, 1 / carryover
            day = self.plan["days"][0]
            here, = [each for each in day["groups"] if each["name"] == self.newcomer]
            return self.light(here, day["dials"], weights), weights
        ramp, added = self.spec["ramp"], self.added
        # As if it had been followed from the first day on without that light.
        goal = {name: dial for name, dial in ramp["to"].items() if name != added}
        self.spec["ramp"] = {**ramp, "to": goal}
        used_to, weights = super().start(group)
        self.spec["ramp"] = ramp
        carryover = figures_of(self.spec, group)["carryover"]

        def counted(kind):
            """E / D of the light before, with the doubt or without."""
            dose = {name: self.tank.lights[name].full_hours(dial)
                    * self.tank.full[group["spot"]].value[name]
                    for name, dial in self.dials_before.items() if dial > 0}
            return (sum(weights[name][kind] * each for name, each in dose.items())
                    / sum(dose.values()))
        weights[added] = counted(0) / carryover, counted(1) / carryover
        return used_to, weights


class AgainstNumpy(unittest.TestCase):
    def compare(self, chance, first, opinion, draws):
        met = first < opinion.days()
        share = met.mean()
        error = math.hypot(chance["standard_error"],
                           math.sqrt(share * (1 - share) / opinion.count), 1 / opinion.count)
        self.assertLess(abs(chance["chance"] - share), 4 * error)
        if chance["worst_day"] is None:
            return
        # Days may be as likely as one another: the program's is one of the likeliest.
        counts = numpy.bincount(first[met], minlength=opinion.days())
        start = datetime.date.fromisoformat(opinion.plan["start"])
        there = counts[(datetime.date.fromisoformat(chance["worst_day"]) - start).days]
        if met.sum() > 1000:
            # Both counts scatter, the program's of fewer draws more.
            scatter = math.sqrt(2 * counts.max() * (1 + opinion.count / draws))
            self.assertGreater(there + 4 * scatter, counts.max())

    def compare_all(self, name, file):
        """How many moves there were in the plans."""
        risk = run_json("risk", file)
        moved = 0
        for seed, pace in enumerate(PACES):
            opinion = SecondOpinion(file, run_json("plan", file, "--pace", pace), seed)
            made = risk["paces"][pace]
            for group, first in zip(made["groups"], opinion.first):
                with self.subTest(tank=name, pace=pace, group=group["name"]):
                    self.compare(group, first, opinion, risk["draws"])
            with self.subTest(tank=name, pace=pace, group="any"):
                self.compare(made["any"], numpy.minimum.reduce(opinion.first), opinion,
                             risk["draws"])
            moved += len(opinion.plan.get("moves", []))
        return moved

    def test_chances_and_days_of_three_examples_at_each_pace(self):
        moved = sum(self.compare_all(name, EXAMPLES[name])
                    for name in ("stairwell-reef", "frag-rack", "quarantine-moves"))
        self.assertGreater(moved, 10)

    def test_chances_where_some_light_stays_and_some_is_new(self):
        tank = json.loads(REEF.read_text())
        # The rear bar is known by a mix with the tubes alone, and some move at once.
        tank["surveys"][2] = {"dials": {"tubes": 40, "rear bar": 100},
                              "ppfd": {"crest": [340, 346], "west shoulder": [270, 275],
                                       "east ledge": [160, 158], "cave mouth": [81, 82],
                                       "sand": [78, 77]}}
        tank["groups"][0].update({"spot": "west shoulder", "to_spot": "crest"})
        tank["ramp"]["to"] = {"tubes": 70, "front bar": 30, "rear bar": 45}
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "it.tank.json"
            file.write_text(json.dumps(tank))
            self.compare_all("some new light", file)

    def test_chances_where_a_light_is_added_when_it_is_followed_again(self):
        tank = json.loads(REEF.read_text())
        tank["ramp"].update({"to": {"tubes": 70, "front bar": 45}})
        start = TODAY - datetime.timedelta(24)
        tank["ramp"]["start"] = str(start)
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "it.tank.json"
            file.write_text(json.dumps(tank))
            run("follow", cwd=folder, today=start)
            for day in (0, 7, 14, 21):
                run("checkin", "--all", cwd=folder, today=start + datetime.timedelta(day))
            before = run_json("plan", cwd=folder)["days"][20]["dials"]
            tank["ramp"]["to"]["rear bar"] = 30
            tank["groups"].append({"name": OfTwoLegs.newcomer, "profile": "zoanthid",
                                   "spot": "crest"})
            file.write_text(json.dumps(tank))
            run("follow", cwd=folder, today=start + datetime.timedelta(21))
            plan, risk = run_json("plan", cwd=folder), run_json("risk", cwd=folder)
            OfTwoLegs.dials_before = before
            opinion = OfTwoLegs(file, plan, 1, asked_from=24)
        self.assertEqual((len(plan["legs"]), len(risk["groups"])), (2, 7))
        self.assertGreater(max(day["dials"].get("rear bar", 0) for day in plan["days"]), 0)
        for group, first in zip(risk["groups"], opinion.first):
            with self.subTest(group=group["name"]):
                self.compare(group, first, opinion, risk["draws"])
        self.assertGreater(max(group["chance"] for group in risk["groups"]), 0.05)
        self.compare(risk["any"], numpy.minimum.reduce(opinion.first), opinion, risk["draws"])

    def test_bounds_against_another_library(self):
        seen = 0
        for file in EXAMPLES.values():
            risk = run_json("risk", file)
            pairs = risk["draws"] // 2
            for made in (risk, *risk["paces"].values()):
                for chance in (*made["groups"], made["any"]):
                    met = chance["chance"] * pairs
                    if met != int(met):
                        continue
                    bounds = stats.binomtest(int(met), pairs).proportion_ci(method="wilson")
                    self.assertAlmostEqual(chance["low"], bounds.low, 12)
                    self.assertAlmostEqual(chance["high"], bounds.high, 12)
                    seen += 1
        self.assertGreater(seen, 20)


class Answers(unittest.TestCase):
    def folder(self, tank):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        (pathlib.Path(folder.name) / "it.tank.json").write_text(json.dumps(tank))
        return folder.name

    def test_the_plan_is_one_of_its_paces_and_a_bolder_pace_risks_no_less(self):
        for name, file in EXAMPLES.items():
            with self.subTest(name):
                risk = run_json("risk", file)
                own = json.loads(file.read_text())["ramp"].get("pace", "standard")
                self.assertEqual(risk["groups"], risk["paces"][own]["groups"])
                self.assertEqual(risk["any"], risk["paces"][own]["any"])
                for i, group in enumerate((*risk["groups"], risk["any"])):
                    chances = [[*risk["paces"][pace]["groups"], risk["paces"][pace]["any"]][i]
                               ["chance"] for pace in PACES]
                    self.assertEqual(chances, sorted(chances), group)
                for chance in (*risk["groups"], risk["any"]):
                    self.assertLess(chance["standard_error"], 0.005)
                    self.assertLessEqual(chance["low"], chance["chance"])
                    self.assertGreaterEqual(chance["high"], chance["chance"])
                    self.assertGreater(chance["high"], chance["low"])

    def test_same_bytes_on_any_number_of_processors_and_other_draws_by_seed(self):
        def on(processors):
            return lambda: os.sched_setaffinity(0, processors)
        every = os.sched_getaffinity(0)
        texts = {run("risk", REEF, "--json", preexec_fn=on(use))
                 for use in (every, {min(every)}, {max(every)})}
        texts.add(run("risk", REEF, "--json", "--seed", "1"))
        self.assertEqual(len(texts), 1)
        other = run_json("risk", REEF, "--seed", "2")
        first = json.loads(texts.pop())
        self.assertNotEqual(other["groups"], first["groups"])
        for one, two in zip(first["groups"], other["groups"]):
            error = math.hypot(one["standard_error"], two["standard_error"])
            self.assertLess(abs(one["chance"] - two["chance"]), 5 * error)

    def test_answer_first_in_80_columns_with_what_is_assumed(self):
        for file in EXAMPLES.values():
            text = run("risk", file)
            risk = run_json("risk", file)
            most = max(risk["groups"], key=lambda group: group["chance"])
            self.assertTrue(text.startswith(most["name"] + ": "), text)
            self.assertIn(most["worst_day"], " ".join(text.split("\n\n")[0].split()))
            self.assertLessEqual(max(map(len, text.splitlines())), 80)
            words = " ".join(text.split())
            for line in risk["assumptions"]:
                self.assertIn(line, words)
            for sign in ("no chance of bleaching", "Bands, ceilings and the pace", "25 %", "40 %"):
                self.assertIn(sign, words)

    def test_what_no_draw_met_is_not_said_to_be_impossible(self):
        text = run("risk", EXAMPLES["quarantine-moves"])
        self.assertRegex(text, r"old montipora +under 0\.1 % +-\n")
        never = run_json("risk", EXAMPLES["quarantine-moves"])["groups"][0]
        self.assertEqual((never["chance"], never["worst_day"]), (0, None))
        self.assertGreater(never["high"], 0.0005)

    def test_the_options_of_a_ramp_hold(self):
        brisk = run_json("risk", REEF, "--pace", "brisk")
        self.assertEqual(brisk["groups"], brisk["paces"]["brisk"]["groups"])
        self.assertEqual(run_json("risk", REEF, "--start", "2030-01-01")["from"], "2030-01-01")
        even = run_json("risk", RACK, "--even")
        self.assertNotEqual(even["any"], run_json("risk", RACK)["any"])
        self.assertEqual(even["groups"], even["paces"]["gentle"]["groups"])

    def test_no_safe_opening_is_said_and_is_exit_code_1(self):
        tank = json.loads(RACK.read_text())
        tank["groups"][0]["history"] = {"dose": 0.4, "peak": 12}
        folder = self.folder(tank)
        self.assertIn("no safe way", run("risk", cwd=folder, expect=1))
        self.assertEqual(run_json("risk", cwd=folder, expect=1)["status"], "no_safe_opening")

    def test_a_held_plan_and_a_relative_meter_are_fine(self):
        tank = json.loads(RACK.read_text())
        tank["groups"][1]["override"] = {"dose_band": [1, 5]}
        folder = self.folder(tank)
        self.assertEqual(run_json("plan", cwd=folder)["status"], "held")
        self.assertGreater(run_json("risk", cwd=folder)["draws"], 8000)
        tank = json.loads(RACK.read_text())
        tank["meter"] = {**tank.get("meter", {}), "relative": True}
        folder = self.folder(tank)
        self.assertIs(run_json("risk", cwd=folder)["relative"], True)
        self.assertIn("meter is relative", " ".join(run("risk", cwd=folder).split()))
        # Ratios alone count, so that the unit does not matter.
        for survey in tank["surveys"]:
            survey["ppfd"] = {spot: (numpy.array(ppfd) * 8).tolist()
                              for spot, ppfd in survey["ppfd"].items()}
        self.assertEqual(run_json("risk", cwd=self.folder(tank))["groups"],
                         run_json("risk", cwd=folder)["groups"])

    def test_a_followed_plan_is_asked_from_today_on(self):
        folder = self.folder(json.loads(RACK.read_text()))
        start = TODAY - datetime.timedelta(28)
        run("follow", "--start", start, cwd=folder, today=start)
        for day in (0, 7, 14, 21, 28):
            run("checkin", "--all", cwd=folder, today=start + datetime.timedelta(day))
        followed = run_json("risk", cwd=folder)
        self.assertEqual(followed["from"], TODAY.isoformat())
        whole = run_json("risk", RACK, "--start", start)
        # Its own pace is what is followed; the others are what would come from today on.
        own = json.loads(RACK.read_text())["ramp"]["pace"]
        self.assertEqual(followed["paces"][own]["any"], followed["any"])
        self.assertEqual(len(followed["paces"]), 3)
        for pace, each in followed["paces"].items():
            if pace != own:
                again = run_json("risk", "--pace", pace, cwd=folder)
                self.assertEqual(again["from"], TODAY.isoformat())
                self.assertEqual(again["paces"][pace], each, pace)
        self.assertLess(followed["any"]["chance"], whole["any"]["chance"])
        for group in followed["groups"]:
            if group["worst_day"]:
                self.assertGreaterEqual(group["worst_day"], TODAY.isoformat())
        words = " ".join(run("risk", cwd=folder).split())
        self.assertTrue(words.startswith(f"From {TODAY} on, "), words)
        self.assertIn(f"Days before {TODAY} are lived through as they were dialled", words)

    def test_following_again_with_nothing_changed_changes_no_chance(self):
        tank = json.loads(REEF.read_text())
        tank["ramp"]["to"] = {"tubes": 70, "front bar": 45}
        folder = self.folder(tank)
        start = TODAY - datetime.timedelta(24)
        run("follow", "--start", start, cwd=folder, today=start)
        for day in (0, 7, 14, 21):
            run("checkin", "--all", cwd=folder, today=start + datetime.timedelta(day))
        before = run_json("risk", cwd=folder)
        tank["water"]["length_cm"] += 1
        (pathlib.Path(folder) / "it.tank.json").write_text(json.dumps(tank))
        run("follow", cwd=folder)
        self.assertEqual(len(run_json("plan", cwd=folder)["legs"]), 2)
        again = run_json("risk", cwd=folder)
        self.assertGreater(before["any"]["chance"], 0.02)
        self.assertEqual(again["groups"], before["groups"])

    def test_a_group_that_is_gone_is_not_asked_about(self):
        folder = self.folder(json.loads(REEF.read_text()))
        start = TODAY - datetime.timedelta(3)
        run("follow", "--start", start, cwd=folder, today=start)
        run("checkin", "--all", cwd=folder, today=start)
        before = run_json("risk", cwd=folder)
        run("gone", before["groups"][2]["name"], cwd=folder)
        after = run_json("risk", cwd=folder)
        self.assertEqual(len(after["groups"]), len(before["groups"]) - 1)
        others = [group["chance"] for group in after["groups"]]
        self.assertLessEqual(after["any"]["chance"], sum(others))
        self.assertGreaterEqual(after["any"]["chance"], max(others))

    def test_a_followed_plan_that_is_over_is_asked_for_its_last_day(self):
        folder = self.folder(json.loads(RACK.read_text()))
        start = TODAY - datetime.timedelta(400)
        run("follow", "--start", start, cwd=folder, today=start)
        plan = run_json("plan", cwd=folder)
        risk = run_json("risk", cwd=folder)
        self.assertLessEqual(risk["from"], plan["days"][-1]["date"])


if __name__ == "__main__":
    unittest.main()
