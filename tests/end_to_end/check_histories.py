#!/usr/bin/env python3
"""Where corals come from, as a keeper meets it: every kind of history, days in the dark, days since,
and that a guess is called one in every output.

check_histories.py PROGRAM SOURCE_FOLDER [-k WORD]

The tanks are invented.
"""
import csv
import io
import json
import math
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
HOMECOMING = SOURCE / "examples/homecoming/homecoming.tank.json"
GUESS = re.compile(r"\bguess\b")


def run(*words, cwd=None, expect=0):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean,
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    if "--json" not in words and "--csv" not in words:
        for line in result.stdout.splitlines():
            assert len(line) <= 80, (words, line)
    return result


def words_of(text):
    return " ".join(text.split())


class Folder(unittest.TestCase):
    """A folder with the example, and what a test makes of it."""

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.folder)
        self.tank = json.loads(HOMECOMING.read_text())
        self.file = self.folder / "tray.tank.json"

    def write(self):
        self.file.write_text(json.dumps(self.tank))

    def group(self, name):
        return next(group for group in self.tank["groups"] if group["name"] == name)

    def say(self, *words, expect=0):
        self.write()
        return run(*words, cwd=self.folder, expect=expect).stdout

    def json(self, *words):
        return json.loads(self.say(*words, "--json"))


class Guesses(Folder):
    """The torch has {"unknown": true}."""

    COMMANDS = [("check",), ("place",), ("plan",), ("plan", "--even"), ("today",), ("why", "swapped torch"),
                ("judge", "--dials", "2026-11-02 20")]

    def test_every_text_says_so(self):
        for words in self.COMMANDS:
            with self.subTest(words[0]):
                text = words_of(self.say(*words) if words[0] != "judge"
                                else self.say(*words, expect=self.code_of(words)))
                self.assertRegex(text, GUESS)
                self.assertIn("swapped torch", text)

    def code_of(self, words):
        self.write()
        return subprocess.run([PROGRAM, *words], cwd=self.folder, capture_output=True,
                              check=False).returncode

    def test_every_json_says_so(self):
        for words in self.COMMANDS:
            with self.subTest(words[0]):
                made = json.loads(self.say(*words, "--json", expect=self.code_of(words)))
                self.assertEqual(made["guessed"], ["swapped torch"])
        self.assertRegex(" ".join(self.json("plan")["notes"]), GUESS)

    def test_every_file_says_so(self):
        for words in (("report", "-o", "plan.html"), ("sheet", "-o", "sheet.html"),
                      ("calendar", "-o", "plan.ics")):
            with self.subTest(words[0]):
                self.say(*words)
                text = (self.folder / words[-1]).read_text().replace("\r\n ", "")
                self.assertRegex(text, GUESS)
        rows = list(csv.DictReader(io.StringIO(self.say("plan", "--csv"))))
        for row in rows:
            self.assertEqual(row["is_guess"], "true" if row["group"] == "swapped torch" else "false")

    def test_none_says_so_where_nothing_is_guessed(self):
        self.group("swapped torch")["history"] = {"dose": 2.4, "peak": 70}
        for words in self.COMMANDS:
            with self.subTest(words[0]):
                text = self.say(*words, expect=self.code_of(words))
                self.assertNotRegex(words_of(text), GUESS)
                made = json.loads(self.say(*words, "--json", expect=self.code_of(words)))
                self.assertNotIn("guessed", made)

    def test_a_followed_plan_says_so(self):
        self.tank["ramp"]["start"] = "2026-01-05"
        for survey in self.tank["surveys"]:
            survey["taken"] = "2026-01-02"
        self.group("plates from the rack")["history"]["since"] = "2025-12-26"
        self.say("follow")
        self.assertRegex(words_of(run("today", "--date", "2026-01-07", cwd=self.folder).stdout), GUESS)


class Since(Folder):
    def test_a_ramp_may_start_on_the_day_a_group_came_and_not_before(self):
        self.group("plates from the rack")["history"]["since"] = "2026-11-05"
        self.tank["ramp"]["start"] = "2026-11-06"
        self.write()
        plan = json.loads(run("plan", "--start", "2026-11-05", "--json", cwd=self.folder).stdout)
        self.assertEqual(plan["days"][0]["date"], "2026-11-05")
        error = run("plan", "--start", "2026-11-04", cwd=self.folder, expect=2).stderr
        self.assertIn('"plates from the rack" comes after 2026-11-04, on 2026-11-05', error)
        # The file's own start has the same boundary.
        for start, code in (("2026-11-05", 0), ("2026-11-04", 2)):
            self.tank["ramp"]["start"] = start
            self.write()
            run("check", cwd=self.folder, expect=code)


