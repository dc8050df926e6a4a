#!/usr/bin/env python3
"""Spectra and usable weights as a keeper meets them: check, survey, plan, why, today, report.

check_spectra.py PROGRAM SOURCE_FOLDER [-k WORD]

The tank is invented: a lamp and a blue panel, both square days of 10 h, dimmed by halves at 50 %.
"""
import csv
import datetime
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

# Entries may not lie in the future.
START = datetime.date.today() - datetime.timedelta(days=40)
DOSE_OF_PPFD = 0.0036 * 10
KIND = {"light_class": "medium", "dose_band": [1, 8], "peak_ceiling": 600,
        "headroom_percent": 30, "weekly_rise_percent": 15, "tau_up_days": 12, "tau_down_days": 5,
        "carryover": 0.8, "floor_percent": 50}
WAVELENGTHS = range(400, 701, 5)
# SI of 2019, exact: umol in a joule for each nm of wavelength.
UMOL_PER_JOULE_NM = 1e-3 / (6.02214076e23 * 6.62607015e-34 * 299792458)


def run(*words, cwd=None, expect=0):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean,
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    if not {"--json", "--csv"} & set(map(str, words)):
        for line in result.stdout.splitlines():
            assert len(line) <= 80, (words, line)
    return result.stdout


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


def blue(nm):
    return math.exp(-((nm - 450) / 20) ** 2)


def table(column, value):
    return f"wavelength_nm,{column}\n" + "".join(f"{nm},{value(nm)!r}\n" for nm in WAVELENGTHS)


def photons(value, low=400, high=700):
    """umol in the joules of a spectrum, by the trapezoid rule."""
    at = [nm for nm in WAVELENGTHS if low <= nm <= high]
    heights = [value(nm) * nm * UMOL_PER_JOULE_NM for nm in at]
    return sum((a + b) / 2 * 5 for a, b in zip(heights, heights[1:]))


def make_tank(weight=None, readings=(400, 120), **panel):
    """weight: of the panel; readings: PPFD of the panel at the crest and on the sand, at 100 %."""
    light = {"name": "panel", "photoperiod": {"on": "10:00", "off": "20:00"}, **panel}
    if weight is not None:
        light["usable_weight"] = weight
    return {"format": "slowdawn-tank/1", "name": "Quay tank",
            "lights": [{"name": "lamp", "photoperiod": {"on": "10:00", "off": "20:00"}}, light],
            "spots": [{"name": "crest"}, {"name": "sand"}],
            "surveys": [{"taken": date_of(-9), "dials": {"lamp": 100},
                         "ppfd": {"crest": 150, "sand": 60}},
                        {"taken": date_of(-7), "dials": {"panel": 100},
                         "ppfd": dict(zip(("crest", "sand"), readings))}],
            "groups": [{"name": "staghorn", "profile": KIND, "spot": "crest"},
                       {"name": "disc", "profile": KIND, "spot": "sand"}],
            "ramp": {"from": {"lamp": 100}, "to": {"panel": 60}, "start": date_of(0)}}


