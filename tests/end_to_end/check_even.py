#!/usr/bin/env python3
"""Even ramps and schedules of others as a keeper meets them: plan --even, follow --even, judge.

check_even.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import datetime
import io
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
RACK = SOURCE / "examples/frag-rack/frag-rack.tank.json"
QUARANTINE = SOURCE / "examples/quarantine-moves/quarantine-moves.tank.json"
START = datetime.date(2026, 9, 1)


def run(*words, cwd=None, expect=0, today=None):
    """today: the day, counted from START, on which the command is given; None for the clock's."""
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    if today is not None:
        clean["SLOWDAWN_TODAY"] = date_of(today)
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean,
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    if "--json" not in words and "--csv" not in words:
        for line in result.stdout.splitlines():
            assert len(line) <= 80, (words, line)
    return result


def run_json(*words, **keys):
    return json.loads(run(*words, "--json", **keys).stdout)


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


def dials_words(dials):
    """As --dials takes them: the percentage alone where there is one light."""
    if len(dials) == 1:
        return repr(float(next(iter(dials.values()))))
    return " ".join(f"{name} {float(dial)!r}" for name, dial in dials.items())


def schedule_file(folder, days):
    """A plan's days as a CSV file for judge."""
    file = pathlib.Path(folder) / "schedule.csv"
    names = list(days[0]["dials"])
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["date", *names])
    for day in days:
        writer.writerow([day["date"], *(repr(float(day["dials"][name])) for name in names)])
    file.write_text(out.getvalue())
    return file


class PlanEven(unittest.TestCase):
    def line(self, tank, *words):
        plan = run_json("plan", tank, "--even", "--start", date_of(0), *words)
        return plan, plan["even"]

    def test_days_lie_on_one_straight_line(self):
        for tank in (REEF, RACK):
            plan, even = self.line(tank)
            self.assertEqual(plan["reaches_goal"], date_of(even["days"]))
            for day in range(even["days"] + 1):
                for light, start in even["from"].items():
                    wanted = start + (even["to"][light] - start) * day / even["days"]
                    self.assertAlmostEqual(plan["days"][day]["dials"][light], wanted, places=8)
            for light in even["from"]:
                self.assertEqual(even["from"][light], int(even["from"][light]))

    def test_a_day_less_is_refused_and_the_line_itself_is_not(self):
        for tank in (REEF, RACK):
            _, even = self.line(tank)
            ends = [dials_words(even["from"]), dials_words(even["to"])]
            for days, expect in ((even["days"], 0), (even["days"] - 1, 1)):
                dials = f"{date_of(0)} {ends[0]}, {date_of(days)} {ends[1]}"
                verdict = run_json("judge", tank, "--dials", dials, "--even", expect=expect)
                self.assertEqual(bool(verdict["breaks"]), expect == 1)
                if expect == 1:
                    self.assertEqual(verdict["slower_days"], even["days"])

    def test_says_what_it_costs_against_steps(self):
        for tank in (REEF, RACK):
            _, even = self.line(tank)
            steps = run_json("plan", tank, "--start", date_of(0))
            by_steps = (datetime.date.fromisoformat(steps["reaches_goal"]) - START).days
            self.assertEqual(even["days_by_steps"], by_steps)
            text = " ".join(run("plan", tank, "--even", "--start", date_of(0)).stdout.split())
            cost = even["days"] - by_steps
            # Steps of 5 % once a week are coarser than a line.
            self.assertEqual(cost < 0, tank == RACK)
            self.assertIn(f"the even ramp costs {cost} days" if cost > 0 else
                          f"the even ramp, by finer steps, is {-cost} days shorter", text)
            self.assertIn("evenly to", text)

    def test_a_plan_by_steps_says_nothing_of_it(self):
        self.assertNotIn("even", run_json("plan", REEF, "--start", date_of(0)))

    def test_where_the_dial_stands_still_it_is_a_line_of_no_day(self):
        plan, even = self.line(QUARANTINE)
        self.assertEqual(even["days"], 0)
        self.assertEqual(plan["days"][0]["dials"], even["to"])

    def test_a_band_ends_the_line_short_of_the_goal(self):
        with tempfile.TemporaryDirectory() as folder:
            tank = json.loads(RACK.read_text())
            for group in tank["groups"]:
                if group["name"] == "acropora frags":
                    group["override"] = {"dose_band": [2, 8]}
            file = pathlib.Path(folder) / "rack.tank.json"
            file.write_text(json.dumps(tank))
            plan, even = self.line(file)
            self.assertEqual(plan["status"], "held")
            self.assertIsNone(plan["reaches_goal"])
            end = even["to"]["panel"]
            dose = [g for g in plan["days"][-1]["groups"] if g["name"] == "acropora frags"][0]
            self.assertLessEqual(dose["dose"], 8)
            # One percent more would be over the band.
            self.assertGreater(dose["dose"] * (end + 1) / end, 8)
            self.assertTrue(any("band" in note for note in plan["notes"]))

    def test_no_safe_opening_is_said_as_by_steps(self):
        with tempfile.TemporaryDirectory() as folder:
            tank = json.loads(RACK.read_text())
            tank["lights"][0]["dial"]["lowest"] = 40
            tank["groups"][0]["history"] = {"dose": 0.2, "peak": 6}
            file = pathlib.Path(folder) / "rack.tank.json"
            file.write_text(json.dumps(tank))
            plan = run_json("plan", file, "--even", "--start", date_of(0), expect=1)
            self.assertEqual(plan["status"], "no_safe_opening")

    def test_every_and_even_exclude_each_other(self):
        result = run("plan", RACK, "--even", "--every", "7", expect=2)
        self.assertIn("--every", result.stderr)


