#!/usr/bin/env python3
"""Who holds a plan, what would help, and that nothing is advised which cannot be done: `why`, and
what plan, today, report and check say of the same.

check_why.py PROGRAM SOURCE_FOLDER [-k WORD]
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

import lived

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
START = datetime.date(2026, 9, 7)
DOSE_OF_PPFD = 0.036  # mol m-2 d-1 from 1 umol m-2 s-1 over 10 h
KIND = {"name": "reed coral", "dose_band": [1, 40], "peak_ceiling": 1000, "headroom_percent": 30,
        "weekly_rise_percent": 15, "tau_up_days": 10, "tau_down_days": 5, "carryover": 0.8,
        "floor_percent": 50}


def run(*words, cwd, expect=0, env=None):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env={**clean, **(env or {})},
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    if "--json" not in words and "--csv" not in words and "-o" not in words:
        for line in result.stdout.splitlines():
            assert len(line) <= 80, (words, line)
    return result.stdout


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


def coral(name, spot, override=None, **more):
    return {"name": name, "profile": {**KIND, **(override or {})}, "spot": spot, **more}


def make_tank(full, groups, ramp=(50, 100), step=1, capacity=None, **of_ramp):
    """A square panel, its light before and after in percent. full: PPFD by spot at 100 %."""
    return {"format": "slowdawn-tank/1", "name": "Reed tank",
            "meter": {"repeat_percent": 2, "calibration_percent": 0},
            "lights": [{"name": "panel",
                        "photoperiod": {"points": [["08:00", 0], ["08:00", 100], ["18:00", 100],
                                                   ["18:00", 0]]},
                        "dial": {"step": step}}],
            "spots": [{"name": name, "capacity": (capacity or {}).get(name, 1)} for name in full],
            "surveys": [{"taken": date_of(-7), "dials": {"panel": 100}, "ppfd": full}],
            "groups": groups,
            "ramp": {"from": {"panel": ramp[0]}, "to": {"panel": ramp[1]}, "start": date_of(0),
                     **of_ramp}}


class Folder:
    """A folder with one tank file, in which commands are given without naming it."""

    def __init__(self, test, tank):
        holder = tempfile.TemporaryDirectory()
        test.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        (self.path / "reed.tank.json").write_text(json.dumps(tank, indent=1))
        self.clock = lived.Clock(date_of(0))

    def run(self, *words, expect=0):
        return run(*words, cwd=self.path, expect=expect, env=self.clock.environment(words))

    def text(self, *words, expect=0):
        return " ".join(self.run(*words, expect=expect).split())

    def json(self, *words, expect=0):
        return json.loads(self.run(*words, "--json", expect=expect))

    def rows(self, *words):
        return list(csv.DictReader(io.StringIO(run(*words, "--csv", cwd=self.path))))


FAN, PLATE, TIPS = "sea fan", "plate", "tips"
LIMITED = {"dose_band": [1, 40 * DOSE_OF_PPFD * 2]}  # 80 umol at the most


class HeldForGood(unittest.TestCase):
    def tank(self, **keys):
        return make_tank({"crest": 100, "ledge": 60},
                         [coral(FAN, "ledge"), coral(PLATE, "crest", LIMITED)], **keys)

    def test_is_said_by_every_reader(self):
        folder = Folder(self, self.tank())
        by = {"group": PLATE, "cap": "dose_band"}
        plan = folder.json("plan")
        self.assertEqual((plan["status"], plan["held_for_good_by"]), ("held", by))
        self.assertEqual(plan["days"][-1]["dials"], {"panel": 80})
        late = date_of(len(plan["days"]) + 3)
        self.assertEqual(folder.json("today", "--date", late)["held_for_good_by"], by)
        self.assertEqual(folder.json("why")["held_for_good_by"], by)
        words = "plate (high end of its dose band)"
        self.assertIn(f"held for good by {words}", folder.text("plan"))
        self.assertIn(f"Held for good by {words}.", folder.text("today", "--date", late))
        self.assertIn(f"Held for good by {words}.", folder.text("why"))
        run("report", "-o", "page.html", "--date", late, cwd=folder.path)
        self.assertIn(f"Held for good by {words}.", (folder.path / "page.html").read_text())

    def test_is_in_the_tables(self):
        folder = Folder(self, self.tank())
        line, = folder.rows("plan", "--summary")
        self.assertEqual((line["held_for_good_by_group"], line["held_for_good_by_cap"]),
                         (PLATE, "dose_band"))
        self.assertIn(f"{PLATE} *", folder.text("plan", "--summary"))
        self.assertIn("*: for good", folder.text("plan", "--summary"))
        self.assertEqual(folder.json("plan", "--summary")["tanks"][0]["held_for_good_by"],
                         {"group": PLATE, "cap": "dose_band"})
        rows = folder.rows("plan")
        last = rows[-1]["date"]
        for row in rows:
            expected = (PLATE, "dose_band") if row["date"] == last else ("", "")
            self.assertEqual((row["held_for_good_by_group"], row["held_for_good_by_cap"]),
                             expected)

    def test_is_null_where_the_goal_is_reached(self):
        folder = Folder(self, self.tank(ramp=(50, 75)))
        self.assertIsNone(folder.json("plan")["held_for_good_by"])
        self.assertIsNone(folder.json("today")["held_for_good_by"])
        self.assertIsNone(folder.json("why")["held_for_good_by"])
        self.assertNotIn("held for good", folder.text("plan"))
        line, = folder.rows("plan", "--summary")
        self.assertEqual((line["held_for_good_by_group"], line["held_for_good_by_cap"]), ("", ""))


class Why(unittest.TestCase):
    def test_lists_every_broken_cap_and_which_heal(self):
        # On day 0 at 50: the next setting is 60, over the pace of dose and peak (50 each), and
        # within 1.3 x 50 = 65; the ceiling is 55.
        tank = make_tank({"crest": 100}, [coral(PLATE, "crest", {"peak_ceiling": 55})], step=10)
        folder = Folder(self, tank)
        breaks = folder.json("why", PLATE, "--date", date_of(0))["breaks"]
        self.assertEqual([(b["group"], b["cap"], b["heals"]) for b in breaks],
                         [(PLATE, "dose_pace", "time"), (PLATE, "peak_pace", "time"),
                          (PLATE, "peak_ceiling", "never")])
        for found, value, limit in zip(breaks, (60 * DOSE_OF_PPFD, 60, 60),
                                       (50 * DOSE_OF_PPFD, 50, 55)):
            self.assertAlmostEqual(found["value"] / value, 1, 9)
            self.assertAlmostEqual(found["limit"] / limit, 1, 9)
        text = folder.text("why", PLATE, "--date", date_of(0))
        self.assertIn("pace of its peak: 60.0, limit 50.0, which rises with time", text)
        self.assertIn("ceiling of its peak: 60.0, limit 55.0, which waiting does not change", text)

    def test_a_step_that_is_too_coarse_does_not_heal(self):
        tank = make_tank({"crest": 100}, [coral(PLATE, "crest")], (50, 100), step=25)
        breaks = Folder(self, tank).json("why", "--date", date_of(0))["breaks"]
        self.assertEqual({b["cap"]: b["heals"] for b in breaks},
                         dict.fromkeys(["dose_pace", "dose_headroom", "peak_pace",
                                        "peak_headroom"], "never"))

    def test_without_a_group_the_others_are_named(self):
        spots = {f"spot {n}": 100 for n in range(9)}
        groups = [coral(f"coral {n}", f"spot {n}", {"weekly_rise_percent": 15}) for n in range(9)]
        folder = Folder(self, make_tank(spots, groups))
        text = folder.text("why", "--date", date_of(0))
        self.assertIn("It also breaks caps of other groups: coral 1, coral 2, coral 3, coral 4, "
                      "coral 5, coral 6 (pace of its dose); and 2 more.", text)
        self.assertEqual({b["group"] for b in folder.json("why", "--date", date_of(0))["breaks"]},
                         {group["name"] for group in groups})
        named = folder.json("why", "coral 3", "--date", date_of(0))["breaks"]
        self.assertEqual({b["group"] for b in named}, {"coral 3"})
        self.assertNotIn("other groups", folder.text("why", "coral 3", "--date", date_of(0)))

    def test_nothing_is_broken_at_the_goal(self):
        folder = Folder(self, make_tank({"crest": 100}, [coral(PLATE, "crest")], (50, 55)))
        last = folder.json("plan")["days"][-1]["date"]
        why = folder.json("why", "--date", last)
        self.assertEqual((why["breaks"], why["advice"]), ([], []))
        self.assertNotIn("breaks", folder.text("why", "--date", last))


class Advice(unittest.TestCase):
    def test_a_smaller_step_only_where_there_is_one(self):
        coarse, fine = (Folder(self, make_tank({"crest": 100}, [coral(PLATE, "crest")], (50, 100),
                                               step=step)).text("why", "--date", date_of(0))
                        for step in (5, 1))
        self.assertIn('a smaller "step" of the dial', coarse)
        self.assertIn("What would allow more: time (after ", fine)
        self.assertNotIn('"step"', fine)

    def test_a_brisker_pace_only_where_there_is_one(self):
        for pace in ("gentle", "brisk"):
            tank = make_tank({"crest": 100}, [coral(PLATE, "crest")], pace=pace)
            text = Folder(self, tank).text("why", "--date", date_of(0))
            self.assertEqual("a brisker pace" in text, pace != "brisk", text)

    def test_a_dial_that_cannot_go_finer_is_not_told_to(self):
        # From 1 to 2 % is twice the light, and 1 % is the step.
        def note(**dial):
            tank = make_tank({"crest": 100}, [coral(PLATE, "crest")], (1, 4))
            tank["lights"][0]["dial"] = dial
            return " ".join(Folder(self, tank).json("plan")["notes"])
        self.assertIn("A higher mounting of the light or a shade would help.", note(step=1))
        self.assertNotIn('"step"', note(step=1))

    def held(self, **keys):
        """The plate is held at the crest; the only dimmer spot is the ledge, where the fan is."""
        return make_tank({"crest": 100, "ledge": 60},
                         [coral(FAN, "ledge"), coral(PLATE, "crest", LIMITED)], **keys)

    def test_no_dimmer_spot_that_is_full(self):
        full, free = self.held(), self.held(capacity={"ledge": 2})
        for tank, has_spot in ((full, False), (free, True)):
            folder = Folder(self, tank)
            last = folder.json("plan")["days"][-1]["date"]
            texts = (*folder.json("plan")["notes"], folder.text("why", PLATE, "--date", last),
                     folder.text("check"))
            self.assertEqual(sum("dimmer spot" in text for text in texts), 3 * has_spot, texts)

    def test_a_group_that_moves_away_makes_room(self):
        tank = self.held()
        tank["spots"].append({"name": "sand"})
        tank["surveys"][0]["ppfd"]["sand"] = 62
        tank["groups"][0].update(to_spot="sand", when="ready")
        folder = Folder(self, tank)
        move, = folder.json("plan")["moves"]
        last = folder.json("plan")["days"][-1]["date"]
        self.assertLess(move["date"], last)
        self.assertIn("dimmer spot", folder.text("why", PLATE, "--date", last))
        before = (datetime.date.fromisoformat(move["date"]) - datetime.timedelta(1)).isoformat()
        if before >= date_of(0):
            self.assertNotIn("dimmer spot", folder.text("why", PLATE, "--date", before))

    def test_a_fixed_group_has_no_other_spot(self):
        tank = self.held(capacity={"ledge": 2})
        tank["groups"][1]["fixed"] = True
        self.assertNotIn("dimmer spot", " ".join(Folder(self, tank).json("plan")["notes"]))

    def slow(self, room):
        """The plate is slow. At the ledge, which holds the fan, it would be in nobody's way."""
        return make_tank({"crest": 100, "ledge": 90}, [
            coral(FAN, "ledge"), coral(PLATE, "crest", {"weekly_rise_percent": 3})],
            capacity={"ledge": room})

    def test_is_in_the_json_and_is_not_a_spot_that_is_full(self):
        folder = Folder(self, self.slow(2))
        advice, = folder.json("why")["advice"]
        plan = folder.json("plan")
        self.assertEqual((advice["kind"], advice["group"], advice["spot"]),
                         ("other_spot", PLATE, "ledge"))
        goal = datetime.date.fromisoformat(plan["reaches_goal"])
        sooner = datetime.date.fromisoformat(advice["reaches_goal"])
        self.assertEqual((goal - sooner).days, advice["days_gained"])
        self.assertGreaterEqual(advice["days_gained"], 3)
        self.assertIn(f"What would help: {advice['change']} the goal is reached",
                      folder.text("why"))
        full = Folder(self, self.slow(1))
        self.assertEqual(full.json("why")["advice"], [])
        self.assertNotIn("What would help", full.text("plan"))

    def test_turning_the_dial_daily_is_a_command(self):
        tank = make_tank({"crest": 100}, [coral(PLATE, "crest")], every_days=14)
        folder = Folder(self, tank)
        advice, = folder.json("why")["advice"]
        self.assertEqual((advice["kind"], advice["command"]),
                         ("daily_steps", "slowdawn plan --every 1"))
        self.assertEqual(folder.json(*advice["command"].split()[1:])["reaches_goal"],
                         advice["reaches_goal"])