class Folder(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def write(self, name, content):
        text = content if isinstance(content, str) else json.dumps(content, indent=1)
        path = pathlib.Path(self.folder.name, name)
        path.write_text(text, encoding="utf-8")
        return path

    def run_json(self, *words, expect=0):
        return json.loads(run(*words, "--json", cwd=self.folder.name, expect=expect))


class Spectra(Folder):
    def test_show_photons_lux_and_shares(self):
        self.write("blue.csv", table("power", blue))
        reef = self.write("reef.tank.json", make_tank(spectrum="blue.csv"))
        for command in ("check", "survey"):
            shown = self.run_json(command, reef)["spectra"]
            self.assertEqual([one["light"] for one in shown], ["panel"])
            joules = sum((blue(nm) + blue(nm + 5)) / 2 * 5 for nm in WAVELENGTHS[:-1])
            self.assertAlmostEqual(shown[0]["umol_per_joule"], photons(blue) / joules, 9)
            self.assertAlmostEqual(shown[0]["share_400_500"],
                                   photons(blue, 400, 500) / photons(blue), 9)
            self.assertAlmostEqual(sum(shown[0][key] for key in shown[0] if "share" in key), 1, 9)
            self.assertIsNone(shown[0]["meter_error"])
            text = run(command, reef)
            self.assertRegex(text, r"panel +3\.7\d +\d+\.\d +(9\d|100)\.\d % ")

    def test_are_not_mentioned_where_there_are_none(self):
        reef = self.write("reef.tank.json", make_tank())
        for command in ("check", "survey"):
            self.assertNotIn("spectra", self.run_json(command, reef))
            self.assertNotIn("pectr", run(command, reef))

    def test_let_a_lux_meter_do(self):
        self.write("blue.csv", table("power", blue))
        plain = self.write("plain.tank.json", make_tank(spectrum="blue.csv"))
        factor = self.run_json("check", plain)["spectra"][0]["lux_per_ppfd"]
        lux = make_tank(spectrum="blue.csv", readings=(400 * factor, 120 * factor))
        lux["surveys"][1]["unit"] = "lux"
        reef = self.write("reef.tank.json", lux)
        judged = self.run_json("check", reef)
        self.assertAlmostEqual(judged["groups"][0]["goal"]["peak"], 240, 6)
        self.assertTrue(any("become PPFD by its spectrum" in one["warning"] and "blue" in
                            one["hint"] for one in judged["warnings"]))
        self.assertIn("become PPFD by its spectrum", " ".join(run("survey", reef).split()))

    def test_tell_a_meter_that_sees_blue_badly(self):
        self.write("blue.csv", table("power", blue))
        self.write("white.csv", table("power", lambda nm: 1))
        self.write("meter.csv", table("response", lambda nm: 0.5 if nm < 500 else 1))
        tank = make_tank(spectrum="blue.csv")
        tank["meter"] = {"response": "meter.csv", "calibrated_under": "white.csv"}
        reef = self.write("reef.tank.json", tank)
        judged = self.run_json("check", reef)
        # The blue panel has nothing over 500 nm to speak of.
        response = lambda nm: 0.5 if nm < 500 else 1
        right = (photons(lambda nm: response(nm)) / photons(lambda nm: 1))
        self.assertAlmostEqual(judged["spectra"][0]["meter_error"], 0.5 / right - 1, 2)
        warning, = [one for one in judged["warnings"] if "the meter shows" in one["warning"]]
        self.assertIn("ratio", warning["hint"])
        # Nothing is corrected.
        self.assertAlmostEqual(judged["groups"][0]["goal"]["peak"], 240, 9)
        text = " ".join(run("survey", reef).split())
        self.assertIn("too little under \"panel\"", text)
        self.assertIn("inherits", text)

    def test_are_kept_by_the_logbook(self):
        self.write("blue.csv", table("power", blue))
        tank = make_tank(spectrum="blue.csv", readings=(3200, 960))
        tank["surveys"][1]["unit"] = "lux"
        reef = self.write("reef.tank.json", tank)
        run("follow", reef)
        before = self.run_json("plan", reef)
        self.write("blue.csv", table("power", lambda nm: 1))
        self.assertEqual(self.run_json("plan", reef), before)
        self.assertIn("has changed since", " ".join(run("today", reef).split()))


class Weights(Folder):
    def both(self, weight, **more):
        weighed = make_tank(weight)
        scaled = make_tank(readings=(400 * weight, 120 * weight))
        for tank in (weighed, scaled):
            tank.update(more)
        return (self.write("weighed.tank.json", weighed), self.write("scaled.tank.json", scaled))

    def test_of_one_change_nothing(self):
        plain = self.write("plain.tank.json", make_tank())
        one = self.write("one.tank.json", make_tank(1))
        for words in (["plan"], ["plan", "--json"], ["plan", "--csv"], ["check", "--json"],
                      ["check"], ["why", "staghorn", "--date", date_of(5)], ["place"],
                      ["today", "--date", date_of(5)], ["survey", "--json"]):
            self.assertEqual(run(words[0], *words[1:], cwd=self.folder.name, *[plain]),
                             run(words[0], *words[1:], cwd=self.folder.name, *[one]), words)

    def assert_as_good_as(self, value, other):
        """But for half a digit of the display, which is less of a higher reading."""
        self.assertLess(abs(value / other - 1), 1e-3)

    def test_plan_as_higher_readings_would_and_show_what_was_read(self):
        for weight in (0.6, 1.4):
            weighed, scaled = (self.run_json("plan", reef) for reef in self.both(weight))
            self.assertEqual([day["dials"] for day in weighed["days"]],
                             [day["dials"] for day in scaled["days"]])
            self.assertEqual(weighed["settled"], scaled["settled"])
            for one, other in zip(weighed["days"], scaled["days"]):
                self.assertEqual(one["held_by"], other["held_by"])
                dial = one["dials"]["panel"] / 100
                for group, same, full in zip(one["groups"], other["groups"], (400, 120)):
                    self.assertAlmostEqual(group["peak"], full * dial, 9)
                    self.assertAlmostEqual(group["dose"], full * dial * DOSE_OF_PPFD, 9)
                    self.assertAlmostEqual(group["usable_dose"], weight * group["dose"], 9)
                    self.assertAlmostEqual(group["usable_dose"], same["dose"], 9)
                    self.assertAlmostEqual(group["usable_peak"], same["peak"], 9)
                    for key in ("acclimated_dose", "acclimated_peak"):
                        self.assert_as_good_as(group[key], same[key])
            for group, same in zip(weighed["groups"], scaled["groups"]):
                self.assertEqual((group["fit"], group["days_below_band"]),
                                 (same["fit"], same["days_below_band"]))
                self.assertAlmostEqual(group["goal"]["usable_dose"], same["goal"]["dose"], 9)
                self.assertAlmostEqual(group["goal"]["dose"] * weight, same["goal"]["dose"], 9)
                self.assertAlmostEqual(group["before"]["dose"], same["before"]["dose"], 9)
            self.assertEqual(weighed["usable_weights"], {"lamp": 1.0, "panel": weight})
            self.assertEqual(len(weighed["notes"]), len(scaled["notes"]) + 1)
            self.assertIn("usable light", weighed["notes"][-1])

    def test_decide_what_is_too_bright(self):
        # 240 umol m-2 s-1 at the goal are 8.6 mol m-2 d-1, over the band of 8; weighed, 6.
        plain = self.write("plain.tank.json", make_tank())
        reef = self.write("reef.tank.json", make_tank(0.7))
        self.assertEqual(self.run_json("check", plain)["groups"][0]["verdict"], "too_bright")
        judged = self.run_json("check", reef)["groups"][0]
        self.assertEqual(judged["verdict"], "right")
        self.assertAlmostEqual(judged["goal"]["dose"], 240 * DOSE_OF_PPFD, 9)
        self.assertAlmostEqual(judged["goal"]["usable_dose"], 0.7 * 240 * DOSE_OF_PPFD, 9)
        text = run("check", reef)
        self.assertRegex(text, r"staghorn +5\.4 +150 +8\.6 +240 .* right")
        self.assertRegex(text, r"staghorn +5\.4 +150 +6\.0 +168\n")
        self.assertIn("panel 0.7", text)

    def test_are_shown_by_every_command(self):
        reef, scaled = self.both(1.4)
        text = run("why", "staghorn", "--date", date_of(3), reef)
        self.assertIn("of it usable", text)
        self.assertIn("below, usable light", text)
        made = self.run_json("why", "staghorn", "--date", date_of(3), reef)
        same = self.run_json("why", "staghorn", "--date", date_of(3), scaled)
        self.assertEqual([one["cap"] for one in made["caps"]], [one["cap"] for one in same["caps"]])
        for one, other in zip(made["caps"], same["caps"]):
            self.assert_as_good_as(one["limit"], other["limit"])
            self.assertAlmostEqual(one["now"], other["now"], 9)
        self.assertAlmostEqual(made["exposure"]["usable_dose"], same["exposure"]["dose"], 9)
        self.assertAlmostEqual(made["exposure"]["dose"] * 1.4, same["exposure"]["dose"], 9)
        self.assertIn("usable dose", run("plan", reef))
        self.assertIn("Usable light", run("place", reef))
        self.assertIn("Usable light", run("today", "--date", date_of(3), reef))
        rows = list(csv.DictReader(io.StringIO(run("plan", "--csv", reef), newline="")))
        for row in rows:
            self.assertAlmostEqual(float(row["usable_dose_mol_m2_d"]),
                                   1.4 * float(row["dose_mol_m2_d"]), 9)
            self.assertAlmostEqual(float(row["usable_peak_umol_m2_s"]),
                                   1.4 * float(row["peak_umol_m2_s"]), 9)
        page = self.write("page.html", "")
        page.unlink()
        run("report", "-o", page, reef)
        html = page.read_text(encoding="utf-8")
        self.assertIn("usable dose of the day", html)
        self.assertIn("Usable light, which the caps compare", html)
        doses = re.findall(r'<td class="dose">([\d.]+)</td><td class="usable">([\d.]+)</td>', html)
        self.assertEqual(len(doses), 2)
        for measured, usable in doses:
            self.assertAlmostEqual(float(usable) / float(measured), 1.4, delta=0.08)

    def test_count_on_days_dialled_by_hand(self):
        reef, scaled = self.both(1.4)
        for one in (reef, scaled):
            run("follow", one)
            run("checkin", "--all", "--date", date_of(5), one)
            run("dialed", "panel", "10", "--date", date_of(9), "--until", date_of(10), one)
        weighed, other = (self.run_json("plan", one) for one in (reef, scaled))
        self.assertEqual([day["dials"] for day in weighed["days"]],
                         [day["dials"] for day in other["days"]])
        day, same = weighed["days"][9], other["days"][9]
        self.assertEqual(day["dials"], {"panel": 10})
        self.assertAlmostEqual(day["groups"][0]["dose"], 40 * DOSE_OF_PPFD, 9)
        self.assertAlmostEqual(day["groups"][0]["usable_dose"], 56 * DOSE_OF_PPFD, 9)
        for group, equal in zip(weighed["days"][30]["groups"], other["days"][30]["groups"]):
            self.assert_as_good_as(group["acclimated_dose"], equal["acclimated_dose"])

    def test_of_the_old_light_raise_what_the_corals_are_used_to(self):
        tank = make_tank()
        tank["lights"][0]["usable_weight"] = 0.5
        reef = self.write("reef.tank.json", tank)
        judged = self.run_json("check", reef)["groups"][0]["before"]
        self.assertAlmostEqual(judged["dose"], 150 * DOSE_OF_PPFD, 9)
        self.assertAlmostEqual(judged["usable_dose"], 75 * DOSE_OF_PPFD, 9)
        plain = self.run_json("plan", self.write("plain.tank.json", make_tank()))
        weighed = self.run_json("plan", reef)
        self.assertLess(weighed["days"][0]["dials"]["panel"], plain["days"][0]["dials"]["panel"])

    def test_count_for_meshes_and_moves(self):
        groups = [{"name": "staghorn", "profile": {**KIND, "dose_band": [1, 20]}, "spot": "crest",
                   "shade": {"transmission": [0.7, 0.78, 0.88], "until": "ready"}},
                  {"name": "disc", "profile": KIND, "spot": "sand"}]
        weighed, other = (self.run_json("plan", reef)
                          for reef in self.both(1.4, groups=groups))
        self.assertEqual(weighed["moves"], other["moves"])
        self.assertTrue(weighed["moves"])
        for day, same in zip(weighed["days"], other["days"]):
            self.assertAlmostEqual(day["groups"][0]["usable_dose"], same["groups"][0]["dose"], 9)
            self.assertAlmostEqual(day["groups"][0]["dose"] * 1.4, same["groups"][0]["dose"], 9)

    def test_count_for_even_ramps_and_schedules(self):
        reef, scaled = self.both(1.4)
        one, other = (self.run_json("plan", "--even", tank) for tank in (reef, scaled))
        self.assertEqual(one["even"], other["even"])
        dials = f"{date_of(0)} 30, {date_of(7)} 45"
        one, other = (self.run_json("judge", "--dials", dials, tank, expect=1)
                      for tank in (reef, scaled))
        self.assertTrue(other["breaks"])
        self.assertEqual([(a["date"], a["group"], a["cap"]) for a in one["breaks"]],
                         [(a["date"], a["group"], a["cap"]) for a in other["breaks"]])


if __name__ == "__main__":
    unittest.main()
