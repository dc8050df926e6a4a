#!/usr/bin/env python3
"""The logbook as a keeper meets it: follow, checkin, dialed, moved, undo, history, and the
commands that know it.

check_logbook.py PROGRAM SOURCE_FOLDER [-k WORD]

The story: two months and more of an invented tank, with the percentage of every day written down
(TABLE) and worked out a second time by the equations of the design (Reckoning).
"""
import csv
import datetime
import io
import json
import math
import os
import pathlib
import pty
import re
import select
import sqlite3
import subprocess
import sys
import tempfile
import time
import unittest

import lived

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
STORY_TANK = pathlib.Path(__file__).resolve().parent / "story.tank.json"
VERSION_1 = SOURCE / "tests/logbook/version_1"
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
START = datetime.date(2026, 8, 3)
STAGHORN, NEST, POLYPS = "staghorn", "bird's nest", "star polyps"
EVERY_GROUP = (STAGHORN, NEST, POLYPS)


def run(*words, cwd=None, expect=0, env=None):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env={**clean, **(env or {})},
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    if not {"--json", "--csv", "--tank"} & set(words):
        for line in result.stdout.splitlines():
            assert len(line) <= 80, (words, line)
            assert "\x1b" not in line, (words, line)
    return result


def run_json(*words, **keys):
    return json.loads(run(*words, "--json", **keys).stdout)


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


class Folder:
    """A folder with one tank file, in which commands are given without naming it."""

    def __init__(self, test, tank=STORY_TANK, name="story"):
        holder = tempfile.TemporaryDirectory()
        test.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        self.tank = self.path / f"{name}.tank.json"
        self.tank.write_text(tank.read_text())
        self.logbook = self.path / f"{name}.logbook"
        self.clock = lived.Clock(date_of(0))

    def run(self, *words, **keys):
        return run(*words, cwd=self.path, env=self.clock.environment(words), **keys)

    def json(self, *words, **keys):
        return json.loads(self.run(*words, "--json", **keys).stdout)

    def entries(self):
        return self.json("history")["entries"]

    def today(self, day):
        return self.json("today", "--date", date_of(day))

    def percent(self, day):
        return self.today(day)["dials"]["panel"]

    def look(self, day, *words):
        return self.json("checkin", *words, "--date", date_of(day))

    def snapshot(self):
        """Everything that a command which only reads must leave as it was."""
        files = {file.name: (file.stat().st_mtime_ns, file.stat().st_mode, file.read_bytes())
                 for file in self.path.iterdir() if file.is_file()}
        return files, sorted(os.listdir(self.path)), self.path.stat().st_mtime_ns


def followed(test, **keys):
    folder = Folder(test, **keys)
    folder.run("follow")
    return folder


# ---------------------------------------------------------------------------------------------
# The story.

def look(day, groups=EVERY_GROUP, colour=0):
    return {"day": day, "kind": "look", "groups": groups, "colour": colour}


STORY = [
    look(0), look(7), look(14),
    look(21, (STAGHORN, POLYPS)), look(21, (NEST,), -2),
    look(24, (NEST,)), look(27, (NEST,)), look(28),
    {"day": 33, "kind": "dialed", "percent": 0, "until": 33},
    look(35),
    {"day": 41, "kind": "moved", "group": NEST, "spot": "niche"},
    look(42),
    look(52),
    look(56, (STAGHORN,), -2),  # Meant for another tank ...
    {"day": 57, "kind": "undo"},  # ... and taken back the day after.
    look(59), look(66), look(73), look(80), look(87), look(94), look(101),
    look(108), look(115), look(122),
]

# Days and percentage, one row a turn of the dial. The dial turns in steps of 5 from 40 to 65.
#
# The brisk pace: weekly rise 15 x 4/3 = 20 %, headroom 20 x 5/3 = 33.3 % for the bird's nest,
# 30 x 5/3 = 50 % for the others. The light is the same before and after, so nothing is lost at the
# start: A = L = 40. Dose and peak go in step (a square day of 10 h, a straight dimming curve), so
# every dose is named by the percentage of the panel that gives it at the group's spot.
# A grows toward the dose D by 1 - exp(-1/12) = 0.0800 of the gap a day (star polyps: tau_up 10,
# 0.0952), and falls by 1 - exp(-1/5) = 0.1813 of it. L grows by 1.2^(1/7) = 1.02639 a day, up to
# 1.2 D or the next step.
TABLE = [
    (5, 40),  # Day 0: the base. L: 41.06, 42.14, 43.25, 44.39.
    (4, 45),  # Day 5: L = 40 x 1.02639^5 = 45.56.
    (4, 50),  # Day 9: L = 40 x 1.02639^9 = 50.57; headroom of the nest 1.333 x 41.42 = 55.22.
    (3, 55),  # Day 13: L = 40 x 1.02639^13 = 56.12; 1.333 x 43.85 = 58.47.
    (3, 60),  # Day 16: L = 60.68; 1.333 x 46.32 = 61.76.
    (2, 65),  # Day 19: L = 65.61; 1.333 x 49.34 = 65.79, the day before it was 64.56: the goal.
    # Day 21: the nest is 2 steps paler. It was last at ease on day 14 at 55; 30 % under 65 is 45.5,
    # which is less: 45. Its weekly rise is halved to 10 %, its tau_up is 12 x 1.5 = 18. The others
    # were at ease at 40, 45, 55 and 65; from 40 to 55 and no further are whole weekly rises of
    # 20 %, so that is one clean step, and not the three that teach: their tau_up stays.
    # The good looks of days 24 and 27 are 3 days apart, and day 28 is 7 after the cut.
    (7, 45),
    # Day 28: the limit of 45.5 is gone, by the two good looks and without a third. L of the nest
    # had come down with it to the next step, 50, while the light was 45; A 46.66 + 33.3 % = 62.2.
    (5, 50),
    # Day 33: no power. A falls by 0.1813 of itself: staghorn 47.80 to 39.14, nest 47.47 to 38.87,
    # polyps 48.18 to 39.45.
    (1, 0),
    # Day 34: back at what they are now used to, and not over it: 35 under 38.87.
    (3, 35),
    # Day 37: the nest rises by 10 % a week from 38.87: 39.41, 39.94, then 40.50, but no more than
    # the next step, 40.
    # Day 41: the nest, which holds all up (L = 40 x 1.1^(3/7) = 41.67 the day before), moves from
    # the ledge (3 umol a percent) to the niche (2): what it is used to, 37.71, is 56.6 there, of
    # which 0.890 count, 50.3. The dial was set before: it stays for this day.
    (5, 40),
    # Day 42: staghorn 42 x 1.02639^5 = 47.84, from day 37 on.
    # On day 49 the niche's 45 for a week allow the nest 45 x 1.1 = 49.5. On day 50 they would
    # allow the next step, 50, but now nobody has looked for 8 days: the dial holds. All are looked
    # at on day 52, after the dial was set.
    (11, 45),
    # Day 53: L of the nest = 50.
    (3, 50),
    # Day 56: staghorn is said to be 2 steps paler. It was last at ease on day 52 at 45; 30 % under
    # 50 is 35, which is less: 35.
    (1, 35),
    # Day 57: it was another tank, and taken back. But 35 is what there was on day 56, and after it
    # L of all is down to the next step of that day, 40, or 35 x 1.2 = 42.
    # The nest rises by 10 % a week: 40 x 1.1 = 44 on day 64, 44.60 on day 65.
    (9, 40),
    # Day 66: 45.21, but no more than the next step, 45. In the same way every step from here on.
    (8, 45),
    # Day 74: 45 x 1.1 = 49.5 a week later, and on the next day 50.
    (7, 50),
    # Day 81: 50 x 1.1 = 55.
    (7, 55),
    # Day 88: 55 x 1.1 = 60.5.
    (6, 60),
    # Day 94: 60.5 x 1.1^(6/7) = 65.65: the goal.
    (30, 65),
]
PERCENT_OF_DAY = [percent for days, percent in TABLE for _ in range(days)]
LAST_DAY = len(PERCENT_OF_DAY) - 1

