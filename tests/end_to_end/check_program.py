#!/usr/bin/env python3
"""The program as a user meets it: arguments, standard output, standard error, exit code.

check_program.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import io
import json
import os
import pathlib
import pty
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
RACK = SOURCE / "examples/frag-rack/frag-rack.tank.json"
EXAMPLES = sorted(SOURCE.glob("examples/*/*.tank.json"))


def run(*words, cwd=None, env=None, expect=0, stdout=subprocess.PIPE):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env={**clean, **(env or {})},
                            stdout=stdout, stderr=subprocess.PIPE, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result


class Examples(unittest.TestCase):
    def test_every_command_runs_on_every_example(self):
        self.assertGreaterEqual(len(EXAMPLES), 2)
        for tank in EXAMPLES:
            for command in (["check"], ["survey"], ["place"], ["plan"], ["today"], ["why"]):
                with self.subTest(tank=tank.name, command=command):
                    text = run(*command, tank).stdout
                    self.assertTrue(text.strip())
                    json.loads(run(*command, tank, "--json").stdout)

    def test_text_fits_80_columns_and_has_no_colour_in_a_pipe(self):
        for tank in EXAMPLES:
            for command in ("check", "survey", "place", "plan", "today", "why"):
                for line in run(command, tank).stdout.splitlines():
                    self.assertLessEqual(len(line), 80, (tank.name, command, line))
                    self.assertNotIn("\x1b", line)
        for words in (["--help"], ["check", "--help"], ["plan", "--help"], ["today", "--help"],
                      ["why", "--help"], ["profiles", "--help"], ["schema", "--help"],
                      ["survey", "--help"], ["place", "--help"], ["dose", "--help"],
                      ["moved", "--help"],
                      ["profiles"], ["profiles", "acropora"]):
            for line in run(*words).stdout.splitlines():
                self.assertLessEqual(len(line), 80, (words, line))

    def test_each_example_has_a_text_that_says_what_it_shows(self):
        for tank in EXAMPLES:
            text = (tank.parent / "README.md").read_text()
            self.assertGreater(len(text), 200)


class Plan(unittest.TestCase):
    def test_json_has_exactly_the_agreed_fields(self):
        plan = json.loads(run("plan", REEF, "--json").stdout)
        self.assertEqual(list(plan), ["format", "tank", "start", "status", "reaches_goal",
                                      "settled", "held_for_good_by", "waits_for", "legs",
                                      "is_proposal", "days", "groups", "notes"])
        self.assertEqual((plan["waits_for"], plan["legs"], plan["is_proposal"]),
                         (None, [plan["start"]], False))
        day = plan["days"][0]
        self.assertEqual(list(day), ["date", "dials", "held_by", "groups"])
        self.assertEqual(list(day["held_by"]), ["group", "cap"])
        self.assertEqual(list(day["groups"][0]), ["name", "spot", "dose", "peak",
                                                  "acclimated_dose", "acclimated_peak"])
        self.assertEqual(list(plan["groups"][0]), ["name", "before", "goal", "fit", "lowest_share",
                                                   "days_below_band"])
        self.assertEqual(plan["format"], "slowdawn-plan/1")
        self.assertIsNone(plan["days"][-1]["held_by"])

    def test_options_vary_start_pace_and_step_days(self):
        plan = json.loads(run("plan", REEF, "--json", "--start", "2028-02-27").stdout)
        self.assertEqual([day["date"] for day in plan["days"][:4]],
                         ["2028-02-27", "2028-02-28", "2028-02-29", "2028-03-01"])
        days = {pace: len(json.loads(run("plan", REEF, "--json", "--pace", pace).stdout)["days"])
                for pace in ("gentle", "standard", "brisk")}
        self.assertGreater(days["gentle"], days["standard"])
        self.assertGreater(days["standard"], days["brisk"])
        weekly = json.loads(run("plan", REEF, "--json", "--every", "7").stdout)["days"]
        for number in range(1, len(weekly)):
            if number % 7:
                self.assertEqual(weekly[number]["dials"], weekly[number - 1]["dials"])

    def test_csv_reads_back_strictly_and_agrees_with_json(self):
        text = subprocess.run([PROGRAM, "plan", REEF, "--csv"], capture_output=True,
                              check=True).stdout.decode()
        self.assertEqual(text.count("\n"), text.count("\r\n"))
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        plan = json.loads(run("plan", REEF, "--json").stdout)
        header, rows = rows[0], rows[1:]
        self.assertEqual(len(rows), sum(len(day["groups"]) for day in plan["days"]))
        expected = [(day["date"], group["name"], group["dose"], group["peak"])
                    for day in plan["days"] for group in day["groups"]]
        columns = [header.index(n) for n in ("date", "group", "dose_mol_m2_d", "peak_umol_m2_s")]
        found = [(r[columns[0]], r[columns[1]], float(r[columns[2]]), float(r[columns[3]]))
                 for r in rows]
        self.assertEqual(found, expected)

    def test_no_safe_opening_gives_exit_code_1_and_says_what_would_help(self):
        tank = json.loads(RACK.read_text())
        tank["groups"][0]["history"] = {"dose": 0.4, "peak": 12}
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "dark.tank.json"
            file.write_text(json.dumps(tank))
            for command in ("plan", "today", "why"):
                self.assertIn("no safe way", run(command, file, expect=1).stdout)
            plan = json.loads(run("plan", file, "--json", expect=1).stdout)
        self.assertEqual((plan["status"], plan["days"]), ("no_safe_opening", []))
        self.assertIn("acropora frags", plan["notes"][0])

    def test_a_goal_that_is_too_dim_for_the_first_day_is_said_first(self):
        first = "The goal is too dim for the first day. Of the light that a group is used to, it leaves "
        tank = json.loads(REEF.read_text())
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "reef.tank.json"
            for dial, is_dim in ((70, False), (12, True)):
                tank["ramp"]["to"] = dict.fromkeys(tank["ramp"]["to"], dial)
                file.write_text(json.dumps(tank))
                plan = json.loads(run("plan", file, "--json").stdout)
                said = {command: " ".join(run(command, file).stdout.split())
                        for command in ("check", "plan")}
                with self.subTest(dial=dial):
                    for text in said.values():
                        self.assertEqual(text.startswith(first), is_dim, text[:200])
                    notes = [note for note in plan["notes"] if note.startswith(first)]
                    self.assertEqual(len(notes), is_dim)
                    if is_dim:
                        self.assertEqual(plan["notes"][0], notes[0])
                        self.assertTrue(said["plan"].startswith(notes[0]))
                        self.assertIn("a brighter spot", notes[0])
                        self.assertIn("or a higher goal", notes[0])
            # Once it is followed, the first day is no longer to be decided on.
            run("follow", file)
            self.assertNotIn(first[:30], run("plan", file).stdout)

    def test_a_disk_that_is_full_is_an_error(self):
        with open("/dev/full", "w") as full:
            result = run("plan", REEF, expect=3, stdout=full)
        self.assertIn("could not be written", result.stderr)


class Today(unittest.TestCase):
    def test_begins_with_the_percentage(self):
        for tank in EXAMPLES:
            start = json.loads(tank.read_text())["ramp"]["start"]
            text = run("today", tank, "--date", start).stdout
            self.assertRegex(text, r"\A\d+(\.\d+)? %  ")

    def test_follows_the_plan_day_by_day(self):
        plan = json.loads(run("plan", RACK, "--json").stdout)
        for number in (0, 13, 14, 50, len(plan["days"]) - 1):
            day = plan["days"][number]
            today = json.loads(run("today", RACK, "--json", "--date", day["date"]).stdout)
            self.assertEqual(list(today), ["date", "dials", "next", "due", "changed", "waits_for",
                                           "waits", "last_change", "moves", "held_for_good_by"])
            self.assertEqual((today["waits_for"], today["waits"], today["last_change"]),
                             (None, [], None))
            self.assertEqual(today["dials"], day["dials"])
            later = [d for d in plan["days"][number:] if d["dials"] != day["dials"]]
            expected = {k: later[0][k] for k in ("date", "dials")} if later else None
            self.assertEqual(today["next"], expected)
        self.assertEqual(json.loads(run("today", RACK, "--json", "--date", "2027-01-25").stdout)
                         ["changed"], ["panel from 45 % to 50 %"])

    def test_before_the_start_and_after_the_end(self):
        before = json.loads(run("today", REEF, "--json", "--date", "2026-11-01").stdout)
        self.assertEqual(before["dials"], {"tubes": 100})
        self.assertEqual(before["next"]["date"], "2026-12-01")
        after = run("today", REEF, "--date", "2029-01-01").stdout
        self.assertRegex(after, r"\A70 %  front bar\n75 %  rear bar\n")
        self.assertIn("is done", after)


class Why(unittest.TestCase):
    def test_limits_agree_with_the_plan(self):
        plan = json.loads(run("plan", REEF, "--json").stdout)
        for number in (0, 20, 40):
            day = plan["days"][number]
            holder = day["held_by"]
            why = json.loads(run("why", holder["group"], REEF, "--json", "--date",
                                 day["date"]).stdout)
            self.assertEqual(why["binds"], holder["cap"])
            bound = next(c for c in why["caps"] if c["cap"] == holder["cap"])
            self.assertGreater(bound["next"], bound["limit"])
            group = next(g for g in day["groups"] if g["name"] == holder["group"])
            self.assertEqual(why["acclimated_dose"], group["acclimated_dose"])
            self.assertEqual(why["exposure"]["peak"], group["peak"])

    def test_words_come_in_any_order_and_wrong_names_get_a_hint(self):
        one = run("why", "chalice", REEF, "--date", "2026-12-05").stdout
        other = run("why", REEF, "chalice", "--date", "2026-12-05").stdout
        self.assertEqual(one, other)
        self.assertIn('did you mean "chalice"?', run("why", "chalise", REEF, expect=2).stderr)
        self.assertIn("is no day of this plan",
                      run("why", REEF, "--date", "2030-01-01", expect=2).stderr)


class Surroundings(unittest.TestCase):
    def test_tank_comes_from_the_argument_the_environment_or_the_folder(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            self.assertIn("no tank is named", run("check", cwd=folder, expect=2).stderr)
            (folder / "one.tank.json").write_text(REEF.read_text())
            self.assertIn("Stairwell reef", run("check", cwd=folder).stdout)
            self.assertIn("Frag rack",
                          run("check", cwd=folder, env={"SLOWDAWN_TANK": str(RACK)}).stdout)
            (folder / "two.tank.json").write_text(REEF.read_text())
            self.assertIn("one.tank.json, two.tank.json",
                          run("check", cwd=folder, expect=2).stderr)

    def test_colour_only_on_a_terminal_and_not_with_no_color(self):
        def on_terminal(*words, **variables):
            env = {**os.environ, "TERM": "xterm", **variables}
            env.pop("NO_COLOR", None) if "NO_COLOR" not in variables else None
            master, slave = pty.openpty()
            with subprocess.Popen([PROGRAM, *words], stdout=slave, stderr=subprocess.DEVNULL,
                                  env=env) as process:
                os.close(slave)
                text = b""
                while True:
                    try:
                        block = os.read(master, 65536)
                    except OSError:
                        break
                    if not block:
                        break
                    text += block
                process.wait()
            os.close(master)
            return text
        plain = ("today", str(REEF), "--date", "2026-12-05")
        self.assertIn(b"\x1b[1m", on_terminal(*plain))
        self.assertNotIn(b"\x1b", on_terminal(*plain, NO_COLOR="1"))
        self.assertNotIn(b"\x1b", on_terminal(*plain, TERM="dumb"))
        self.assertNotIn(b"\x1b", on_terminal(*plain, "--plain"))

    def test_results_do_not_depend_on_locale_time_zone_or_folder(self):
        expected = run("plan", REEF, "--json").stdout
        odd = {"LC_ALL": "de_DE.UTF-8", "LANG": "tr_TR.UTF-8", "TZ": "Pacific/Kiritimati"}
        self.assertEqual(run("plan", REEF, "--json", cwd="/", env=odd).stdout, expected)

    def test_profiles_of_a_folder_replace_the_built_in_ones(self):
        with tempfile.TemporaryDirectory() as name:
            profile = json.loads((SOURCE / "profiles/acropora.json").read_text())
            profile["headroom_percent"] = 7
            (pathlib.Path(name) / "acropora.json").write_text(json.dumps(profile))
            shown = json.loads(run("profiles", "acropora", "--json", "--profiles", name).stdout)
            self.assertEqual(shown["profiles"][0]["headroom_percent"], 7)
            self.assertNotEqual(run("plan", REEF, "--json", "--profiles", name).stdout,
                                run("plan", REEF, "--json").stdout)

    def test_names_cannot_steer_the_terminal(self):
        tank = json.loads(RACK.read_text())
        tank["name"] = "\x1b[2Jrack\u202e\u0007"
        tank["groups"][0]["name"] = "=cmd|' /C calc'!A0\x1b]0;x\x07"
        tank["lights"][0]["name"] = "pan\nel"
        for side in ("from", "to"):
            tank["ramp"][side] = {"pan\nel": list(tank["ramp"][side].values())[0]}
        for survey in tank["surveys"]:
            survey["dials"] = {"pan\nel": list(survey["dials"].values())[0]}
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "odd.tank.json"
            file.write_text(json.dumps(tank))
            for command in ("check", "plan", "today", "why"):
                text = run(command, file, "--start", "2027-01-11").stdout if command != "check" \
                    else run(command, file).stdout
                self.assertNotRegex(text, "[\x00-\x09\x0b-\x1f\x7f\u202e]")
            rows = list(csv.reader(io.StringIO(run("plan", file, "--csv").stdout), strict=True))
            self.assertTrue(any(cell.startswith("'=cmd") for cell in rows[1]))


class Readme(unittest.TestCase):
    def test_every_command_line_of_the_readme_runs(self):
        text = (SOURCE / "README.md").read_text()
        lines = [line[2:] for block in re.findall(r"```sh\n(.*?)```", text, re.S)
                 for line in block.splitlines() if line.startswith("$ slowdawn ")]
        self.assertGreater(len(lines), 8)
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            (folder / "reef.tank.json").write_text(REEF.read_text())
            (folder / "sensor.csv").write_text("time,ppfd\n2026-12-01 09:00,0\n"
                                               "2026-12-01 09:10,120\n2026-12-01 09:20,0\n")
            (folder / "slowdawn").symlink_to(PROGRAM)
            (folder / "farm").mkdir()
            for tank in ("north", "south"):
                (folder / f"farm/{tank}.tank.json").write_text(REEF.read_text())
            (folder / "new").mkdir()
            (folder / "new/readings.csv").write_text(
                "spot,before,after,group,profile\ncrest,212 208 216,171,staghorn,acropora\n")
            for line in lines:
                with self.subTest(line=line):
                    # A second tank in the folder would have to be named by the others.
                    where = folder / "new" if line.startswith("slowdawn new") else folder
                    result = subprocess.run(["bash", "-c", line], cwd=where, check=False,
                                            capture_output=True, text=True,
                                            env={**os.environ, "PATH": f"{name}:/usr/bin:/bin",
                                                 "SLOWDAWN_TODAY": "2026-10-20"})
                    self.assertEqual(result.returncode, 0, result.stderr)
                    self.assertTrue(result.stdout.strip() or ">" in line)

    def test_every_command_and_key_is_explained(self):
        text = (SOURCE / "README.md").read_text()
        names = re.findall(r"^  (\w+)  ", run("--help").stdout.split("Subcommands:")[1], re.M)
        self.assertGreaterEqual(len(names), 12)
        for command in names:
            self.assertIn(f"slowdawn {command}", text)
        schema = json.loads(run("schema").stdout)

        def keys(node):
            if isinstance(node, dict):
                yield from node.get("properties", {})
                for value in node.values():
                    yield from keys(value)
            elif isinstance(node, list):
                for value in node:
                    yield from keys(value)
        for key in set(keys(schema)):
            self.assertIn(key.removesuffix("_in") if key.endswith("_in") else key, text,
                          f"{key} is not explained in README.md")


if __name__ == "__main__":
    unittest.main()
