#!/usr/bin/env python3
"""Farms: many tanks, many groups, one core or several, and a signal while writing.

    check_farm.py PROGRAM SOURCE_FOLDER

The farms are those of tests/bench/make_farm.py.
"""
import csv
import io
import json
import os
import pathlib
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest

PROGRAM, SOURCE = sys.argv[1], pathlib.Path(sys.argv[2])
MAKE_FARM = SOURCE / "tests/bench/make_farm.py"
WRONG, NO_ACCESS = 2, 3


def make_farm(*arguments):
    subprocess.run([sys.executable, "-B", MAKE_FARM, *map(str, arguments)], check=True)


def run(*arguments, code=0, cores=None):
    def take_cores():
        if cores:
            os.sched_setaffinity(0, cores)
    done = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True,
                          preexec_fn=take_cores, check=False)
    assert done.returncode == code, (arguments, done.returncode, done.stderr.decode())
    return done.stdout.decode(), done.stderr.decode()


class Farm(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.scratch = tempfile.TemporaryDirectory()
        cls.folder = pathlib.Path(cls.scratch.name)
        # Over 512 groups are spread over the cores (src/ramp/spread.hpp).
        cls.large = cls.folder / "large.tank.json"
        make_farm("tank", cls.large, "--groups", 700, "--spots", 140)
        cls.farm = cls.folder / "farm"
        make_farm("folder", cls.farm, "--tanks", 6)
        cls.tanks = sorted(cls.farm.glob("*.tank.json"))

    @classmethod
    def tearDownClass(cls):
        cls.scratch.cleanup()

    def summary(self, *arguments, code=0):
        return json.loads(run("plan", *arguments, "--summary", "--json", code=code)[0])["tanks"]

    def test_the_number_of_cores_changes_no_byte(self):
        every_core = os.sched_getaffinity(0)
        one_core = {min(every_core)}
        for answer in (["plan", self.large, "--json"], ["plan", self.large, "--csv"],
                       ["plan", self.large], ["plan", *self.tanks, "--json"]):
            self.assertEqual(run(*answer, cores=one_core), run(*answer, cores=every_core), answer)

    def test_copies_of_an_example_are_planned_as_it_is_alone(self):
        example = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
        tank = json.loads(example.read_text(encoding="utf-8"))
        alone = json.loads(run("plan", example, "--json")[0])
        copies = 120
        tank["groups"] = [{**group, "name": f"{group['name']} {copy}"}
                          for copy in range(copies) for group in tank["groups"]]
        self.assertGreater(len(tank["groups"]), 512)
        many = self.folder / "copies.tank.json"
        many.write_text(json.dumps(tank), encoding="utf-8")
        together = json.loads(run("plan", many, "--json")[0])
        self.assertEqual(together["reaches_goal"], alone["reaches_goal"])
        self.assertEqual(len(together["days"]), len(alone["days"]))
        for one, all_of_them in zip(alone["days"], together["days"]):
            self.assertEqual(one["dials"], all_of_them["dials"])
            count = len(one["groups"])
            for number, group in enumerate(all_of_them["groups"]):
                same = dict(one["groups"][number % count])
                same["name"] = f"{same['name']} {number // count}"
                self.assertEqual(group, same)

    def test_a_summary_says_what_each_plan_says(self):
        lines = self.summary(*self.tanks)
        self.assertEqual([line["file"] for line in lines], [str(tank) for tank in self.tanks])
        for line in lines:
            plan = json.loads(run("plan", line["file"], "--json")[0])
            self.assertEqual(line["tank"], plan["tank"])
            self.assertEqual(line["status"], plan["status"])
            self.assertEqual(line["reaches_goal"], plan["reaches_goal"])
            self.assertEqual(line["settled"], plan["settled"])
            day = next(d for d in plan["days"] if d["date"] == line["date"])
            self.assertEqual(line["dials"], day["dials"])
            held = [d["held_by"] for d in plan["days"]
                    if d["held_by"] and d["held_by"]["group"] is not None]
            of_line = {"group": line["held_by"]["group"], "cap": line["held_by"]["cap"]}
            days = [held.count(other) for other in held]
            self.assertEqual(held.count(of_line), line["held_by"]["days"])
            self.assertEqual(max(days), line["held_by"]["days"])

    def test_several_tanks_are_a_summary_with_or_without_the_word(self):
        self.assertEqual(run("plan", *self.tanks), run("plan", *self.tanks, "--summary"))
        text, _ = run("plan", *self.tanks)
        self.assertTrue(text.startswith("6 tanks: "), text)
        self.assertTrue(all(len(line) <= 80 for line in text.splitlines()), text)
        for tank in self.tanks:
            self.assertIn(tank.name.split(".")[0], text)
        one, _ = run("plan", self.tanks[0], "--summary")
        self.assertTrue(one.startswith("1 tank: "), one)
        rows = list(csv.DictReader(io.StringIO(run("plan", *self.tanks, "--csv")[0])))
        self.assertEqual([row["file"] for row in rows], [str(tank) for tank in self.tanks])

    def test_a_broken_tank_is_named_and_the_others_are_planned(self):
        broken = self.folder / "broken"
        shutil.copytree(self.farm, broken)
        files = sorted(broken.glob("*.tank.json"))
        files[2].write_text(files[2].read_text().replace('"ramp"', '"rump"'))
        missing = broken / "missing.tank.json"
        text, said = run("plan", *files, missing, code=NO_ACCESS)
        self.assertIn(f"{files[2]}:", said)
        self.assertIn('unknown key "rump"', said)
        self.assertIn(f"{missing}: error: there is no such file", said)
        self.assertIn("2 that could not be planned", text)
        lines = self.summary(*files, missing, code=NO_ACCESS)
        self.assertEqual(len(lines), 7)
        self.assertEqual([("errors" in line) for line in lines],
                         [False, False, True, False, False, False, True])
        self.assertTrue(any("rump" in error["error"] for error in lines[2]["errors"]))
        self.summary(*files, code=WRONG)

    def test_the_text_of_a_farm_can_be_read(self):
        for command in (["plan"], ["check"], ["survey"], ["today", "--date", "2026-12-08"]):
            text, _ = run(*command, self.large)
            self.assertLess(text.count("\n"), 300, command)
            self.assertTrue(all(len(line) <= 80 for line in text.splitlines()), text)
            self.assertIn(" more", text)

    def test_a_long_placement_shows_those_that_move(self):
        tank = self.folder / "rack.tank.json"
        make_farm("tank", tank, "--groups", 150, "--spots", 60)
        text, _ = run("place", tank)
        answer = json.loads(run("place", tank, "--json")[0])
        self.assertEqual(len(answer["assignment"]), 150)
        self.assertIn("110 more stand in slowdawn place --json.", " ".join(text.split()))
        at_goal = text.split("stand here before others")[0]
        rows = [line for line in at_goal.splitlines() if line.startswith("fra")]
        self.assertEqual(len(rows), 40)
        moves = answer["moves"]
        self.assertTrue(0 < len(moves) <= 40, len(moves))
        for move in moves:
            number = move["group"][-3:]
            self.assertTrue([row for row in rows if row.split()[0].endswith(number)], number)

    def test_a_page_of_a_farm_is_refused_with_a_way_out(self):
        for command in ("report", "sheet"):
            target = self.folder / "page.html"
            _, said = run(command, self.large, "-o", target, code=WRONG)
            self.assertIn("this tank has 700", said)
            self.assertIn("hint:", said)
            self.assertFalse(target.exists())

    def test_a_signal_while_writing_leaves_the_old_file_and_nothing_else(self):
        tank = self.folder / "page.tank.json"
        make_farm("tank", tank, "--groups", 200, "--spots", 40)
        place = self.folder / "pages"
        old, _ = run("report", SOURCE / "examples/frag-rack/frag-rack.tank.json")
        for number in (signal.SIGINT, signal.SIGTERM):
            hits = 0
            for _ in range(20):
                shutil.rmtree(place, ignore_errors=True)
                place.mkdir()
                page = place / "page.html"
                page.write_text(old, encoding="utf-8")
                writer = subprocess.Popen([PROGRAM, "report", tank, "-o", page],
                                          stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                while writer.poll() is None and len(os.listdir(place)) == 1:
                    pass
                writer.send_signal(number)
                ended_by = writer.wait()
                self.assertEqual(os.listdir(place), ["page.html"])
                if ended_by == 0:
                    self.assertIn("</html>", page.read_text(encoding="utf-8"))
                    continue
                # A shell shows it as 128 + the signal.
                self.assertEqual(ended_by, -number)
                is_old = page.read_text(encoding="utf-8") == old
                hits += is_old
                if not is_old:
                    self.assertIn("</html>", page.read_text(encoding="utf-8"))
                if hits == 3:
                    break
            self.assertGreater(hits, 0, "no signal came while the page was being written")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
