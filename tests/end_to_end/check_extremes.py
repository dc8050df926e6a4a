#!/usr/bin/env python3
"""What no keeper would write: JSON of a million levels, files of 200 MB, numbers and dates at the
ends of what can be written. Each is refused with the place and a hint, or planned; never a crash,
a number that is none, or a wait.

check_extremes.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import copy
import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
TANKS = [SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json",
         SOURCE / "tests/end_to_end/greenhouse.tank.json"]
HUGE_BYTES = 200_000_000
# As text, since 1e999 is a JSON number that no double holds.
ODD_NUMBERS = ["1e308", "-1e308", "1.7976931348623157e308", "1e999", "5e-324", "-5e-324",
               "2.2250738585072014e-308", "0", "-0.0", "0.1e-400", "123456789012345678901234567890"]
ODD_DATES = ["0000-01-01", "0001-01-01", "1582-10-10", "1899-12-31", "1900-02-29", "2000-02-29",
             "2100-12-31", "9998-12-31", "9999-12-31", "10000-01-01", "-0001-01-01",
             "99999999999-01-01"]


def run(*words, cwd=None):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    return subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean, capture_output=True,
                          text=True, check=False, stdin=subprocess.DEVNULL, timeout=120)


def leaves(value, kinds, path=()):
    """The paths of all values of some kinds."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, kinds, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from leaves(inner, kinds, (*path, index))
    elif isinstance(value, kinds) and not isinstance(value, bool):
        yield path


def with_leaf(tank, path, literal):
    """The text of a tank with one value replaced by a literal."""
    marked = copy.deepcopy(tank)
    place = marked
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = "@@here@@"
    return json.dumps(marked).replace('"@@here@@"', literal)


def no_constant(name):
    raise AssertionError(f"{name} is no JSON number")


class Extremes(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def require_sound(self, done, where):
        """Exit code 0 or 1 with finite numbers, or 2 or 3 with an error and a hint."""
        self.assertIn(done.returncode, (0, 1, 2, 3), (where, done.returncode, done.stderr))
        if done.returncode in (0, 1):
            answer = json.loads(done.stdout, parse_constant=no_constant)
            for path in leaves(answer, (int, float)):
                value = answer
                for key in path:
                    value = value[key]
                self.assertTrue(math.isfinite(value), (where, path, value))
        else:
            errors = json.loads(done.stderr)["errors"]
            self.assertTrue(errors and all(e["error"] and e["hint"] for e in errors),
                            (where, done.stderr))

    def try_leaves(self, kinds, literals):
        count = 0
        for file in TANKS:
            tank = json.loads(file.read_text())
            for path in leaves(tank, kinds):
                for literal in literals:
                    odd = self.folder / "odd.tank.json"
                    odd.write_text(with_leaf(tank, path, literal))
                    self.require_sound(run("plan", odd, "--json"), (file.name, path, literal))
                    count += 1
        return count

    def test_numbers_at_the_ends(self):
        self.assertGreater(self.try_leaves((int, float), ODD_NUMBERS), 500)

    def test_dates_at_the_ends(self):
        for date in ODD_DATES:
            for words in (["plan", "--start", date], ["today", "--date", date],
                          ["origin", "--latitude", "-20", "--depth", "3", "--date", date]):
                with self.subTest(words=words):
                    tank = [] if words[0] == "origin" else [TANKS[0]]
                    self.require_sound(run(*words, *tank, "--json"), words)
            odd = self.folder / "odd.tank.json"
            tank = json.loads(TANKS[0].read_text())
            tank["ramp"]["start"] = date
            for survey in tank["surveys"]:
                survey["taken"] = date
            odd.write_text(json.dumps(tank))
            for command in ("plan", "survey", "report", "calendar"):
                with self.subTest(date=date, command=command):
                    done = run(command, odd)
                    self.assertIn(done.returncode, (0, 2), (date, command, done.stderr))

    def test_depth_without_end(self):
        for levels in (10_000, 1_000_000):
            for text in ("[" * levels, "[" * levels + "]" * levels, '{"a":' * levels):
                for name in ("deep.tank.json", "acropora.json"):
                    file = self.folder / name
                    file.write_text(text)
                    words = (["check", file] if name.startswith("deep") else
                             ["check", TANKS[0], "--profiles", self.folder])
                    done = run(*words)
                    self.assertEqual(done.returncode, 2, done.stderr[-300:])
                    self.assertIn("hint:", done.stderr)
                    self.assertLess(len(done.stderr), 2000)
                    file.unlink()

    def test_files_of_200_megabytes(self):
        huge = self.folder / "huge"
        with huge.open("wb") as stream:
            stream.truncate(HUGE_BYTES)
        tank = self.folder / "reef.tank.json"
        tank.write_text(TANKS[0].read_text())
        profile = self.folder / "profiles/acropora.json"
        profile.parent.mkdir()
        profile.symlink_to(huge)
        survey = json.loads(TANKS[0].read_text())
        survey["surveys"][0] = {"dials": survey["surveys"][0]["dials"], "ppfd_file": "huge"}
        by_file = self.folder / "by-file.tank.json"
        by_file.write_text(json.dumps(survey))
        dials = self.folder / "dials.csv"
        dials.symlink_to(huge)
        for words in (["check", huge], ["dose", huge], ["check", by_file],
                      ["check", tank, "--profiles", profile.parent],
                      ["history", tank, "--import", huge],
                      ["judge", tank, "--dials", dials],
                      ["new", "--readings", huge, "--name", "x", "-o", "x.tank.json"]):
            with self.subTest(words=words):
                done = run(*words, cwd=self.folder)
                self.assertEqual(done.returncode, 3, (words, done.stdout[:300], done.stderr[:300]))
                self.assertIn("larger than 16 MB", done.stderr)
                self.assertIn("hint:", done.stderr)
        self.assertFalse((self.folder / "reef.logbook").exists())
        self.assertFalse((self.folder / "x.tank.json").exists())


if __name__ == "__main__":
    unittest.main(verbosity=1)