class FollowEven(unittest.TestCase):
    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        (self.path / "rack.tank.json").write_text(RACK.read_text())
        self.now = 0
        self.run_here("follow", "--even", "--start", date_of(0))
        self.even = run_json("plan", RACK, "--even", "--start", date_of(0))["even"]

    def run_here(self, *words, **keys):
        return run(*words, cwd=self.path, today=self.now, **keys)

    def json(self, *words, **keys):
        return run_json(*words, cwd=self.path, today=self.now, **keys)

    def today(self, day):
        """What it says on a day; a later one is not asked before the earlier ones are over."""
        self.now = max(self.now, day)
        return self.json("today", "--date", date_of(day))

    def text(self, day):
        self.now = max(self.now, day)
        return " ".join(self.run_here("today", "--date", date_of(day)).stdout.split())

    def look(self, day, group, *words):
        self.now = max(self.now, day)
        self.run_here("checkin", group, *words, "--date", date_of(day))

    def look_all(self, day):
        self.look(day, "--all")

    def on_line(self, day):
        start, end = self.even["from"]["panel"], self.even["to"]["panel"]
        return start + (end - start) * day / self.even["days"]

    def test_goes_along_the_line_as_long_as_all_look_well(self):
        for day in range(0, 22):
            if day % 7 == 0:
                self.look_all(day)
            self.assertAlmostEqual(self.today(day)["dials"]["panel"], self.on_line(day), places=8)
        self.assertEqual(self.today(3)["next"]["date"], date_of(self.even["days"]))
        self.assertEqual(self.today(3)["next"]["dials"], self.even["to"])

    def test_today_says_to_set_it_and_then_that_it_runs(self):
        first = " ".join(self.run_here("today", "--date", date_of(0)).stdout.split())
        self.assertIn("Set the light today to run by itself: panel from 45 % evenly to 80 %", first)
        self.look_all(0)
        later = " ".join(self.run_here("today", "--date", date_of(5)).stdout.split())
        self.assertIn(f"Running by itself since {date_of(0)}", later)
        self.assertNotIn("Changed since yesterday", later)

    def test_a_strained_group_stops_it_and_it_goes_on_evenly(self):
        for day in (0, 7, 14):
            self.look_all(day)
        self.look(20, "birdsnest frags", "--colour", "-2")
        stopped = self.today(21)["dials"]["panel"]
        self.assertLess(stopped, self.on_line(20) * 0.75)
        for day in (23, 26, 27):
            self.look_all(day)
        plan = self.json("plan")
        dials = [day["dials"]["panel"] for day in plan["days"]]
        self.assertEqual(dials[20:23], [stopped] * 3)
        # Once it rises again, it is never faster than the line was.
        slope = self.on_line(1) - self.on_line(0)
        self.assertLessEqual(max(b - a for a, b in zip(dials[23:], dials[24:])), max(slope, 1) + 1e-9)
        self.assertAlmostEqual(dials[-1], 80)

    def test_a_sign_puts_it_off_by_a_day_and_says_so(self):
        for day in (0, 7):
            self.look_all(day)
        self.look(10, "mushrooms", "--colour", "-1")
        self.assertAlmostEqual(self.today(10)["dials"]["panel"], self.on_line(9), places=8)
        text = self.text(10)
        self.assertIn(f"Stop the light's own ramp today and hold it at panel {self.on_line(9):.2f} %",
                      text)
        self.assertIn("one step paler on", text)
        self.assertIn("Set the light today to run by itself: "
                      f"panel from {self.on_line(10):.2f} % evenly to 80 %", self.text(11))

    def test_a_hold_in_the_middle_says_to_stop_the_ramp(self):
        for day in (0, 7):
            self.look_all(day)
        for day in (10, 12):
            self.look(day, "mushrooms", "--colour", "-1")
        # A day late by the sign of day 10, and back to the day before by that of day 12.
        held = self.on_line(10)
        self.assertIn(f"Stop the light's own ramp today and hold it at panel {held:.2f} %",
                      self.text(12))
        for day in (12, 13, 14):
            self.assertAlmostEqual(self.today(day)["dials"]["panel"], held, places=8)
        self.assertIn(f"The light's own ramp is stopped: hold it at panel {held:.2f} %",
                      self.text(14))
        for day in (15, 18):
            self.look_all(day)
        self.assertEqual(self.today(18)["next"]["date"], date_of(19))
        self.assertEqual(self.today(19)["next"]["dials"], self.even["to"])
        self.assertIn("Set the light today to run by itself: "
                      f"panel from {self.on_line(11):.2f} % evenly to 80 %", self.text(19))

    def test_round_trip_through_history(self):
        self.look_all(0)
        before = self.json("plan")
        (self.path / "history.json").write_text(self.run_here("history", "--json").stdout)
        (self.path / "rack.logbook").rename(self.path / "old.logbook")
        self.run_here("history", "--import", "history.json")
        self.assertEqual(self.json("plan"), before)

    def test_a_line_that_is_none_of_the_tank_is_refused(self):
        history = self.json("history")
        for change in ({"days": 0}, {"from": {"panel": 12.5}}, {"from": {"lamp": 45}},
                       {"from": {"panel": 80}, "to": {"panel": 45}}):
            changed = json.loads(json.dumps(history))
            body = changed["entries"][0]
            target = body["body"] if "body" in body else body
            target["even"].update(change)
            (self.path / "history.json").write_text(json.dumps(changed))
            (self.path / "rack.logbook").unlink(missing_ok=True)
            result = self.run_here("history", "--import", "history.json", expect=2)
            self.assertIn("even ramp", result.stderr)
            self.assertIn("follow --even", result.stderr)
            self.assertFalse((self.path / "rack.logbook").exists())


