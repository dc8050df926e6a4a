"""Lives of a followed tank, day by day: each command is called on its day (SLOWDAWN_TODAY)
with what is known by then.

Each story once bleached a tank or lost its records. `check_lives.py PROGRAM SOURCE`.
"""

import datetime
import json
import os
import pathlib
import random
import subprocess
import sys
import tempfile
import unittest

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
START = datetime.date(2026, 3, 1)

TANK = {
    "format": "slowdawn-tank/1",
    "name": "Landing reef",
    "lights": [
        {"name": "tubes", "photoperiod": {"on": "10:00", "off": "20:00"}},
        {"name": "bars", "photoperiod": {"on": "10:00", "off": "20:00"}},
    ],
    "spots": [{"name": "crest"}, {"name": "ledge"}, {"name": "sand", "capacity": 2}],
    "surveys": [
        {"dials": {"tubes": 100}, "ppfd": {"crest": 150, "ledge": 100, "sand": 50}},
        {"dials": {"bars": 50}, "ppfd": {"crest": 150, "ledge": 100, "sand": 50}},
    ],
    "groups": [
        {"name": "staghorn", "spot": "crest", "profile": "acropora"},
        {"name": "chalice", "spot": "ledge", "profile": "pectiniid"},
    ],
    "ramp": {"from": {"tubes": 100}, "to": {"bars": 80}, "start": START.isoformat()},
}


class Keeper:
    """A folder with a tank, and the day."""

    def __init__(self, folder, tank=None):
        self.folder = pathlib.Path(folder)
        self.file = self.folder / "reef.tank.json"
        self.write(tank or TANK)

    def write(self, tank):
        self.file.write_text(json.dumps(tank, indent=1))

    def run(self, day, *words):
        date = START + datetime.timedelta(days=day)
        return subprocess.run(
            [PROGRAM, *words],
            cwd=self.folder,
            env=dict(os.environ, SLOWDAWN_TODAY=date.isoformat()),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
        )

    def say(self, day, *words):
        done = self.run(day, *words)
        if done.returncode != 0:
            raise AssertionError(f"day {day} {words}: {done.returncode} {done.stderr}{done.stdout}")
        return done.stdout

    def ask(self, day, *words):
        return json.loads(self.say(day, *words, "--json"))

    def dials(self, day):
        return self.ask(day, "today")["dials"]

    def round(self, day, about=None):
        date = START + datetime.timedelta(days=day if about is None else about)
        self.say(day, "checkin", "--all", "--colour", "0", "--date", date.isoformat())


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