# What one percent of the panel gives at a spot: the readings at 40 %, divided by 40.
PPFD_OF_PERCENT = {"crest": 200 / 40, "ledge": 120 / 40, "niche": 80 / 40, "sand": 60 / 40}
DOSE_OF_PPFD = 0.0036 * 10  # 10 hours of steady light
BASE, GOAL, STEP = 40, 65, 5


def exceeds(value, limit):
    return value > limit * (1 + 1e-9)


class Coral:
    """A group of the story: its profile at the brisk pace, and what its days have made of it."""

    # spot, weekly rise, headroom, tau_up, band high, peak ceiling; tau_down is 5 for all.
    PROFILES = {STAGHORN: ("crest", 0.15, 0.30, 12, 28, 700),
                NEST: ("ledge", 0.15, 0.20, 12, 13, 350),
                POLYPS: ("sand", 0.15, 0.30, 10, 13, 350)}

    def __init__(self, name):
        self.name = name
        self.spot, rise, headroom, self.tau_up, self.band, self.ceiling = self.PROFILES[name]
        self.rise, self.headroom = rise * 4 / 3, headroom * 5 / 3
        self.used_to = list(self.exposure(BASE))  # A and B
        self.allowed = list(self.used_to)         # L and M
        self.before = self.exposure(BASE)
        self.strained, self.limit, self.hold = False, None, None
        self.ease_dose = self.borne_dose = None
        self.given_rise, self.given_tau_up = self.rise, self.tau_up
        self.strains = self.clean_steps = 0
        self.cut_day, self.step_day, self.first_good_day = None, None, None
        self.good_day, self.next_look_day = 0, 0

    def exposure(self, percent):
        ppfd = PPFD_OF_PERCENT[self.spot] * percent
        return DOSE_OF_PPFD * ppfd, ppfd

    def caps(self):
        """Pace and headroom of dose and peak, then band and ceiling."""
        pace = [max(allowed, used) for allowed, used in zip(self.allowed, self.used_to)]
        headroom = [(1 + self.headroom) * used for used in self.used_to]
        return pace, headroom, [max(self.band, self.before[0]), max(self.ceiling, self.before[1])]

    def bears(self, percent):
        exposure = self.exposure(percent)
        if any(exceeds(e, c) for caps in self.caps() for e, c in zip(exposure, caps)):
            return False
        if self.hold and any(exceeds(e, held) for e, held in zip(exposure, self.hold)):
            return False
        return self.limit is None or not exceeds(exposure[0], self.limit)

    def begin(self, day, percent):
        """Two good looks are enough for a strain to end by itself, 7 days after the cut."""
        if self.strained and self.has_two_good_looks() and day - self.cut_day >= 7:
            self.strained, self.limit = False, None
        is_held = self.strained or day - self.good_day > 7
        self.hold = self.exposure(percent) if is_held else None

    def has_two_good_looks(self):
        return self.first_good_day is not None and self.good_day - self.first_good_day >= 3

    def see(self, day, colour, percent):
        dose = self.exposure(percent)[0]
        if colour <= -2:
            self.strain(day, dose)
        else:
            self.be_at_ease(day, dose)
        self.next_look_day = day + (3 if self.strained else 7)

    def strain(self, day, dose):
        # The story strains no group twice, and none after a week with more light than today's.
        self.strained, self.cut_day, self.first_good_day = True, day, None
        self.ease_dose = min(self.ease_dose, dose)
        self.limit = min(self.ease_dose, 0.7 * dose)
        share = min(1, self.limit / self.before[0])
        self.before = [share * value for value in self.before]
        self.strains += 1
        self.learn()
        self.rise /= 2

    def learn(self):
        tau_up = self.given_tau_up * 1.5 ** self.strains * 0.9 ** (self.clean_steps // 3)
        self.tau_up = min(max(tau_up, 5), 40)

    def be_at_ease(self, day, dose):
        was_strained = self.strained
        self.ease_dose, self.good_day = dose, day
        if self.first_good_day is None:
            self.first_good_day = day
        if was_strained:
            return
        if self.borne_dose is None:
            self.borne_dose = dose
        elif not exceeds((1 + self.given_rise) * self.borne_dose, dose) and (
                self.step_day is None or day - self.step_day >= 7):
            self.borne_dose, self.step_day = dose, day
            self.clean_steps += 1
            self.learn()

    def live_through(self, percent):
        brighter = min(percent + STEP, GOAL)
        for i, (now, then) in enumerate(zip(self.exposure(percent), self.exposure(brighter))):
            self.allowed[i] = min((1 + self.rise) ** (1 / 7) * self.allowed[i],
                                  max((1 + self.rise) * now, then))
            tau = self.tau_up if now > self.used_to[i] else 5
            self.used_to[i] += (1 - math.exp(-1 / tau)) * (now - self.used_to[i])
            if percent == 0:
                # After a dark day the rise goes on from what it is still used to, and not from
                # the first step of the dial.
                self.allowed[i] = max(self.allowed[i], self.used_to[i])

    def is_settled(self, percent):
        dose = self.exposure(percent)[0]
        return not exceeds(abs(self.used_to[0] - dose), 0.05 * dose)


class Reckoning:
    """The days of one light up to one of them, by the design's equations and the response rules.

    What a past day was lit with is what was shown on it, whatever is known of it since.
    shown: of each day before the last one, with what it began and how it stood in the end.
    corals: as they stand before the light of the last day. percents: one for each day.
    """

    def __init__(self, events, shown):
        self.corals = {name: Coral(name) for name in EVERY_GROUP}
        self.percents, self.settled_day = [], None
        self.percent, self.is_dark = BASE, False
        for day in range(len(shown) + 1):
            of_day = [event for event in events if event["day"] == day]
            for coral in self.corals.values():
                coral.begin(day, self.percent)
            if day == len(shown):
                first = self.percent = self.choose()
            else:
                first, self.percent = shown[day]
            self.first = first
            self.see(day, of_day)
            self.is_dark = any(event["kind"] == "dialed" for event in of_day)
            self.percents.append(0 if self.is_dark else self.percent)
            is_settled = all(coral.is_settled(GOAL) for coral in self.corals.values())
            if self.percents[-1] == GOAL and is_settled and self.settled_day is None:
                self.settled_day = day
            if day < len(shown):
                for coral in self.corals.values():
                    coral.live_through(self.percents[-1])

    def is_borne(self, percent):
        return all(coral.bears(percent) for coral in self.corals.values())

    def go_back(self):
        while self.percent > STEP and not self.is_borne(self.percent):
            self.percent -= STEP

    def choose(self):
        """The dial of the morning."""
        if self.is_dark:
            self.percent = STEP
        self.go_back()
        while self.percent < GOAL and self.is_borne(self.percent + STEP):
            self.percent += STEP
        return self.percent

    def see(self, day, events):
        """The looks and moves of a day, which never raise the dial of the morning."""
        for event in events:
            if event["kind"] == "look":
                for name in event["groups"]:
                    self.corals[name].see(day, event["colour"], self.first)
        for event in events:
            if event["kind"] == "moved":
                # Two readings of 5 % repeatability and half a digit, 120 and 80 umol, are compared:
                # what it is used to counts for less by 0.889 on that day.
                coral = self.corals[event["group"]]
                coral.spot = event["spot"]
                counted = math.exp(-1.645 * math.hypot(0.05, 0.05, 0.5 / 120, 0.5 / 80))
                coral.used_to = [counted * used for used in coral.used_to]
        self.go_back()


def events_until(day):
    """What counts of the story's entries on a day; an undo takes the newest one back."""
    events = []
    for event in STORY:
        if event["day"] > day:
            break
        if event["kind"] == "undo":
            events.pop()
        else:
            events.append(event)
    return events


def shown_until(day):
    """What was shown on the days before a day: with what each began, and how it stood."""
    while len(SHOWN) < day:
        reckoned = Reckoning(events_until(len(SHOWN)), SHOWN)
        SHOWN.append((reckoned.first, reckoned.percents[-1]))
    return SHOWN[:day]


SHOWN = []


def reckon(day, events=None):
    return Reckoning(events_until(day) if events is None else events, shown_until(day))


def write_event(folder, event):
    """Gives the command for an entry of the story; the answer of a look."""
    date = ("--date", date_of(event["day"]))
    if event["kind"] == "look":
        colour = ("--colour", event["colour"])
        if event["groups"] == EVERY_GROUP:
            return folder.json("checkin", "--all", *colour, *date)
        return [folder.json("checkin", name, *colour, *date) for name in event["groups"]][-1]
    if event["kind"] == "dialed":
        return folder.json("dialed", "panel", event["percent"], *date, "--until",
                           date_of(event["until"]))
    if event["kind"] == "moved":
        return folder.json("moved", event["group"], event["spot"], *date)
    folder.clock.today = date_of(event["day"])
    return folder.json("undo")


class Story(unittest.TestCase):
    def test_table_and_reckoning_agree(self):
        for day in range(LAST_DAY + 1):
            self.assertEqual(reckon(day).percents[-1], PERCENT_OF_DAY[day], f"day {day}")

    def test_every_day_has_the_percentage_of_the_table(self):
        folder = followed(self)
        for day in range(LAST_DAY + 1):
            for event in STORY:
                if event["day"] == day:
                    write_event(folder, event)
            with self.subTest(day=day, date=date_of(day)):
                today = folder.today(day)
                self.assertEqual(today["dials"], {"panel": PERCENT_OF_DAY[day]})
                self.check_announcement(day, today)
                self.check_due(day, today)
                self.check_text(day, folder)
        with self.subTest("plan knows all of it"):
            self.check_plan(folder)
        for day in [sum(days for days, _ in TABLE[:row]) for row in range(len(TABLE))]:
            if day == 56:
                continue  # Taken back since.
            with self.subTest("why", day=day):
                self.check_arithmetic(day, folder)

    def check_announcement(self, day, today):
        """A turn that no entry makes is announced the day before."""
        is_surprise = any(event["day"] == day + 1 and
                          (event["kind"] != "look" or event["colour"] < 0) for event in STORY)
        if day == LAST_DAY or is_surprise:
            return
        if PERCENT_OF_DAY[day + 1] != PERCENT_OF_DAY[day]:
            self.assertEqual(today["next"], {"date": date_of(day + 1),
                                             "dials": {"panel": PERCENT_OF_DAY[day + 1]}})
        elif today["next"] is not None and not 49 <= day < 52:
            self.assertGreater(today["next"]["date"], date_of(day + 1))

    def check_due(self, day, today):
        corals = reckon(day).corals
        expected = [name for name, coral in corals.items() if coral.next_look_day <= day]
        self.assertEqual(today["due"], [] if self.is_over(day) else expected)

    def check_text(self, day, folder):
        text = folder.run("today", "--date", date_of(day)).stdout
        self.assertRegex(text, rf"\A{PERCENT_OF_DAY[day]} %  panel\n")
        words = " ".join(text.split())
        if day == 21:
            self.assertRegex(words, r"bird's nest is strained \(.*paler.* on 2026-08-24\): back to "
                                    r"a dose of 4\.9")  # 0.7 x 65 % = 45.5 %, 136.5 umol, 4.914
        if 21 <= day < 28:
            self.assertIn("bird's nest stays at a dose of 4.9 until two good looks", words)
        if day == 27:
            # The good looks are there and the 7 days end tonight: it goes on by itself.
            self.assertIn("Next: panel 50 % on 2026-08-31", words)
        if 28 <= day < 50:
            self.assertNotIn("stays at", words)
            self.assertNotIn("Waits for two good looks", words)
        if 50 <= day < 52:
            self.assertIn("Nobody has looked at", words)
            self.assertIn("for over 7 days, so the dial holds", words)
        is_over = self.is_over(day)
        self.assertEqual("is done" in words, is_over)
        for name in EVERY_GROUP if is_over else ():
            self.assertRegex(words, rf"{name}: dose [\d.]+, within its band")

    @staticmethod
    def is_over(day):
        settled_day = reckon(day).settled_day
        return settled_day is not None and day > settled_day

    def check_plan(self, folder):
        """The past of the plan is what was dialled; a mistake that was taken back is not in it."""
        plan = folder.json("plan")
        reckoned = reckon(LAST_DAY)
        self.assertEqual([day["dials"]["panel"] for day in plan["days"]][:LAST_DAY + 1],
                         reckoned.percents[:len(plan["days"])])
        self.assertGreaterEqual(len(plan["days"]), reckoned.settled_day)
        self.assertEqual((plan["start"], plan["status"], plan["settled"]),
                         (date_of(0), "reaches_goal", date_of(reckoned.settled_day)))
        spots = [group["spot"] for group in (plan["days"][day]["groups"][1] for day in (40, 41))]
        self.assertEqual(spots, ["ledge", "niche"])

    def check_arithmetic(self, day, folder):
        corals = reckon(day, STORY_AS_IT_COUNTS).corals
        for name, coral in corals.items():
            why = folder.json("why", name, "--date", date_of(day))
            self.assertEqual(why["dials"], {"panel": PERCENT_OF_DAY[day]})
            for key, value in zip(("dose", "peak"), coral.used_to):
                self.assertAlmostEqual(why[f"acclimated_{key}"] / value, 1, 9, (name, key))
            limits = {cap["cap"]: cap["limit"] for cap in why["caps"]}
            names = (("dose_pace", "peak_pace"), ("dose_headroom", "peak_headroom"),
                     ("dose_band", "peak_ceiling"))
            for pair, values in zip(names, coral.caps()):
                for cap, value in zip(pair, values):
                    self.assertAlmostEqual(limits[cap] / value, 1, 9, (name, cap))
            if coral.limit is not None:
                self.assertAlmostEqual(limits["check_in"] / coral.limit, 1, 9, name)

    def test_one_dark_or_dim_day_costs_weeks_and_not_months(self):
        # What was gained by 50 % is not forgotten in a day: A falls by less than a fifth, so at
        # 20 % a week the dial is back well within a month, with every look a good one.
        for percent in (0, 5, 15):
            with self.subTest(percent=percent):
                folder = followed(self)
                shown = []
                for day in range(0, 10 + 29):
                    if day % 7 == 0:
                        folder.look(day, "--all", "--colour", "0")
                    if day == 10:
                        folder.run("dialed", percent, "--date", date_of(day), "--until",
                                   date_of(day))
                    shown.append(folder.percent(day))
                self.assertEqual(shown[9:11], [50, percent])
                self.assertLess(shown[11], 50)
                self.assertGreaterEqual(shown[10 + 28], 50)


STORY_AS_IT_COUNTS = events_until(LAST_DAY)


# ---------------------------------------------------------------------------------------------
# The commands.

class Follow(unittest.TestCase):
    def test_before_it_today_says_how_and_nothing_can_be_logged(self):
        folder = Folder(self)
        text = folder.run("today", "--date", date_of(0)).stdout
        self.assertRegex(text, r"\A40 %  panel\n")
        self.assertIn("slowdawn follow", text)
        for words in (["checkin", "--all", "--colour", "0"], ["dialed", "30"],
                      ["moved", NEST, "niche"]):
            error = folder.run(*words, expect=2).stderr
            self.assertIn("no plan is followed yet", error)
            self.assertRegex(error, "hint: .*slowdawn follow")
        folder.run("undo", expect=2)
        self.assertIn("slowdawn follow", folder.run("history").stdout)
        self.assertEqual(folder.entries(), [])
        self.assertEqual(os.listdir(folder.path), ["story.tank.json"])

    def test_it_takes_the_start_of_its_option(self):
        folder = Folder(self)
        folder.run("follow", "--start", date_of(10), "--pace", "gentle")
        self.assertEqual(folder.json("plan")["start"], date_of(10))
        self.assertEqual(folder.today(5)["next"]["date"], date_of(10))

    def test_a_plan_without_a_safe_opening_is_not_followed(self):
        folder = Folder(self)
        tank = json.loads(STORY_TANK.read_text())
        tank["groups"][0]["history"] = {"dose": 0.1, "peak": 3}
        folder.tank.write_text(json.dumps(tank))
        folder.run("follow", expect=1)
        self.assertFalse(folder.logbook.exists())

    def test_a_changed_tank_file_is_noticed_until_it_is_followed(self):
        folder = followed(self)
        notice = "tank file has changed"
        dials = folder.today(9)["dials"]
        self.assertNotIn(notice, folder.run("today", "--date", date_of(9)).stdout)
        tank = json.loads(folder.tank.read_text())
        tank["ramp"]["to"]["panel"] = 50
        tank["groups"][0]["override"] = {"weekly_rise_percent": 1}
        folder.tank.write_text(json.dumps(tank))
        self.assertIn(notice, folder.run("today", "--date", date_of(9)).stdout)
        self.assertTrue(any(notice in text for text in folder.today(9)["changed"]))
        self.assertEqual(folder.today(9)["dials"], dials)
        folder.run("follow")
        self.assertNotIn(notice, folder.run("today", "--date", date_of(9)).stdout)
        self.assertNotEqual(folder.today(9)["dials"], dials)


class CheckIn(unittest.TestCase):
    def setUp(self):
        self.folder = followed(self)

    def newest(self):
        return self.folder.entries()[-1]

    def test_flags_are_kept_as_given(self):
        answer = self.folder.look(3, NEST, "--colour", "-1", "--extension", "less", "--mucus",
                                  "--tissue", "whole", "--fv-fm", "0.61", "--note",
                                  "after the storm; \"grey\"", "--photo", "pictures/8 june.jpg")
        self.assertLessEqual({"response", "plan_changed", "dials"}, set(answer))
        entry = self.newest()
        self.assertEqual((entry["seq"], entry["kind"], entry["date"]),
                         (2, "checkin", date_of(3)))
        values = json.dumps(entry["body"])
        for value in (-1, "less", True, "whole", 0.61, "after the storm; \"grey\"",
                      "pictures/8 june.jpg", NEST):
            self.assertIn(json.dumps(value), values)
        words = " ".join(self.folder.run("history").stdout.split())
        for part in ("colour -1", "less", "mucus", "0.61", "after the storm", "8 june.jpg"):
            self.assertIn(part, words)

    def test_all_takes_every_group_with_the_same_look(self):
        self.folder.run("checkin", "--all", "--note", "round")
        made = self.folder.entries()[1:]
        self.assertEqual([entry["body"]["group"] for entry in made], list(EVERY_GROUP))
        self.assertEqual({entry["body"]["note"] for entry in made}, {"round"})
        self.assertEqual({entry["date"] for entry in made}, {entry["made"] for entry in made})

    def test_yesterday_is_a_date_and_tomorrow_is_none(self):
        self.folder.clock.today = date_of(3)
        self.folder.run("checkin", NEST, "--colour", "0", "--date", date_of(2))
        self.assertEqual((self.newest()["date"], self.newest()["made"]), (date_of(2), date_of(3)))
        for words in (["checkin", NEST, "--colour", "0"], ["dialed", "30"],
                      ["moved", NEST, "niche"], ["gone", NEST]):
            error = run(*words, "--date", date_of(4), cwd=self.folder.path, expect=2,
                        env={"SLOWDAWN_TODAY": date_of(3)}).stderr
            self.assertIn("still to come", error)
        self.assertEqual(len(self.folder.entries()), 2)

    def test_a_card_counts_against_its_first_score(self):
        self.folder.look(0, NEST, "--card", "4")
        self.assertEqual(self.folder.look(3, NEST, "--card", "3")["response"], "unclear")
        self.assertEqual(self.folder.look(6, NEST, "--card", "2")["response"], "strained")
        self.assertEqual(self.folder.look(6, POLYPS, "--card", "2")["response"], "at_ease")
        self.folder.run("checkin", NEST, "--card", "3", "--colour", "0", expect=2)

    def test_wrong_words_are_refused_with_the_nearest_right_one(self):
        for words, hint in ((["birds nest", "--colour", "0"], f'did you mean "{NEST}"?'),
                            ([NEST, "--extension", "les"], 'did you mean "less"?'),
                            ([NEST, "--tissue", "lots"], 'did you mean "lost"?'),
                            ([NEST, "--colour", "-9"], "hint:"), ([NEST, "--card", "7"], "hint:"),
                            ([NEST, "--fv-fm", "61"], "hint:"),
                            ([NEST, "--colour", "0", "--date", "2026-02-30"], "hint:"),
                            ([NEST, POLYPS, "--colour", "0"], "hint:"),
                            (["--colour", "0"], "--all")):
            with self.subTest(words=words):
                self.assertIn(hint, self.folder.run("checkin", *words, expect=2).stderr)
        errors = self.folder.run("checkin", "birds nest", "--json", expect=2).stderr
        self.assertIn("bird's nest", json.dumps(json.loads(errors)))
        self.assertEqual(len(self.folder.entries()), 1)

    def test_a_hurt_group_is_restarted_after_14_steady_days(self):
        self.folder.look(0, "--all", "--colour", "0")
        self.assertIn("needs no restart",
                      self.folder.run("checkin", NEST, "--restart", "--date", date_of(2),
                                      expect=2).stderr)
        answer = self.folder.look(3, NEST, "--tissue", "lost")
        self.assertEqual(answer["response"], "hurt")
        self.assertEqual(self.folder.percent(3), 20)  # half of the 40 % it is used to
        for day in (6, 9, 12, 15):
            self.folder.look(day, "--all", "--colour", "0")
        # Day 3 + 14 = day 17; the day before it is too early.
        early = self.folder.run("checkin", NEST, "--restart", "--date", date_of(16), expect=1)
        self.assertIn("14 days", early.stderr)
        self.assertIn(date_of(17), early.stderr)
        self.assertEqual(len(self.folder.entries()), 17)
        self.assertEqual(self.folder.percent(17), 20)
        self.folder.run("checkin", NEST, "--restart", "--date", date_of(17))
        self.assertGreater(self.folder.percent(18), 20)

    def test_every_group_at_once_is_not_blamed_on_the_light(self):
        self.folder.look(0, "--all", "--colour", "0")
        self.folder.look(3, "--all", "--extension", "less")
        text = " ".join(self.folder.run("today", "--date", date_of(3)).stdout.split())
        self.assertIn("the light is probably not the cause", text)
        for cause in ("temperature", "salinity", "alkalinity", "flow", "pests"):
            self.assertIn(cause, text)
        self.assertEqual(self.folder.percent(6), 40)


class Questions(unittest.TestCase):
    """checkin asks where no look is given, on a terminal."""

    def setUp(self):
        self.folder = followed(self)

    def talk(self, words, answers):
        """Runs on a pseudo-terminal and answers each question; then comes the end of input."""
        master, slave = pty.openpty()
        env = {**os.environ, "TERM": "xterm", **self.folder.clock.environment(words)}
        env.pop("SLOWDAWN_TANK", None)
        process = subprocess.Popen([PROGRAM, *words], stdin=slave, stdout=slave, stderr=slave,
                                   cwd=self.folder.path, env=env, start_new_session=True)
        os.close(slave)
        left, text, asked = list(answers), b"", 0
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline:
            if not select.select([master], [], [], 0.5)[0]:
                continue
            try:
                block = os.read(master, 65536)
            except OSError:
                break
            if not block:
                break
            text += block
            if text.endswith(b": "):
                asked += 1
                os.write(master, (left.pop(0) + "\n").encode() if left else b"\x04")
        code = process.wait(timeout=20)
        os.close(master)
        self.assertEqual(left, [])
        return code, text.decode().replace("\r\n", "\n"), asked

    def test_one_group_after_a_wrong_answer(self):
        answers = ["9", "2", "pale", "-1", "out", "less", "maybe", "y", "gone", "whole", "7",
                   "0.55", "=1+1"]
        code, text, asked = self.talk(["checkin", "--date", date_of(3)], answers)
        self.assertEqual(code, 0, text)
        self.assertEqual(asked, len(answers))
        self.assertEqual(text.count("none of the answers"), 6)
        for line in text.splitlines():
            self.assertLessEqual(len(line), 80)
        entry = self.folder.entries()[-1]
        self.assertEqual((entry["seq"], entry["date"]), (2, date_of(3)))
        twin = followed(self)
        twin.look(3, NEST, "--colour", "-1", "--extension", "less", "--mucus", "--fv-fm", "0.55",
                  "--note", "=1+1")
        self.assertEqual(entry["body"], twin.entries()[-1]["body"])

    def test_enter_takes_what_stands_in_brackets(self):
        code, text, asked = self.talk(["checkin", NEST, "--date", date_of(3)], [""] * 6)
        self.assertEqual((code, asked), (0, 6), text)
        entry = self.folder.entries()[-1]
        self.folder.look(3, NEST, "--colour", "0")
        self.assertEqual(entry["body"], self.folder.entries()[-1]["body"])

    def test_a_round_of_every_group(self):
        for words, answers in ((["checkin", "--all"], [""] * 18), (["checkin"], [""] * 19)):
            before = len(self.folder.entries())
            code, text, asked = self.talk([*words, "--date", date_of(3)], answers)
            self.assertEqual((code, asked), (0, len(answers)), text)
            made = self.folder.entries()[before:]
            self.assertEqual([entry["body"]["group"] for entry in made], list(EVERY_GROUP))

    def test_end_of_input_in_the_middle_writes_nothing(self):
        before = self.folder.snapshot()
        for number in (0, 1, 4, 8, 18):
            with self.subTest(answers=number):
                code, text, asked = self.talk(["checkin"], [""] * number)
                self.assertEqual((code, asked), (2, number + 1), text)
                self.assertIn("nothing was written", text)
                self.assertEqual(self.folder.snapshot(), before)

    def test_an_unknown_group_is_refused_before_the_first_question(self):
        code, text, asked = self.talk(["checkin", "birds nest"], [])
        self.assertEqual((code, asked), (2, 0))
        self.assertIn(f'did you mean "{NEST}"?', text)


class Dialed(unittest.TestCase):
    def test_one_percentage_is_enough_for_one_light(self):
        for number, words in enumerate((["35"], ["35%"], ["panel", "35"])):
            folder = followed(self)
            folder.run("dialed", *words, "--date", date_of(2))
            self.assertEqual([folder.percent(day) for day in (1, 2)], [40, 35], number)
            self.assertEqual(folder.entries()[-1]["body"]["dials"], {"panel": 35})

    def test_it_holds_until_its_last_day(self):
        folder = followed(self)
        folder.run("dialed", "30", "--date", date_of(2), "--until", date_of(6))
        self.assertEqual([folder.percent(day) for day in range(1, 7)], [40, 30, 30, 30, 30, 30])
        self.assertGreater(folder.percent(7), 30)

    def test_wrong_words_are_refused(self):
        folder = followed(self)
        for words, said in ((["130"], "no percentage"), (["-5"], ""), (["dim"], "no percentage"),
                            (["panel"], ""), ([], ""), (["pannel", "30"], 'did you mean "panel"?'),
                            (["panel", "30", "panel"], ""),
                            (["30", "--date", date_of(5), "--until", date_of(4)], "--until")):
            with self.subTest(words=words):
                self.assertIn(said, folder.run("dialed", *words, expect=2).stderr)
        self.assertEqual(len(folder.entries()), 1)

    def test_several_lights(self):
        folder = Folder(self, tank=REEF, name="reef")
        folder.run("follow", "--start", "2026-10-05")
        dials = {"front bar": 10, "rear bar": 15}
        folder.run("dialed", "front bar", 10, "rear bar", 15, "--date", "2026-10-06")
        self.assertEqual(folder.json("today", "--date", "2026-10-06")["dials"], dials)
        folder.run("dialed", "rear bar", 12, "--date", "2026-10-07")
        self.assertEqual(folder.entries()[-1]["body"]["dials"], {"rear bar": 12})
        self.assertEqual(folder.json("today", "--date", "2026-10-07")["dials"]["rear bar"], 12)
        folder.run("dialed", "30", expect=2)

    def test_dials_of_two_lights_may_come_one_by_one(self):
        folder = Folder(self, tank=REEF, name="reef")
        folder.run("follow", "--start", "2026-10-01")
        folder.run("dialed", "front bar", 10, "--date", "2026-10-06")
        folder.run("dialed", "rear bar", 15, "--date", "2026-10-06")
        today = folder.json("today", "--date", "2026-10-06")
        self.assertEqual(today["dials"], {"front bar": 10, "rear bar": 15})


class Moved(unittest.TestCase):
    def test_a_spot_without_a_reading_is_refused(self):
        folder = followed(self)
        self.assertIn('"cave" has no reading of "panel"',
                      folder.run("moved", NEST, "cave", expect=2).stderr)
        self.assertIn('did you mean "niche"?', folder.run("moved", NEST, "nich", expect=2).stderr)
        self.assertIn(f'did you mean "{NEST}"?',
                      folder.run("moved", "birds nest", "niche", expect=2).stderr)
        for words in ([NEST], [], [NEST, "niche", "crest"]):
            folder.run("moved", *words, expect=2)
        self.assertEqual(len(folder.entries()), 1)

    def test_a_brighter_spot_takes_the_dial_back_on_its_day(self):
        # The nest is used to 40 % on the ledge, 120 umol. On the crest 40 % is 200 umol; it bears
        # its L = 120 x 1.2^(3/7) = 129.75 there, which is 25.9 %.
        folder = followed(self)
        folder.run("moved", NEST, "crest", "--date", date_of(3))
        self.assertEqual([folder.percent(day) for day in (2, 3)], [40, 25])


class Undo(unittest.TestCase):
    def test_the_newest_a_number_and_an_undo(self):
        folder = followed(self)
        folder.look(0, "--all", "--colour", "0")
        folder.clock.today = date_of(3)
        states = [folder.json("plan")]
        folder.look(3, NEST, "--colour", "-2")
        states.append(folder.json("plan"))
        folder.look(3, POLYPS, "--colour", "0")
        self.assertEqual([folder.percent(day) for day in (2, 3)], [40, 25])  # 0.7 x 40 = 28
        folder.run("undo")  # 7: takes back 6, the look at the polyps
        self.assertEqual(folder.json("plan"), states[1])
        folder.run("undo", "--entry", 5)  # 8: the nest
        self.assertEqual(folder.json("plan"), states[0])
        self.assertEqual(folder.percent(3), 40)
        for number in (5, 6):
            error = folder.run("undo", "--entry", number, expect=2).stderr
            self.assertIn(f"entry {number} is taken back already", error)
        folder.run("undo", "--entry", 99, expect=2)
        folder.run("undo", "--entry", 0, expect=2)
        folder.run("undo", "--entry", 8)  # 9: the nest is back
        self.assertEqual(folder.json("plan"), states[1])
        self.assertEqual(folder.percent(3), 25)
        self.assertEqual([e["seq"] for e in folder.entries() if e["undone"]], [6, 8])
        self.assertIn("taken back", folder.run("history").stdout)

    def test_a_round_is_taken_back_as_a_whole(self):
        folder = followed(self)
        folder.look(0, NEST, "--colour", "0")
        folder.look(0, "--all", "--colour", "0")
        folder.run("undo", "--entry", 4)
        self.assertEqual([e["seq"] for e in folder.entries() if e["undone"]], [3, 4, 5])

    def test_days_that_were_shown_stay_as_they_were(self):
        folder = followed(self)
        folder.look(0, "--all", "--colour", "0")
        folder.look(3, NEST, "--colour", "-2")
        shown = [folder.percent(day) for day in range(7)]
        folder.clock.today = date_of(7)
        folder.run("undo")
        self.assertEqual([folder.percent(day) for day in range(7)], shown)
        # It rises by a week's 20 % at the most from the light that was shown.
        self.assertEqual((shown[-1], folder.percent(7)), (25, 30))

    def test_the_follow_entry_too(self):
        folder = followed(self)
        folder.run("undo")
        self.assertIn("slowdawn follow", folder.run("today", "--date", date_of(0)).stdout)
        folder.run("checkin", "--all", "--colour", "0", expect=2)
        folder.run("follow")
        folder.run("checkin", "--all", "--colour", "0")


class History(unittest.TestCase):
    def filled(self):
        folder = followed(self)
        for event in STORY:
            write_event(folder, event)
        folder.run("checkin", POLYPS, "--note", "=1+1", "--date", date_of(87))
        folder.run("checkin", POLYPS, "--note", 'one, "two"\nthree', "--photo", "a,b.jpg",
                   "--date", date_of(87))
        return folder

    def test_text_json_and_csv_have_every_entry(self):
        folder = self.filled()
        entries = folder.entries()
        self.assertEqual([entry["seq"] for entry in entries], list(range(1, len(entries) + 1)))
        for entry in entries:
            self.assertLessEqual({"seq", "date", "kind"}, set(entry))
        text = folder.run("history").stdout
        numbers = re.findall(r"^ +(\d+)  \d{4}-\d\d-\d\d", text, re.M)
        self.assertEqual([int(n) for n in numbers], [entry["seq"] for entry in entries])
        raw = subprocess.run([PROGRAM, "history", "--csv"], cwd=folder.path, capture_output=True,
                             check=True).stdout.decode()
        rows = list(csv.DictReader(io.StringIO(raw, newline=""), strict=True))
        self.assertEqual([(int(row["seq"]), row["date"], row["kind"], row["undone"] == "true")
                          for row in rows],
                         [(e["seq"], e["date"], e["kind"], e["undone"]) for e in entries])
        self.assertIn('one, "two"\nthree', rows[-1]["what"])
        for row in rows:
            self.assertIsNone(row.get(None))
            for name, cell in row.items():
                if name != "colour_steps":  # a number, and so no formula
                    self.assertNotRegex(cell, r"\A[=+\-@\t\r]")

    def test_a_name_that_is_a_formula_is_harmless_in_csv(self):
        folder = Folder(self)
        folder.tank.write_text(STORY_TANK.read_text().replace('"staghorn"', '"=1+1"'))
        folder.run("follow")
        folder.run("checkin", "=1+1", "--note", "=1+1")
        rows = list(csv.reader(io.StringIO(folder.run("history", "--csv").stdout), strict=True))
        self.assertTrue(rows[-1][-1].startswith("'=1+1"))

    def test_control_characters_of_a_note_do_not_reach_the_terminal(self):
        folder = followed(self)
        folder.run("checkin", NEST, "--note", "red\x1b[2J\u202egrey\x07")
        self.assertNotRegex(folder.run("history").stdout, "[\x00-\x09\x0b-\x1f\x7f\u202e]")
        self.assertIn("\x1b", folder.entries()[-1]["body"]["note"])

    def test_import_gives_the_same_logbook(self):
        folder = self.filled()
        other = Folder(self)
        other.clock.today = folder.clock.today
        file = other.path / "history.json"
        file.write_text(folder.run("history", "--json").stdout)
        other.run("history", "--import", file.name)
        for words in (["history"], ["plan"], ["why"]):
            self.assertEqual(other.json(*words), folder.json(*words))
        for words in (["history", "--csv"], ["history"], ["today"]):
            self.assertEqual(other.run(*words).stdout, folder.run(*words).stdout)
        for day in range(-2, LAST_DAY + 1):
            self.assertEqual(other.today(day), folder.today(day))
        with self.subTest("and goes on from there"):
            for each in (folder, other):
                each.look(LAST_DAY, NEST, "--colour", "-2")
            self.assertEqual(other.json("plan"), folder.json("plan"))

    def test_import_and_export_change_no_byte(self):
        folder = self.filled()
        written = folder.run("history", "--json").stdout
        other = Folder(self)
        (other.path / "history.json").write_text(written)
        self.assertEqual(other.run("history", "--import", "history.json", "--json").stdout, written)
        self.assertEqual(other.run("history", "--json").stdout, written)
        for entry in json.loads(written)["entries"]:
            self.assertIsInstance(entry["record"], list)

    def test_of_version_1_has_its_record_and_keeps_it_through_import(self):
        for name in ("window-bay", "night-shelf"):
            with self.subTest(name):
                folder = Folder(self, tank=VERSION_1 / f"{name}.tank.json", name=name)
                folder.logbook.write_bytes((VERSION_1 / f"{name}.logbook").read_bytes())
                before = folder.snapshot()
                written = folder.run("history", "--json").stdout
                self.assertEqual(folder.snapshot(), before)
                entries = json.loads(written)["entries"]
                lit = [day for entry in entries for day in entry["record"]]
                said = json.loads((VERSION_1 / f"{name}.said.json").read_text())
                self.assertEqual(lit, [day for day in said if day["date"] < entries[-1]["made"]])
                other = Folder(self, tank=VERSION_1 / f"{name}.tank.json", name=name)
                (other.path / "history.json").write_text(written)
                other.run("history", "--import", "history.json")
                self.assertEqual(other.run("history", "--json").stdout, written)

    def test_needs_the_logbook_alone(self):
        folder = self.filled()
        good = {words: folder.run("history", *words).stdout
                for words in ((), ("--json",), ("--csv",), ("--tank",))}
        text = folder.tank.read_bytes()
        self.assertEqual(good["--tank",].encode(), text)
        for name, tank in (("cut off", text[:300]), ("empty", b""), ("gone", None)):
            folder.tank.unlink()
            if tank is not None:
                folder.tank.write_bytes(tank)
            for words, answer in good.items():
                with self.subTest(name, words=words):
                    self.assertEqual(folder.run("history", *words).stdout, answer)
                    self.assertEqual(folder.run("history", folder.tank.name, *words).stdout, answer)
        with self.subTest("the tank file is had back"):
            folder.tank.write_text(folder.run("history", "--tank").stdout)
            folder.run("today", "--date", date_of(0))
            self.assertNotIn("has changed", folder.run("today", "--date", date_of(0)).stdout)

    def test_the_tank_is_the_one_that_was_followed_last(self):
        folder = followed(self)
        first = folder.tank.read_text()
        folder.tank.write_text(first + "\n")
        folder.run("follow")
        self.assertEqual(folder.run("history", "--tank").stdout, first + "\n")
        self.assertIn("from where the lights stand now", folder.run("undo", expect=2).stderr)
        folder.run("undo", "--yes")
        self.assertEqual(folder.run("history", "--tank").stdout, first)
        self.assertEqual([entry["kind"] for entry in folder.entries()], ["follow"] * 3)
        folder = followed(self)
        folder.run("undo")
        self.assertIn("no plan is followed",
                      folder.run("history", "--tank", expect=2).stderr)

    def test_without_a_logbook_says_what_is_wrong_with_the_tank(self):
        folder = Folder(self)
        self.assertIn("slowdawn follow", folder.run("history").stdout)
        self.assertIn("no plan is followed", folder.run("history", "--tank", expect=2).stderr)
        folder.tank.write_text("{}")
        self.assertIn("story.tank.json:1:1", folder.run("history", expect=2).stderr)
        folder.tank.unlink()
        self.assertIn("no tank is named", folder.run("history", expect=2).stderr)
        self.assertIn("reef.tank.json", folder.run("history", "reef.tank.json", expect=3).stderr)

    def test_import_into_a_filled_logbook_is_refused(self):
        folder = followed(self)
        file = folder.path / "history.json"
        file.write_text(folder.run("history", "--json").stdout)
        before = folder.snapshot()
        self.assertIn("story.logbook",
                      folder.run("history", "--import", file.name, expect=2).stderr)
        self.assertEqual(folder.snapshot(), before)

    def test_import_of_nonsense_is_refused_and_writes_nothing(self):
        folder = followed(self)
        folder.look(3, NEST, "--colour", "0")
        good = folder.json("history")
        folder.logbook.unlink()

        def changed(change):
            history = json.loads(json.dumps(good))
            change(history)
            return json.dumps(history)
        cases = {
            "no JSON": "seq,date,kind\n", "empty": "", "another document": "{}", "a list": "[1]",
            "cut off": json.dumps(good)[:-40],
            "another format": changed(lambda h: h.update(format="slowdawn-history/9")),
            "no entries": changed(lambda h: h.update(entries=[])),
            "an entry missing": changed(lambda h: h["entries"].pop(0)),
            "twice the same": changed(lambda h: h["entries"].append(h["entries"][-1])),
            "unknown kind": changed(lambda h: h["entries"][1].update(kind="danced")),
            "bad date": changed(lambda h: h["entries"][1].update(date="2026-02-30")),
            "body of another kind": changed(
                lambda h: h["entries"][1].update(body=h["entries"][0]["body"])),
            "colour in words": changed(lambda h: h["entries"][1]["body"].update(
                {key: "pale" for key in h["entries"][1]["body"] if "colour" in key})),
            "no record": changed(lambda h: h["entries"][0].pop("record")),
            "no plan": changed(lambda h: h["entries"][0].pop("plan")),
            "no day of writing": changed(lambda h: h["entries"][0].pop("made")),
            "a key twice": json.dumps(good).replace('"seq": 2', '"seq": 2, "seq": 2'),
            "unknown key": changed(lambda h: h["entries"][1]["body"].update(mood="calm")),
            "no tank": changed(lambda h: h["entries"][0].update(body={})),
        }
        file = folder.path / "nonsense.json"
        for name, text in cases.items():
            with self.subTest(name):
                file.write_text(text)
                self.assertIn("nonsense.json", folder.run("history", "--import", file.name,
                                                          expect=2).stderr)
                self.assertFalse(folder.logbook.exists())
        self.assertIn("absent.json",
                      folder.run("history", "--import", "absent.json", expect=3).stderr)


class Readers(unittest.TestCase):
    def test_plan_and_why_know_the_logbook(self):
        folder = followed(self)
        for day in (0, 7):
            folder.look(day, "--all", "--colour", "0")
        folder.look(8, NEST, "--colour", "-2")  # 0.7 x 45 = 31.5
        days = folder.json("plan")["days"]
        self.assertEqual([days[n]["dials"]["panel"] for n in (4, 5, 7, 8, 9)],
                         [40, 45, 45, 30, 30])
        self.assertEqual(days[9]["held_by"], {"group": NEST, "cap": "check_in", "why": "sign"})
        why = folder.json("why", "--date", date_of(9))
        self.assertEqual((why["group"], why["binds"]), (NEST, "check_in"))
        words = " ".join(folder.run("why", "--date", date_of(9)).stdout.split())
        self.assertIn("check", words)

    def test_plan_with_options_is_what_following_again_would_bring(self):
        for words in (["--pace", "gentle"], ["--every", "7"], ["--to", "60"]):
            with self.subTest(words=words):
                folder = followed(self)
                for day in (0, 7):
                    folder.look(day, "--all", "--colour", "0")
                before = folder.snapshot()
                proposed = folder.json("plan", *words)
                text = folder.run("plan", *words).stdout
                self.assertEqual(folder.snapshot(), before)
                self.assertNotEqual(folder.json("plan"), proposed)
                self.assertIn("proposal", text.splitlines()[0])
                folder.run("follow", *words)
                self.assertEqual(folder.json("plan")["days"], proposed["days"])

    def test_commands_that_read_change_nothing(self):
        folder = followed(self)
        folder.look(3, NEST, "--colour", "-1", "--note", "x")
        before = folder.snapshot()
        for command in ("today", "why", "plan", "history", "check"):
            for words in ([], ["--json"], ["--plain"]):
                folder.run(command, *words)
        for words in (["plan", "--csv"], ["history", "--csv"], ["today", "--date", date_of(20)],
                      ["why", NEST, "--date", date_of(5)], ["plan", "--pace", "brisk"]):
            folder.run(*words)
        self.assertEqual(folder.snapshot(), before)

    def test_commands_that_refuse_change_nothing(self):
        folder = followed(self)
        before = folder.snapshot()
        for words in (["checkin", "nobody"], ["dialed", "130"], ["moved", NEST, "cave"],
                      ["undo", "--entry", 9], ["history", "--import", "absent.json"]):
            folder.run(*words, expect=3 if "--import" in words else 2)
        self.assertEqual(folder.snapshot(), before)


class WrongFile(unittest.TestCase):
    """What stands where the logbook should be is named, and is never written to."""

    def refuse(self, folder):
        is_folder = folder.logbook.is_dir()
        before = None if is_folder else folder.logbook.read_bytes()
        for words in (["checkin", NEST, "--colour", "0"], ["dialed", "30"], ["follow"], ["undo"],
                      ["today"], ["why"], ["plan"], ["history"], ["moved", NEST, "niche"]):
            with self.subTest(words=words):
                error = folder.run(*words, expect=3).stderr
                self.assertIn("story.logbook", error)
                self.assertIn("hint:", error)
                if is_folder:
                    self.assertEqual(os.listdir(folder.logbook), [])
                else:
                    self.assertEqual(folder.logbook.read_bytes(), before)
        json.loads(folder.run("today", "--json", expect=3).stderr)
        self.assertEqual(sorted(os.listdir(folder.path)), ["story.logbook", "story.tank.json"])

    def test_of_another_tank(self):
        other = followed(self, tank=REEF, name="reef")
        folder = Folder(self)
        folder.logbook.write_bytes(other.logbook.read_bytes())
        self.assertIn("Stairwell reef", folder.run("today", expect=3).stderr)
        self.refuse(folder)

    def test_a_text_file(self):
        folder = Folder(self)
        folder.logbook.write_text("Monday: all open. Tuesday: all open.\n" * 200)
        self.refuse(folder)

    def test_a_folder(self):
        folder = Folder(self)
        folder.logbook.mkdir()
        self.refuse(folder)

    def test_cut_off(self):
        folder = followed(self)
        folder.look(3, "--all", "--colour", "0")
        whole = folder.logbook.read_bytes()
        for length in (len(whole) // 2, len(whole) - 4096, 100):
            with self.subTest(length=length):
                folder.logbook.write_bytes(whole[:length])
                self.refuse(folder)

    def test_of_a_newer_program(self):
        folder = followed(self)
        with sqlite3.connect(folder.logbook) as file:
            version = file.execute("PRAGMA user_version").fetchone()[0]
            file.execute(f"PRAGMA user_version = {version + 1}")
        file.close()
        self.refuse(folder)

    def test_changed_by_another_program(self):
        folder = followed(self)
        folder.look(3, NEST, "--note", "calm water")
        data = folder.logbook.read_bytes()
        self.assertEqual(data.count(b"calm water"), 1)
        folder.logbook.write_bytes(data.replace(b"calm water", b"warm water"))
        self.refuse(folder)


class Speed(unittest.TestCase):
    def test_shows_how_long_today_takes_with_2000_check_ins(self):
        # Information only; what the machine does besides is not known here.
        folder = Folder(self)
        folder.run("follow", "--start", "2024-09-02")
        folder.run("checkin", "--all", "--colour", "0", "--date", "2024-09-02")
        history = folder.json("history")
        follow, template = history["entries"][:2]
        # As if they had been written on their days, of which no record is kept.
        follow.update(made="2024-09-02", record=[])
        template.update(record=[])
        entries = [follow]
        for number in range(2000):
            entry = json.loads(json.dumps(template))
            day = datetime.date(2024, 9, 2) + datetime.timedelta(days=number * 730 // 2000)
            entry.update(seq=number + 2, date=day.isoformat(), made=day.isoformat())
            entry["body"]["group"] = EVERY_GROUP[number % 3]
            entries.append(entry)
        folder.logbook.unlink()
        (folder.path / "long.json").write_text(json.dumps({**history, "entries": entries}))
        folder.run("history", "--import", "long.json", "--json")
        self.assertEqual(len(folder.entries()), 2001)
        times = []
        for _ in range(11):
            before = time.perf_counter()
            folder.run("today", "--date", "2026-09-01")
            times.append(1000 * (time.perf_counter() - before))
        print(f"\ntoday with 2,000 check-ins over two years: {sorted(times)[5]:.1f} ms "
              f"(median of 11; {min(times):.1f} to {max(times):.1f})", file=sys.stderr)


if __name__ == "__main__":
    unittest.main()