class Looks(unittest.TestCase):
    """A followed tank: the plate showed a sign, and nobody has looked at the fan."""

    def followed(self):
        folder = Folder(self, make_tank({"crest": 100, "ledge": 60},
                                        [coral(FAN, "ledge"), coral(PLATE, "crest")]))
        folder.json("follow")
        return folder

    def look(self, folder, day, *words):
        folder.json("checkin", *words, "--date", date_of(day))

    def test_a_sign_and_the_want_of_a_look_are_told_apart(self):
        folder = self.followed()
        for day in (0, 7):
            self.look(folder, day, "--all", "--colour", "0")
        self.look(folder, 8, PLATE, "--colour", "-2")
        sign = folder.json("why", "--date", date_of(9))
        self.assertEqual(sign["held_by"], {"group": PLATE, "cap": "check_in", "why": "sign"})
        words = f"its check-ins ask for patience, last sign on {date_of(8)}"
        self.assertIn(words, folder.text("today", "--date", date_of(9)))
        self.assertIn(f"its check-ins ask for patience (last sign on {date_of(8)})",
                      folder.text("why", "--date", date_of(9)))

    def test_nobody_looked(self):
        folder = self.followed()
        self.look(folder, 2, "--all", "--colour", "0")
        day = 14
        plan = folder.json("today", "--date", date_of(day))
        self.assertIn("dials", plan)
        text = folder.text("today", "--date", date_of(day))
        self.assertIn(f"(not looked at since {date_of(2)})", text)
        self.assertNotIn("ask for patience", text)

    def test_even_the_lowest_setting_is_over_the_limit(self):
        tank = make_tank({"crest": 100}, [coral(PLATE, "crest")])
        tank["lights"][0]["dial"]["lowest"] = 50
        folder = Folder(self, tank)
        folder.json("follow")
        self.look(folder, 2, PLATE, "--tissue", "lost")
        plan = folder.json("plan")
        self.assertEqual(plan["held_for_good_by"],
                         {"group": PLATE, "cap": "check_in", "why": "sign"})
        self.assertTrue(any(note.startswith("Held for good: the lowest setting is over the limit.")
                            for note in plan["notes"]), plan["notes"])
        text = folder.text("plan")
        self.assertIn("held for good the lowest setting is over the limit of plate (its check-ins "
                      f"ask for patience, last sign on {date_of(2)})", text)
        self.assertIn("a restart once it is healthy (slowdawn checkin --restart)",
                      folder.text("why", "--date", date_of(2)))

    def test_every_reader_of_a_day_without_a_look(self):
        folder = Folder(self, make_tank({"crest": 100}, [coral(PLATE, "crest")]))
        folder.json("follow")
        day, since = date_of(12), date_of(0)
        why = folder.json("why", "--date", day)
        self.assertEqual(why["held_by"], {"group": PLATE, "cap": "check_in", "why": "no_look"})
        self.assertIn(("check_in", "good_looks"), [(b["cap"], b["heals"]) for b in why["breaks"]])
        text = folder.text("why", "--date", day)
        self.assertIn(f"and no further: not looked at since {since}.", text)
        self.assertIn("a good look at it (slowdawn checkin)", text)
        folder.clock.today = day
        self.assertIn("plate, not looked at, on 5 days", folder.text("plan"))
        folder.run("report", "-o", "page.html")
        page = (folder.path / "page.html").read_text()
        self.assertIn(f"plate (not looked at since {since})", page)


if __name__ == "__main__":
    unittest.main()
