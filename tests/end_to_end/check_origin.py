#!/usr/bin/env python3
"""`origin`: its numbers against a second computation from the published equations, in plain
Python; its words; its line for a tank file.

check_origin.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import datetime
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
REEF = ["--latitude", "-20", "--date", "2026-09-03", "--depth", "3"]
# FAO-56 (Allen et al. 1998) equations 21, 23 to 25, 34, 35; 7.058 mol for each kWh (Logan, Sams
# and Faust 2016); sea water against air 1.34.
OVERCAST, SUNLIT, MOL_PER_MJ, INDEX = 0.25, 0.50, 7.058 / 3.6, 1.34


def run(*words, expect=0):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, "origin", *map(str, words)], env=clean, check=False, text=True,
                            stdin=subprocess.DEVNULL, capture_output=True)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result.stdout if expect == 0 else result.stderr


def run_json(*words):
    return json.loads(run(*words, "--json"))


def reflectance(angle):
    if angle == 0:
        return ((INDEX - 1) / (INDEX + 1)) ** 2
    bent = math.asin(math.sin(angle) / INDEX)
    return 0.5 * ((math.sin(angle - bent) / math.sin(angle + bent)) ** 2
                  + (math.tan(angle - bent) / math.tan(angle + bent)) ** 2)


SKY = sum(reflectance(math.pi / 2 * (i + 0.5) / 20000) * math.sin(math.pi * (i + 0.5) / 20000)
          for i in range(20000)) * math.pi / 2 / 20000


def second_opinion(latitude, days, cloud, left):
    """Means over the days: day length, radiation outside the air, dose and peak."""
    sums = [0.0] * 4
    for day in days:
        phi = math.radians(latitude)
        turn = 2 * math.pi * day / 365
        delta = 0.409 * math.sin(turn - 1.39)
        sunset = math.acos(-math.tan(phi) * math.tan(delta))
        height = math.sin(phi) * math.sin(delta), math.cos(phi) * math.cos(delta)
        outside = (1440 / math.pi * 0.0820 * (1 + 0.033 * math.cos(turn))
                   * (sunset * height[0] + height[1] * math.sin(sunset)))
        # The day in small pieces, from noon on.
        pieces = 4000
        sines = [height[0] + height[1] * math.cos(sunset * (i + 0.5) / pieces)
                 for i in range(pieces)]
        passed = sum(s * (1 - reflectance(math.acos(s))) for s in sines) / sum(sines)
        sunny = (1 - cloud) * (OVERCAST + SUNLIT) * passed
        dose = outside * MOL_PER_MJ * (sunny + cloud * OVERCAST * (1 - SKY)) * left
        # Seconds that a sun in the zenith would need for the same rays.
        zenith = 2 * sum(sines) / pieces * sunset / math.pi * 12 * 3600
        noon = sum(height)
        peak = (outside * MOL_PER_MJ * (OVERCAST + SUNLIT) * 1e6 / zenith * noon
                * (1 - reflectance(math.acos(noon))) * left)
        for i, value in enumerate((24 / math.pi * sunset, outside, dose, peak)):
            sums[i] += value / len(days)
    return sums


class Numbers(unittest.TestCase):
    def assert_agrees(self, words, latitude, days, cloud, left=None):
        answer = run_json(*words)
        expected = second_opinion(latitude, days, cloud,
                                  answer["left_at_depth"] if left is None else left)
        keys = "day_length_h", "extraterrestrial_mj_m2_d", "dose", "peak"
        for key, value in zip(keys, expected):
            self.assertAlmostEqual(answer[key] / value, 1, delta=2e-5, msg=(words, key))
        self.assertEqual(answer["lit_hours"], answer["day_length_h"])
        return answer

    def test_a_day_under_a_known_kd(self):
        for latitude, date, depth, kd, cloud in [(-20, "2026-09-03", 3, 0.08, 0.3),
                                                 (24.5, "2026-06-21", 12, 0.05, 0),
                                                 (0, "2028-12-31", 1.5, 0.3, 1),
                                                 (-35, "2026-06-21", 0, 0.1, 0.6)]:
            day = datetime.date.fromisoformat(date).timetuple().tm_yday
            self.assert_agrees(["--latitude", latitude, "--date", date, "--depth", depth, "--kd", kd,
                                "--cloud", cloud], latitude, [day], cloud, math.exp(-kd * depth))

    def test_a_season_is_its_days(self):
        summer = [*range(335, 366), *range(1, 60)]
        words = ["--latitude", -20, "--depth", 0]
        answer = self.assert_agrees([*words, "--season", "summer"], -20, summer, 0.3, 1)
        self.assertEqual(answer["days"], 90)
        self.assertLess(answer["lowest_dose"], answer["dose"])
        same = self.assert_agrees([*words, "--date", "2025-12-01", "--until", "2026-02-28"], -20,
                                  summer, 0.3, 1)
        self.assertAlmostEqual(same["dose"], answer["dose"], places=10)
        self.assert_agrees(words, -20, range(1, 366), 0.3, 1)

    def test_water_types_dim_from_clear_to_murky(self):
        doses = [run_json(*REEF, "--water", name)["dose"]
                 for name in ("I", "IA", "IB", "II", "III", "1C", "3C", "5C")]
        self.assertEqual(doses, sorted(doses, reverse=True))
        self.assertEqual(len(set(doses)), 8)
        # CALC from Jerlov's bands and ASTM G173: .4469 is left of type II at 5 m.
        five = run_json("--latitude", 10, "--depth", 5, "--water", "II")
        self.assertAlmostEqual(five["left_at_depth"], 0.4469, places=4)

    def test_the_error_is_the_root_of_its_parts(self):
        answer = run_json(*REEF)
        parts = answer["errors"]
        self.assertEqual(list(parts), ["sky", "photons", "cloud", "surface", "water"])
        self.assertAlmostEqual(answer["relative_error"],
                               math.sqrt(sum(part ** 2 for part in parts.values())))
        self.assertLess(run_json(*REEF, "--cloud", 0.3)["relative_error"], answer["relative_error"])
        deep = run_json("--latitude", -20, "--date", "2026-09-03", "--depth", 60)
        self.assertGreater(deep["relative_error"], 0.5)


class Words(unittest.TestCase):
    def test_the_answer_comes_first_and_fits(self):
        for words in (REEF, [*REEF, "--kd", "0.123456789"], ["--latitude", "45.25", "--depth", "100"],
                      [*REEF, "--until", "2026-10-03", "--cloud", "0.123456789", "--water", "5C"]):
            text = run(*words)
            self.assertRegex(text, r"\ADose [\d.]+ mol m-2 d-1, noon peak [\d.]+ umol m-2 s-1, lit "
                                   r"[\d.]+ h, within\s")
            for line in text.splitlines():
                self.assertLessEqual(len(line), 80, line)

    def test_it_says_what_it_leaves_out_and_what_it_took(self):
        flat = re.sub(r"\s+", " ", run("--latitude", 45, "--depth", 3))
        for words in ("noon under a clear sky", "Waves focus flashes far above it", "shade of the reef",
                      "turbid days", "No date and no season was given", "type II was taken",
                      "0.3 was taken, as a guess", "Reefs are rare so far"):
            self.assertIn(words, flat)
        flat = re.sub(r"\s+", " ", run(*REEF, "--water", "II", "--cloud", "0.3"))
        for words in ("was given", "was taken", "Reefs are rare"):
            self.assertNotIn(words, flat)

    def test_it_doubts_a_latitude_far_from_reefs_on_either_side(self):
        for latitude, is_far in ((-55, True), (-41, True), (-40, False), (40, False), (41, True),
                                 (55, True)):
            text = run("--latitude", latitude, "--depth", 3, "--season", "summer")
            with self.subTest(latitude):
                self.assertEqual("Reefs are rare so far" in " ".join(text.split()), is_far)

    def test_the_line_for_a_tank_file_is_the_place(self):
        for words, place in [
                (REEF, {"latitude": -20, "date": "2026-09-03", "depth_m": 3, "water": "II"}),
                (["--latitude", "12.5", "--season", "winter", "--depth", "0.5", "--kd", "0.08",
                  "--cloud", "0.25"],
                 {"latitude": 12.5, "season": "winter", "depth_m": 0.5, "kd": 0.08, "cloud": 0.25}),
                ([*REEF, "--until", "2026-09-30"],
                 {"latitude": -20, "date": "2026-09-03", "until": "2026-09-30", "depth_m": 3,
                  "water": "II"})]:
            text = run(*words)
            line = re.search(r'"history": \{.*?\}\}', text, re.S).group()
            self.assertEqual(json.loads("{" + line + "}"), {"history": {"origin": place}})
            self.assertEqual(run_json(*words)["history"], {"origin": place})


if __name__ == "__main__":
    unittest.main()