class Judge(unittest.TestCase):
    def test_accepts_the_plan_of_every_example(self):
        for tank in (REEF, RACK, QUARANTINE):
            for pace in ("gentle", "standard", "brisk"):
                plan = run_json("plan", tank, "--start", date_of(0), "--pace", pace)
                with tempfile.TemporaryDirectory() as folder:
                    file = schedule_file(folder, plan["days"])
                    verdict = run_json("judge", tank, "--dials", file, "--pace", pace)
                self.assertEqual(verdict["breaks"], [], (tank, pace))

    def test_refuses_each_with_one_day_raised(self):
        for tank in (REEF, RACK):
            plan = run_json("plan", tank, "--start", date_of(0))
            goal = datetime.date.fromisoformat(plan["reaches_goal"])
            for day in range(0, (goal - START).days, 9):
                days = json.loads(json.dumps(plan["days"][:day + 1]))
                for light in days[day]["dials"]:
                    days[day]["dials"][light] *= 1.35
                with tempfile.TemporaryDirectory() as folder:
                    verdict = run_json("judge", tank, "--dials", schedule_file(folder, days),
                                       expect=1)
                self.assertEqual({each["date"] for each in verdict["breaks"]}, {date_of(day)})
                for each in verdict["breaks"]:
                    self.assertGreater(each["value"], each["limit"])

    def test_numbers_are_those_of_why(self):
        verdict = run_json("judge", RACK, "--dials", f"{date_of(0)} 45, {date_of(14)} 60", expect=1)
        first = [each for each in verdict["breaks"] if each["group"] == "acropora frags"][0]
        why = run_json("why", RACK, "acropora frags", "--start", date_of(0), "--date", date_of(0))
        self.assertEqual(first["cap"], "dose_pace")
        # The light stood at 45 % as it had before: two weeks allow one week's rise and no more.
        dose = [g for g in run_json("plan", RACK, "--start", date_of(0))["days"][0]["groups"]
                if g["name"] == "acropora frags"][0]["dose"]
        self.assertAlmostEqual(first["value"], dose * 60 / 45, places=9)
        self.assertGreater(first["limit"], dose)
        self.assertIn("caps", json.dumps(why))

    def test_the_nearest_is_itself_accepted(self):
        dials = f"{date_of(0)} 45, {date_of(14)} 60, {date_of(30)} 80"
        verdict = run_json("judge", RACK, "--dials", dials, expect=1)
        self.assertEqual(verdict["nearest"][-1]["dials"], {"panel": 80})
        again = ", ".join(f"{step['date']} {dials_words(step['dials'])}"
                          for step in verdict["nearest"])
        self.assertEqual(run_json("judge", RACK, "--dials", again)["breaks"], [])

    def test_lights_by_name_stay_where_they_were(self):
        dials = (f"{date_of(0)} front bar 25 rear bar 20 %, {date_of(4)} rear bar 21")
        verdict = run_json("judge", REEF, "--dials", dials)
        self.assertEqual(verdict["schedule"][-1]["dials"], {"front bar": 25, "rear bar": 21})

    def test_a_followed_plan_is_judged_from_where_it_is(self):
        with tempfile.TemporaryDirectory() as folder:
            (pathlib.Path(folder) / "rack.tank.json").write_text(RACK.read_text())
            run("follow", "--start", date_of(0), cwd=folder, today=0)
            for day in (0, 7, 14):
                run("checkin", "--all", cwd=folder, today=day)
            plan = run_json("plan", cwd=folder, today=20)
            days = plan["days"][20:]
            file = schedule_file(folder, days)
            self.assertEqual(run_json("judge", "--dials", file, cwd=folder, today=20)["breaks"], [])
            late = f"{date_of(900)} 60"
            result = run("judge", "--dials", late, cwd=folder, today=20, expect=2)
            self.assertIn("no day of the plan that is followed", result.stderr)

    def test_text_says_what_and_what_instead(self):
        text = " ".join(run("judge", RACK, "--dials", f"{date_of(0)} 45, {date_of(14)} 60",
                            expect=1).stdout.split())
        self.assertIn("breaks caps on 1 of its 15 days", text)
        self.assertIn(f"The nearest safe change: on {date_of(14)}, panel 50 % in place of panel 60 %",
                      text)
        self.assertIn("is safe from", text)
        self.assertIn("not proven limits", text)
        good = " ".join(run("judge", RACK, "--dials", f"{date_of(0)} 45").stdout.split())
        self.assertIn("breaks no cap", good)

    def test_errors_name_what_is_wrong(self):
        for dials, words in ((f"{date_of(0)}", "is no percentage"),
                             (f"{date_of(0)} 45 50", "does not begin with a light"),
                             (f"{date_of(0)} lamp 45", "is no percentage"),
                             (f"{date_of(1)} 45, {date_of(0)} 50", "does not come after"),
                             ("2026-02-30 45", "does not exist"),
                             (f"{date_of(0)} 145", "out of range"),
                             (f"{date_of(0)} nan", "is no percentage"),
                             (f"{date_of(0)} 45, {date_of(400)} 50", "over a year"),
                             (" , ", "is not a date"), ("", "no date")):
            result = run("judge", RACK, "--dials", dials, expect=2)
            self.assertIn(words, result.stderr, dials)
            self.assertIn("hint:", result.stderr)
        for dials, words in ((f"{date_of(0)} front bar 20", "says nothing of rear bar"),
                             (f"{date_of(0)} 20", "does not begin with a light"),
                             (f"{date_of(0)}", "has no dials")):
            self.assertIn(words, run("judge", REEF, "--dials", dials, expect=2).stderr)

    def test_a_file_is_named_with_its_line(self):
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "mine.csv"
            file.write_text(f"date,dial\n{date_of(0)},45\n{date_of(9)},x\n{date_of(3)},\n")
            result = run("judge", RACK, "--dials", file, expect=2)
            self.assertIn("mine.csv:3:12", result.stderr)
            file.write_text(f"date,panle\n{date_of(0)},45\n")
            self.assertIn("panel", run("judge", RACK, "--dials", file, expect=2).stderr)
            file.write_text("date,dial\n")
            self.assertIn("no date", run("judge", RACK, "--dials", file, expect=2).stderr)
            self.assertIn("no such file",
                          run("judge", RACK, "--dials", "none.csv", expect=3).stderr)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *sys.argv[1:]])
