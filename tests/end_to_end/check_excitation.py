#!/usr/bin/env python3
"""Ek and the excitation cap, as a user meets them.

check_excitation.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import copy
import csv
import io
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
EXAMPLES = sorted(SOURCE.glob("examples/*/*.tank.json"))
REEF = json.loads((SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json").read_text())
THICKET = "staghorn thicket"
EK = 120
TITLE = "Excitation proxy (unvalidated)"


def proxy(peak, ek=EK):
    return 1 - math.tanh(peak / ek) / (peak / ek)


def peak_at(cap, ek=EK):
    low, high = 0.0, ek / (1 - cap)
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if proxy(middle, ek) < cap else (low, middle)
    return low


def without(value):
    """JSON without what is said of excitation."""
    if isinstance(value, dict):
        return {k: without(v) for k, v in value.items() if k not in ("excitation", "excitation_ratio")}
    return [without(v) for v in value] if isinstance(value, list) else value


class Excitation(unittest.TestCase):
    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.folder = pathlib.Path(holder.name)

    def run_at(self, tank, *words, expect=0):
        (self.folder / "reef.tank.json").write_text(json.dumps(tank))
        clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
        done = subprocess.run([PROGRAM, *map(str, words)], cwd=self.folder, env=clean, check=False,
                              stdin=subprocess.DEVNULL, capture_output=True, text=True)
        self.assertEqual(done.returncode, expect, (words, done.stdout, done.stderr))
        return done.stdout

    def json_at(self, tank, *words, expect=0):
        return json.loads(self.run_at(tank, *words, "--json", expect=expect))

    def reef(self, override=None, group=THICKET):
        tank = copy.deepcopy(REEF)
        for each in tank["groups"]:
            if each["name"] == group and override:
                each.setdefault("override", {}).update(override)
        return tank

    def text_at(self, tank, *words):
        return " ".join(self.run_at(tank, *words).split())

    def test_nothing_is_said_where_no_ek_is_known(self):
        self.assertTrue(EXAMPLES)
        for path in EXAMPLES:
            for table in path.parent.glob("*.csv"):
                (self.folder / table.name).write_bytes(table.read_bytes())
            tank = json.loads(path.read_text())
            for words in (["plan"], ["plan", "--json"], ["plan", "--csv"], ["check"],
                          ["check", "--json"], ["why"], ["why", "--json"],
                          ["report", "-o", "-"], ["place"]):
                said = self.run_at(tank, *words)
                self.assertNotIn("xcitation", said, (path.name, words))
                self.assertIsNone(re.search(r"\bEk\b", said), (path.name, words))

    def test_an_ek_alone_changes_no_plan(self):
        plain, told = self.json_at(self.reef(), "plan"), self.json_at(self.reef({"ek": EK}), "plan")
        self.assertNotEqual(plain, told)
        self.assertEqual(plain, without(told))
        for words in (["check"], ["why", THICKET, "--date", "2026-12-20"]):
            self.assertEqual(self.json_at(self.reef(), *words),
                             without(self.json_at(self.reef({"ek": EK}), *words)))

    def test_the_plan_reports_it_by_group_and_day(self):
        plan = self.json_at(self.reef({"ek": EK}), "plan")
        seen = []
        for day in plan["days"]:
            for group in day["groups"]:
                self.assertEqual("excitation" in group, group["name"] == THICKET)
                if group["name"] == THICKET:
                    self.assertAlmostEqual(group["excitation"], proxy(group["peak"]), 12)
                    seen.append((group["excitation"], day["date"]))
        highest = max(value for value, _ in seen)
        first = next(date for value, date in seen if value == highest)
        said = [group.get("excitation") for group in plan["groups"]]
        self.assertEqual(said[0], {"highest": highest, "date": first})
        self.assertEqual(said[1:], [None] * (len(said) - 1))
        text = self.text_at(self.reef({"ek": EK}), "plan")
        self.assertIn(TITLE + ": 1 - tanh(x)/x with x = peak / Ek", text)
        self.assertIn(f"{THICKET}: at the most {highest:.2f}, on {first} (day", text)
        self.assertIn(f"; Ek {EK}", text)

    def test_the_csv_has_a_column_of_it_at_the_end(self):
        rows = list(csv.DictReader(io.StringIO(self.run_at(self.reef({"ek": EK}), "plan", "--csv"))))
        self.assertEqual(list(rows[0])[-1], "excitation_proxy")
        for row in rows:
            if row["group"] == THICKET:
                self.assertAlmostEqual(float(row["excitation_proxy"]),
                                       proxy(float(row["peak_umol_m2_s"])), 12)
            else:
                self.assertEqual(row["excitation_proxy"], "")

    def test_check_why_and_report_say_it(self):
        tank = self.reef({"ek": EK, "excitation_cap": 0.9})
        checked = self.json_at(tank, "check")["groups"][0]
        self.assertEqual(checked["excitation"]["ek"], EK)
        self.assertEqual(checked["excitation"]["cap"], 0.9)
        for when in ("before", "goal"):
            self.assertAlmostEqual(checked["excitation"][when], proxy(checked[when]["peak"]), 12)
        self.assertIn(TITLE, self.text_at(tank, "check"))
        why = self.json_at(tank, "why", THICKET, "--date", "2026-12-20")
        self.assertAlmostEqual(why["excitation"]["now"], proxy(why["exposure"]["peak"]), 12)
        self.assertGreater(why["excitation"]["next"], why["excitation"]["now"])
        line = why["caps"][-1]
        self.assertEqual(line["cap"], "excitation")
        self.assertAlmostEqual(line["limit"] / peak_at(0.9), 1, 11)
        self.assertIn("max(at its cap", self.text_at(tank, "why", THICKET, "--date", "2026-12-20"))
        page = self.run_at(tank, "report", "-o", "-")
        for words in (TITLE, "Ek, where photosynthesis saturates", "120 µmol m⁻² s⁻¹",
                      "Cap of the excitation proxy (unvalidated)",
                      "given in the tank file, without a basis"):
            self.assertTrue(words in page, words)

    def test_a_cap_holds_the_plan_for_good(self):
        cap = 0.55
        tank = self.reef({"ek": EK, "excitation_cap": cap})
        plan = self.json_at(tank, "plan")
        self.assertEqual(plan["status"], "held")
        for day in plan["days"]:
            self.assertLessEqual(day["groups"][0]["excitation"], cap * (1 + 1e-8))
        self.assertEqual(plan["days"][-1]["held_by"], {"group": THICKET, "cap": "excitation"})
        # Nothing but the cap holds it: without it the plan goes on.
        self.assertEqual(self.json_at(self.reef(), "plan")["status"], "reaches_goal")
        self.assertTrue(any("peak at its excitation cap" in note for note in plan["notes"]))
        text = self.text_at(tank, "plan")
        self.assertIn(f"cap {cap} (a peak of {peak_at(cap):.0f})", text)
        last = plan["days"][-1]["date"]
        why = self.text_at(tank, "why", THICKET, "--date", last)
        self.assertIn("because of the peak at its excitation cap", why)
        self.assertIn("Waiting does not help here", why)
        checked = self.json_at(tank, "check")["groups"][0]
        self.assertEqual(checked["verdict"], "too_bright")
        self.assertAlmostEqual(checked["excitation_ratio"],
                               checked["goal"]["peak"] / peak_at(cap), 11)
        self.assertIn(f"at its excitation cap of {cap}", self.text_at(tank, "check"))

    def test_its_own_history_outranks_the_cap(self):
        # 0.2 is under what the thicket has under the tubes, so its old peak counts.
        plan = self.json_at(self.reef({"ek": EK, "excitation_cap": 0.2}), "plan")
        before = plan["groups"][0]["before"]["peak"]
        self.assertGreater(before, peak_at(0.2))
        highest = max(day["groups"][0]["peak"] for day in plan["days"])
        self.assertLessEqual(highest, before * (1 + 1e-9))
        self.assertGreater(highest, peak_at(0.2))

    def test_judge_names_it(self):
        tank = self.reef({"ek": EK, "excitation_cap": 0.55})
        # Two weeks at nearly the old light, then far over the cap; pace and headroom are wide.
        schedule = "2026-12-01 front bar 38 rear bar 40, 2026-12-15 front bar 70 rear bar 75"
        tank["meter"] = {"calibration_percent": 0, "repeat_percent": 0}
        tank["groups"][0]["override"].update(headroom_percent=100, weekly_rise_percent=100,
                                             carryover=1)
        broken = self.json_at(tank, "judge", "--dials", schedule, expect=1)["breaks"]
        own = [use for use in broken if use["group"] == THICKET]
        self.assertEqual({use["cap"] for use in own}, {"excitation"})
        for use in own:
            self.assertAlmostEqual(use["limit"] / peak_at(0.55), 1, 11)
            self.assertGreater(use["value"], use["limit"])

    def test_an_even_ramp_keeps_it(self):
        tank = self.reef({"ek": EK, "excitation_cap": 0.55})
        free = self.json_at(self.reef(), "plan", "--even")
        even = self.json_at(tank, "plan", "--even")
        self.assertNotEqual(free, even)
        self.assertIn("excitation", json.dumps(even) + self.run_at(tank, "plan", "--even"))

    def test_place_takes_it_for_a_ceiling(self):
        free = self.json_at(self.reef(), "place")
        self.assertEqual(free["assignment"][THICKET], "crest")
        # More than the east ledge has and less than the crest; its own 212 would outrank it.
        tank = self.reef({"ek": EK, "excitation_cap": 0.45})
        tank["groups"][0]["history"] = {"dose": 5, "peak": 140}
        tank["spots"][2]["capacity"] = 3
        moved = self.json_at(tank, "place")
        self.assertEqual(moved["assignment"][THICKET], "east ledge")
        self.assertIn(f" {peak_at(0.45):.0f} ", self.run_at(tank, "place"))
        del tank["groups"][0]["override"]
        self.assertEqual(self.json_at(tank, "place")["assignment"][THICKET], "crest")

    def test_a_profile_of_ones_own_shows_both_with_their_basis(self):
        own = json.loads((SOURCE / "profiles/acropora.json").read_text())
        own.update(name="own", ek=310, excitation_cap=0.45)
        own["basis"].update(ek="design choice: our fluorometer, March",
                            excitation_cap="common practice, no source")
        (self.folder / "mine").mkdir()
        (self.folder / "mine/own.json").write_text(json.dumps(own))
        text = self.text_at(REEF, "profiles", "own", "--profiles", "mine")
        self.assertIn("ek 310 umol m-2 s-1 design choice: our fluorometer, March", text)
        self.assertIn("excitation_cap 0.45 common practice, no source", text)
        shown = self.json_at(REEF, "profiles", "own", "--profiles", "mine")["profiles"][0]
        self.assertEqual((shown["ek"], shown["excitation_cap"]), (310, 0.45))
        self.assertEqual(shown["basis"], own["basis"])
        # A relative meter leaves them out, as it does bands and ceilings.
        tank = self.reef()
        tank["meter"] = {"relative": True}
        tank["groups"][0]["profile"] = "own"
        tank["groups"] = [group for group in tank["groups"] if "history" not in group]
        self.assertNotIn("excitation", self.run_at(tank, "plan", "--json", "--profiles", "mine"))

    def test_a_followed_plan_keeps_it(self):
        tank = self.reef({"ek": EK, "excitation_cap": 0.55})
        self.run_at(tank, "follow")
        followed = self.json_at(tank, "plan")
        self.assertEqual(followed["days"][-1]["held_by"], {"group": THICKET, "cap": "excitation"})
        self.assertIn("excitation", followed["groups"][0])


if __name__ == "__main__":
    unittest.main()