class Life(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.keeper = Keeper(self.folder.name)

    def follow_with_looks(self, days, every=4):
        self.keeper.say(0, "follow")
        shown = []
        for day in range(days):
            if day % every == 0:
                self.keeper.round(day)
            shown.append(self.keeper.dials(day)["bars"])
        return shown

    def test_sixteen_rounds_logged_late(self):
        keeper = self.keeper
        keeper.say(0, "follow")
        keeper.round(0)
        shown = [keeper.dials(day)["bars"] for day in (10, 40, 90)]
        self.assertEqual(len(set(shown)), 1, "the dial holds where nobody looks")
        for number in range(16):
            keeper.round(90, 5 * (number + 1))
        plan = keeper.ask(90, "plan")
        for day in (10, 40, 89):
            self.assertEqual(plan["days"][day]["dials"]["bars"], shown[0])
        self.assertLessEqual(keeper.dials(90)["bars"], 1.31 * shown[0])

    def test_a_wrong_look_taken_back_after_46_days(self):
        keeper = self.keeper
        self.follow_with_looks(12)
        keeper.say(12, "checkin", "staghorn", "--tissue", "white-patches")
        number = len(keeper.ask(12, "history")["entries"])
        for day in range(14, 58, 4):
            keeper.round(day)
        before = keeper.dials(57)["bars"]
        keeper.say(58, "undo", "--entry", str(number))
        after = keeper.dials(58)["bars"]
        self.assertLessEqual(after, 1.31 * before)
        self.assertGreater(keeper.dials(64)["bars"], before)

    def test_following_again_midway(self):
        keeper = self.keeper
        self.follow_with_looks(38)
        keeper.say(38, "checkin", "staghorn", "--colour", "-2")
        before = keeper.dials(38)
        higher = json.loads(json.dumps(TANK))
        higher["ramp"]["to"]["bars"] = 90
        keeper.write(higher)
        keeper.say(39, "follow")
        after = keeper.ask(39, "today")
        self.assertEqual(after["dials"].get("tubes", 0), 0, "the lamp has been gone for weeks")
        self.assertLessEqual(after["dials"]["bars"], before["bars"])
        self.assertEqual(after["legs"], [date_of(0), date_of(39)])
        self.assertEqual(after["waits_for"]["group"], "staghorn")
        self.assertEqual(len(keeper.ask(39, "plan")["days"][0]["groups"]), 2)

    def test_what_if_changes_nothing(self):
        keeper = self.keeper
        self.follow_with_looks(10)
        kept = (keeper.folder / "reef.logbook").read_bytes()
        text = keeper.say(10, "plan", "--pace", "gentle")
        self.assertTrue(text.startswith("A proposal"), text[:80])
        self.assertTrue(keeper.ask(10, "today", "--to", "bars 60")["is_proposal"])
        self.assertEqual((keeper.folder / "reef.logbook").read_bytes(), kept)

    def test_a_new_goal_is_written_into_the_tank_file(self):
        keeper = self.keeper
        self.follow_with_looks(10)
        text = keeper.file.read_text()
        keeper.say(10, "follow", "--to", "bars 60")
        self.assertEqual(keeper.file.read_text(), text.replace('"bars": 80', '"bars": 60'))
        self.assertAlmostEqual(keeper.ask(10, "plan")["groups"][0]["goal"]["dose"], 6.48)

    def test_light_by_accident_teaches_nothing(self):
        keeper = self.keeper
        shown = self.follow_with_looks(20)
        keeper.say(20, "dialed", "bars", "100", "--until", date_of(22))
        for day in (23, 24):
            today = keeper.ask(day, "today")
            self.assertLessEqual(today["dials"]["bars"], shown[-1] + 1)
            self.assertIn("taught nothing", today["accident"])
        keeper.round(25)
        self.assertLessEqual(keeper.dials(26)["bars"], 1.16 * shown[-1])

    def test_one_coral_suffers_and_the_others_are_spared(self):
        keeper = self.keeper
        self.follow_with_looks(24)
        answer = keeper.ask(24, "checkin", "chalice", "--colour", "-2")
        self.assertEqual(answer["response"], "strained")
        meshes = [way for way in answer["ways"] if way["kind"] == "mesh"]
        self.assertEqual(len(meshes), 1)
        way = meshes[0]
        self.assertGreater(way["dials_today"]["bars"], answer["dials"]["bars"])
        self.assertEqual(
            way["command"], f'slowdawn moved "chalice" --mesh {way["transmission"]:.1f}'
        )
        after = keeper.ask(24, "moved", "chalice", "--mesh", str(way["transmission"]))
        self.assertEqual(after["dials"], way["dials_today"])

    def test_an_undo_takes_a_round_back_and_can_be_undone(self):
        keeper = self.keeper
        keeper.say(0, "follow")
        keeper.round(0)
        keeper.say(1, "checkin", "--all", "--extension", "less")
        entries = keeper.ask(1, "history")["entries"]
        keeper.say(1, "undo")
        after = keeper.ask(1, "history")["entries"]
        self.assertEqual([entry["undone"] for entry in after[-3:]], [True, True, False])
        keeper.say(1, "undo", "--entry", str(len(after)))
        again = keeper.ask(1, "history")["entries"][: len(entries)]
        self.assertEqual([e["undone"] for e in again], [e["undone"] for e in entries])

    def test_a_clock_that_is_set_back(self):
        keeper = self.keeper
        self.follow_with_looks(9)
        refused = keeper.run(4, "checkin", "chalice", "--colour", "0")
        self.assertEqual(refused.returncode, 2)
        self.assertIn("SLOWDAWN_TODAY", refused.stderr)
        self.assertEqual(keeper.run(4, "today").returncode, 2)

    def test_what_speaks_of_a_time_before_asks(self):
        keeper = self.keeper
        self.follow_with_looks(9)
        keeper.say(9, "moved", "chalice", "sand", "--date", date_of(8))
        asked = keeper.run(9, "moved", "chalice", "ledge", "--date", date_of(5))
        self.assertEqual(asked.returncode, 2)
        self.assertIn("--yes", asked.stderr)
        keeper.say(9, "moved", "chalice", "ledge", "--date", date_of(5), "--yes")

    def test_a_group_that_is_gone(self):
        keeper = self.keeper
        self.follow_with_looks(20)
        keeper.say(20, "checkin", "staghorn", "--tissue", "lost")
        held = keeper.dials(20)["bars"]
        keeper.say(21, "gone", "staghorn")
        self.assertGreaterEqual(keeper.dials(21)["bars"], held)
        self.assertNotIn("staghorn", keeper.ask(30, "today")["due"])
        self.assertEqual(keeper.run(22, "checkin", "staghorn").returncode, 2)

    def test_random_commands_are_answered(self):
        dice = random.Random(20260301)
        keeper = self.keeper
        keeper.say(0, "follow")
        for day in range(60):
            about = date_of(dice.randint(max(0, day - 9), day))
            group = dice.choice(["staghorn", "chalice"])
            words = dice.choice(
                [
                    ["checkin", group, "--colour", str(dice.randint(-3, 1)), "--date", about],
                    ["checkin", "--all", "--date", about],
                    ["checkin", group, "--tissue", "lost"],
                    ["dialed", "bars", str(dice.randint(0, 100)), "--date", about],
                    ["moved", group, dice.choice(["crest", "ledge", "sand"]), "--yes"],
                    ["moved", group, "--mesh", str(dice.randint(2, 9) / 10), "--yes"],
                    ["undo", "--yes"],
                    ["follow"],
                    ["follow", "--to", f"bars {dice.randint(20, 100)}"],
                    ["gone", group, "--yes"],
                    ["plan", "--even"],
                    ["today", "--pace", "brisk"],
                    ["why"],
                ]
            )
            done = keeper.run(day, *words)
            self.assertIn(done.returncode, (0, 1, 2), (words, done.stderr))
            shown = keeper.run(day, "today", "--json")
            self.assertIn(shown.returncode, (0, 1), (words, shown.stderr))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