class Counts(Folder):
    def test_check_shows_what_of_a_history_counts(self):
        found = {group["name"]: group["history"] for group in self.json("check")["groups"]}
        mail = found["birdsnest by mail"]
        self.assertEqual((mail["basis"], mail["peak"], mail["dark_days"]), ("told", 160, 2))
        self.assertAlmostEqual(mail["dose"], 0.0036 * 160 * 9)
        profile = json.loads(run("profiles", "pocilloporid", "--json").stdout)["profiles"][0]
        # By hand: two days in the dark, carryover, and doubt: 20 % told, 8 % calibration, and the
        # tray read twice, 101 and 98 times 1.3, at 5 % and half a digit.
        u = math.sqrt(0.2 ** 2 + 0.08 ** 2 + 0.05 ** 2 / 2 + (0.5 / (1.3 * 99.5)) ** 2)
        expected = mail["dose"] * math.exp(-2 / profile["tau_down_days"]) * profile["carryover"] * \
            math.exp(-1.645 * u)
        self.assertAlmostEqual(mail["counts"]["dose"], expected)
        self.assertEqual(found["staghorn cuttings"]["basis"], "origin")
        self.assertEqual(found["plates from the rack"]["since"], "2026-10-23")
        self.assertEqual(found["lowered branches"]["basis"], "spot_here")
        self.assertEqual(found["swapped torch"]["basis"], "unknown")
        plan = self.json("plan")
        for group in plan["days"][0]["groups"]:
            self.assertAlmostEqual(group["acclimated_dose"], found[group["name"]]["counts"]["dose"])

    def test_an_origin_is_what_the_command_says(self):
        origin = json.loads(run("origin", "--latitude", "-18", "--season", "summer", "--depth", "9",
                                "--water", "II", "--cloud", "0.4", "--json").stdout)
        found = next(group["history"] for group in self.json("check")["groups"]
                     if group["name"] == "staghorn cuttings")
        self.assertAlmostEqual(found["dose"], origin["dose"])
        self.assertAlmostEqual(found["peak"], origin["peak"])

    def test_another_tank_counts_with_its_own_files_and_stays_with_the_logbook(self):
        (self.folder / "friend").mkdir()
        (self.folder / "friend/tray.csv").write_text("spot,ppfd\nshelf,140\n")
        friend = {"format": "slowdawn-tank/1", "name": "Friend's tray",
                  "lights": [{"name": "lamp", "photoperiod": {"on": "10:00", "off": "20:00"}}],
                  "spots": [{"name": "shelf"}],
                  "surveys": [{"dials": {"lamp": 50}, "ppfd_file": "tray.csv"}],
                  "groups": [{"name": "x", "profile": "acropora", "spot": "shelf",
                              "history": {"tank": "../tray.tank.json", "spot": "stand"}}],
                  "ramp": {"from": {"lamp": 50}, "to": {"lamp": 50}}}
        (self.folder / "friend/friend.tank.json").write_text(json.dumps(friend))
        self.group("swapped torch")["history"] = {"tank": "friend/friend.tank.json",
                                                  "spot": "shelf"}
        found = self.json("check", "tray.tank.json")["groups"][-1]
        self.assertAlmostEqual(found["before"]["peak"], 140)
        self.assertAlmostEqual(found["before"]["dose"], 5.04)
        text = words_of(self.say("why", "swapped torch", "tray.tank.json"))
        self.assertIn('at "shelf" of "Friend\'s tray"', text)
        # The other tank names this one: each reads the other's light alone.
        run("check", "friend/friend.tank.json", cwd=self.folder)
        self.say("follow", "tray.tank.json")
        kept = self.json("plan", "tray.tank.json")
        (self.folder / "friend/tray.csv").write_text("spot,ppfd\nshelf,20\n")
        again = self.json("plan", "tray.tank.json")
        self.assertEqual(again["days"], kept["days"])
        changed = " ".join(self.json("today", "tray.tank.json", "--date", "2026-11-03")["changed"])
        self.assertIn("has changed since", changed)

    def test_a_start_before_a_group_came_is_refused(self):
        self.write()
        error = run("plan", "--start", "2026-09-01", cwd=self.folder, expect=2).stderr
        self.assertIn('"plates from the rack" comes after 2026-09-01, on 2026-10-23', error)

    def test_less_is_known_less_counts(self):
        doses = []
        for error in (0, 5, 20, 50):
            self.group("birdsnest by mail")["history"] = {"ppfd": 160, "hours": 9,
                                                          "error_percent": error}
            doses.append(self.json("check")["groups"][0]["history"]["counts"]["dose"])
        self.assertEqual(doses, sorted(doses, reverse=True))
        self.assertEqual(len(set(doses)), len(doses))


if __name__ == "__main__":
    unittest.main(verbosity=2)
