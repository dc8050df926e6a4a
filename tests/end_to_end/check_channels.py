#!/usr/bin/env python3
"""A light of channels: every answer that shows its dial says what each channel is set to.

check_channels.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import fractions
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
EXAMPLE = SOURCE / "examples/harbour-wall/harbour-wall.tank.json"
SHARES = json.loads(EXAMPLE.read_text())["lights"][1]["channels"]
TODAY = "2026-12-05"


def channels_of(dial):
    """Each rounded to a whole percent, halves up."""
    return {name: math.floor(fractions.Fraction(str(dial)) * share / 100 + fractions.Fraction(1, 2))
            for name, share in SHARES.items()}


def words_of(dial):
    return ", ".join(f"{name} {value}" for name, value in channels_of(dial).items())


class Channels(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        shutil.copy(EXAMPLE, self.folder / "wall.tank.json")
        self.days = self.run_json("plan")["days"]
        self.first = self.days[0]["dials"]["colours"]

    def ask(self, *words, today=TODAY):
        clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
        return subprocess.run([PROGRAM, *words], cwd=self.folder, text=True, check=False,
                              env={**clean, "SLOWDAWN_TODAY": today}, capture_output=True)

    def run_at(self, today, *words):
        result = self.ask(*words, today=today)
        self.assertEqual(result.returncode, 0, (words, result.stdout, result.stderr))
        return result.stdout

    def run_text(self, *words):
        return self.run_at(TODAY, *words)

    def run_json(self, *words):
        return json.loads(self.run_text(*words, "--json"))

    def test_json_has_them_beside_every_dials(self):
        def look(node):
            found = 0
            for key, value in node.items() if isinstance(node, dict) else enumerate(node):
                if key == "dials" and isinstance(value, dict) and "colours" in value:
                    self.assertEqual(node["channels"], {"colours": channels_of(value["colours"])})
                    found += 1
                elif isinstance(value, (dict, list)):
                    found += look(value)
            return found
        self.assertGreater(look(self.run_json("plan")), 40)
        for words in (["today"], ["why", "--date", "2026-12-09"], ["survey"], ["place"]):
            self.assertGreater(look(self.run_json(*words)), 0, words)
        shutil.copy(EXAMPLE, self.folder / "pier.tank.json")
        farm = self.run_json("plan", "wall.tank.json", "pier.tank.json")
        self.assertEqual(look(farm), 2)
        (self.folder / "pier.tank.json").unlink()
        plain = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
        self.assertNotIn("channels", self.run_text("plan", plain, "--json"))

    def test_texts_say_them(self):
        words = words_of(self.first)
        self.assertTrue(self.run_text("today").startswith(f"{self.first} %  colours: {words}\n"))
        for command in (["plan"], ["why", "--date", TODAY], ["calendar", "-o", "-"]):
            said = " ".join(self.run_text(*command).replace("\r\n ", "").replace("\\", "").split())
            self.assertIn(f"colours {self.first} %: {words}", said, command)
        self.assertIn("colours 75 %: royal 75, violet 60, red 6; white 25 %",
                      " ".join(self.run_text("check").split()))

    def test_a_table_of_the_plan_and_csv_have_a_column_each(self):
        row = r"^(\d{4}-\d\d-\d\d) +(\d+) % +(\d+) +(\d+) +(\d+)$"
        dials = {day["date"]: day["dials"]["colours"] for day in self.days}
        for words, count in ((["plan"], 11), (["plan", "--even"], 2)):
            table = re.findall(row, self.run_text(*words), re.M)
            self.assertGreaterEqual(len(table), count, words)
            for date, dial, *channels in table:
                self.assertEqual([int(text) for text in channels], list(channels_of(dial).values()))
                if words == ["plan"]:
                    self.assertEqual(int(dial), dials[date])
        # No date, name or setting is cut at 80 columns.
        for words in (["plan"], ["plan", "--even"], ["survey"], ["check"]):
            text = self.run_text(*words)
            self.assertNotIn("..", text, words)
            self.assertLessEqual(max(map(len, text.splitlines())), 80, words)
        survey = self.run_text("survey")
        self.assertRegex(survey, r"colours 50 %, white 40 %, read\s+2026-11-29 +9 ")
        rows = list(csv.DictReader(io.StringIO(self.run_text("plan", "--csv"))))
        self.assertEqual(len(rows), 5 * len(self.days))
        for row in rows:
            channels = {name: int(row[f"colours {name} dial_percent"]) for name in SHARES}
            self.assertEqual(channels, channels_of(row["colours dial_percent"]))

    def test_pages_say_them(self):
        self.run_text("report", "-o", "wall.html")
        page = (self.folder / "wall.html").read_text()
        words = words_of(self.first)
        today = re.search(r'data-today-light="colours">(.*?)</p>', page, re.S)[1]
        self.assertEqual(re.sub("<[^>]*>", "", today), f"{self.first} % colours: {words}")
        self.assertEqual(re.search(r'data-day-channels="colours"[^>]*>(.*?)<', page)[1], words)
        data = json.loads(re.search(r'id="plan-data">(.*?)</script>', page, re.S)[1])
        self.assertEqual([day["channels"] for day in data["days"]],
                         [{"colours": channels_of(day["dials"]["colours"])} for day in self.days])
        self.run_text("sheet", "-o", "sheet.html")
        sheet = (self.folder / "sheet.html").read_text()
        for day in self.days[:12]:
            dial = day["dials"]["colours"]
            self.assertIn(f"{dial} % ({words_of(dial)})", sheet)

    def test_a_followed_plan_says_them_where_its_dial_was_turned(self):
        self.run_text("follow")
        self.run_text("checkin", "--all")
        words = self.run_at("2026-12-09", "dialed", "colours", "31", "white", "10")
        self.assertIn(f"colours 31 %: {words_of(31)}", " ".join(words.split()))
        today = self.run_at("2026-12-09", "today")
        self.assertTrue(today.startswith(f"31 %  colours: {words_of(31)}\n"), today)

    def test_another_mix_is_another_light(self):
        self.run_text("follow")
        file = self.folder / "wall.tank.json"
        file.write_text(file.read_text().replace('"violet": 80', '"violet": 60'))
        result = self.ask("follow")
        self.assertEqual(result.returncode, 2)
        self.assertIn('the channels of "colours" are not those of the plan before', result.stderr)
        self.assertIn("give it another name, and read it", result.stderr)
        self.assertIn("violet 34", self.run_text("today"))
        self.run_text("follow", "--yes")


if __name__ == "__main__":
    unittest.main()
