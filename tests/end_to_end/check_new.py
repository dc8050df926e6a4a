#!/usr/bin/env python3
"""`slowdawn new` as a keeper meets it: the questions on a terminal, the table and the options
without one, and the examples.

check_new.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import datetime
import fcntl
import json
import math
import os
import pathlib
import pty
import re
import select
import subprocess
import sys
import tempfile
import termios
import time
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
CLEAN = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
CTRL_C, END_OF_INPUT = "\x03", "\x04"
# What markup, a spreadsheet, a shell or a terminal would take for more than a name.
HOSTILE = "<b>&\"x\"</b>; =1+2, \\ \u00e9 \u73ca\u745a \u202e $(x) \x1b[2J"

# A question by the words that it begins with, and the answer to it.
RUN = [
    ("Name of the tank", "Stairwell reef"),
    ("The light they had until now, your name for it", "tubes"),
    ("Percentage that tubes ran at", ""),
    ("On and off times of tubes", "09:30 to 19:30"),
    ("The light they go to, your name for it [tubes]", "bars"),
    ("On and off times of bars [09:30 to 19:30]", "09:00 to 20:00, 90 min rise and fall"),
    ("Percentage that bars was read at", "40"),
    ("bars dials 0 to 100 % by 1, and 50 gives half: yes or no [yes]", ""),
    ("Channels of bars, or no [no]", ""),
    ("Immersion factor of your meter [1]", ""),
    ("Spot 1, its name", "crest"),
    ("PPFD at crest, tubes at 100 %", "212 208 216"),
    ("PPFD at crest, bars at 40 %", "171"),
    ("Spot 2, its name [done]", "sand"),
    ("PPFD at sand, tubes at 100 %", "74"),
    ("PPFD at sand, bars at 40 %", "42"),
    ("Spot 3, its name [done]", ""),
    ("Give their places: yes or no [no]", ""),
    ("Group 1, your name for it", "staghorn thicket"),
    ("Kind of staghorn thicket [acropora]", ""),
    ("Spot of staghorn thicket", "1"),
    ("Group 2, your name for it [done]", "big disc"),
    ("Kind of big disc", "Rhodactis"),
    ("Spot of big disc", "sand"),
    ("Group 3, your name for it [done]", ""),
    ("Which of them come from elsewhere [none]", ""),
    ("Goal for bars in %", "85"),
    ("First day of the ramp [", "2026-12-01"),
    ("Pace: gentle, standard or brisk [standard]", ""),
    ("Write stairwell-reef.tank.json: yes or no [yes]", ""),
]

# The same tank as a keeper would write it by hand from README.md.
BY_HAND = {
    "format": "slowdawn-tank/1", "name": "Stairwell reef",
    "lights": [{"name": "tubes", "photoperiod": {"on": "09:30", "off": "19:30"}},
               {"name": "bars", "photoperiod": {"on": "09:00", "off": "20:00", "rise_minutes": 90,
                                                "fall_minutes": 90}}],
    "spots": [{"name": "crest"}, {"name": "sand"}],
    "surveys": [{"dials": {"tubes": 100}, "ppfd": {"crest": [212, 208, 216], "sand": 74}},
                {"dials": {"bars": 40}, "ppfd": {"crest": 171, "sand": 42}}],
    "groups": [{"name": "staghorn thicket", "profile": "acropora", "spot": "crest"},
               {"name": "big disc", "profile": "corallimorph", "spot": "sand"}],
    "ramp": {"from": {"tubes": 100}, "to": {"bars": 85}, "start": "2026-12-01", "every_days": 1,
             "pace": "standard"},
}

TABLE = "spot,before,after,group,profile\ncrest,212 208 216,171,staghorn thicket,acropora\n" \
        "sand,74,42,big disc,Rhodactis\n"
OPTIONS = {
    "--readings": "readings.csv", "--name": "Stairwell reef", "--before-light": "tubes",
    "--before-dial": "100", "--before-photoperiod": "09:30-19:30", "--after-light": "bars",
    "--after-dial": "40", "--photoperiod": "09:00-20:00", "--rise": "90", "--fall": "90",
    "--goal": "85", "--start": "2026-12-01",
}


def run(*words, cwd, expect=0):
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=CLEAN,
                            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result


def with_options(changes=()):
    """The options as words, some changed; None leaves one out."""
    options = {**OPTIONS, **dict(changes)}
    return [word for name, text in options.items() if text is not None for word in (name, text)]


class Terminal:
    """The program on a terminal of its own, without echo, so that only its words are seen."""

    def __init__(self, words, cwd):
        self.master, slave = pty.openpty()
        modes = termios.tcgetattr(slave)
        modes[3] &= ~termios.ECHO
        termios.tcsetattr(slave, termios.TCSANOW, modes)

        def take_terminal():
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)
        self.process = subprocess.Popen(
            [PROGRAM, *words], stdin=slave, stdout=slave, stderr=slave, cwd=cwd,
            env={**CLEAN, "TERM": "xterm", "NO_COLOR": "1"}, preexec_fn=take_terminal)
        os.close(slave)
        self.text = b""

    def read_on(self):
        """Until the program waits for an answer; False once it has ended."""
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            wait = 0.05 if self.text.endswith(b": ") else 1
            if not select.select([self.master], [], [], wait)[0]:
                if self.text.endswith(b": "):
                    return True
                continue
            try:
                block = os.read(self.master, 65536)
            except OSError:
                return False
            if not block:
                return False
            self.text += block
        raise AssertionError(f"no question within 60 s: {self.text!r}")

    def answer(self, answer):
        if answer in (CTRL_C, END_OF_INPUT):
            os.write(self.master, answer.encode())
        else:
            os.write(self.master, answer.encode() + b"\n")
            self.text += b"\n"

    def end(self):
        code = self.process.wait(timeout=60)
        os.close(self.master)
        return code, self.text.decode().replace("\r\n", "\n")


class Case(unittest.TestCase):
    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.folder = pathlib.Path(holder.name)
        self.file = self.folder / "stairwell-reef.tank.json"

    def files(self):
        return sorted(path.name for path in self.folder.iterdir())

    def talk(self, script, *words):
        """Goes through the questions; each must be the one that is expected."""
        terminal = Terminal(["new", *words], self.folder)
        for question, answer in script:
            self.assertTrue(terminal.read_on(), (question, terminal.text.decode()))
            lines = terminal.text.decode().replace("\r\n", "\n")
            asked = " ".join(lines.split("\n\n")[-1].split())
            self.assertIn(" ".join(question.split()), asked[-400:])
            # The question is the last thing said.
            self.assertRegex(asked[asked.rindex(question):], r"\A.{0,200}:\Z")
            terminal.answer(answer)
        self.assertFalse(terminal.read_on(), terminal.text.decode())
        code, text = terminal.end()
        for line in text.splitlines():
            # Errors stand on one line each, as everywhere.
            if not re.match(r"\S+: error: |hint: ", line):
                self.assertLessEqual(len(line), 80, line)
            self.assertNotRegex(line, "[\x00-\x1f\x7f\u202e]")
        return code, text

    def make(self, script, *words):
        code, text = self.talk(script, *words)
        self.assertEqual(code, 0, text)
        return text

    def assert_same_plan(self, tank, other=BY_HAND):
        by_hand = self.folder / "by-hand"
        by_hand.mkdir(exist_ok=True)
        (by_hand / "hand.tank.json").write_text(json.dumps(other))
        run("check", tank, cwd=self.folder)
        made = run("plan", tank, "--json", cwd=self.folder).stdout
        self.assertEqual(made, run("plan", by_hand / "hand.tank.json", "--json",
                                   cwd=self.folder).stdout)
        self.assertTrue(json.loads(made)["days"])


class Questions(Case):
    def test_full_run_makes_the_tank_that_one_would_write_by_hand(self):
        text = self.make(RUN)
        self.assertEqual(self.files(), [self.file.name])
        self.assert_same_plan(self.file)
        self.assertEqual(json.loads(self.file.read_text()), BY_HAND)
        words = " ".join(text.split())
        with self.subTest("the running result"):
            # CALC: 212 x 10 h x 0.0036 = 7.63; 171 x 9.5 h x 0.0036 = 5.85.
            self.assertIn("crest: 212 at 100 % of tubes, dose 7.6; 171 at 40 % of bars, dose 5.8",
                          words)
            self.assertIn("11 h of light, worth 9.5 h of full output", words)
            self.assertIn("corallimorph: Discosoma", words)
            # CALC: 5.8482 x 85 / 40 = 12.43.
            self.assertIn("staghorn thicket: dose 7.6 now, 12.4 at the goal", words)
            plan = json.loads(run("plan", self.file, "--json", cwd=self.folder).stdout)
            day = next(i for i, d in enumerate(plan["days"]) if d["date"] == plan["reaches_goal"])
            self.assertIn(f"The plan: bars {plan['days'][0]['dials']['bars']} % on 2026-12-01, "
                          f"bars 85 % on {plan['reaches_goal']} (day {day}).", words)
        with self.subTest("the file is shown before it is written"):
            shown = text[text.index("{\n"):text.index("\n}\n") + 3]
            self.assertEqual(json.loads(shown), BY_HAND)
            self.assertLess(text.index(shown), text.index("Write stairwell-reef"))
        self.assertIn("Next: slowdawn plan stairwell-reef.tank.json", text)

    def test_wrong_answers_are_explained_and_asked_again(self):
        wrong = {
            "Name of the tank": [("", "a name has at least one letter")],
            "Percentage that tubes ran at": [("0", "at 0 % the light is off"),
                                             ("all", "from 0 to 100")],
            "On and off times of tubes": [("9 to 19", "09:00 to 20:00, 90 min rise and fall"),
                                          ("05:00 to 23:00", "14 h"), ("", "is no light's day")],
            "bars dials": [("perhaps", "neither yes nor no")],
            "Immersion factor": [("12", "from 0.5 to 3")],
            "Spot 1": [("done", "there is no spot yet")],
            "PPFD at crest, tubes": [("212 2o8", "\"2o8\" is no PPFD"), ("21200", "is this lux?")],
            "Spot 2": [("crest", "there is a spot \"crest\" already")],
            "Kind of big disc": [("Rodactis", "did you mean \"Rhodactis\"?"),
                                 ("brain", "one of several"), ("back", "type undo")],
            "Spot of big disc": [("3", "there is no spot \"3\""), ("sandd", "\"sand\"?")],
            "Which of them": [("3", "give numbers from 1 to 2")],
            "Goal for bars": [("101", "from 0 to 100"), ("0", "at 0 % the light is off")],
            "First day": [("tomorrow", "year-month-day")],
            "Pace": [("fast", "\"brisk\"")],
            "Write": [("perhaps", "yes or no, or y or n")],
        }
        script, reasons = [], []
        for question, answer in RUN:
            for start, answers in wrong.items():
                if question.startswith(start):
                    script += [(question, bad) for bad, _ in answers]
                    reasons += [reason for _, reason in answers]
            script.append((question, answer))
        text = self.make(script)
        words = " ".join(text.split())
        at = 0
        for reason in reasons:
            self.assertIn(reason, words[at:])
            at = words.index(reason, at) + len(reason)
        self.assertEqual(json.loads(self.file.read_text()), BY_HAND)

    def test_a_step_back_changes_one_answer_and_keeps_the_others(self):
        position = [question for question, _ in RUN].index("Spot 2, its name [done]")
        script = RUN[:position] + [
            ("Spot 2, its name [done]", "undo"),
            ("PPFD at crest, bars at 40 % [171]", "undo"),
            ("PPFD at crest, tubes at 100 % [212 208 216]", "300"),
            ("PPFD at crest, bars at 40 % [171]", ""),
        ] + RUN[position:]
        self.make(script)
        expected = json.loads(json.dumps(BY_HAND))
        expected["surveys"][0]["ppfd"]["crest"] = 300
        self.assertEqual(json.loads(self.file.read_text()), expected)

    def test_all_the_way_back_and_through_again_by_enter(self):
        back = [(question.split(" [")[0], "undo") for question, _ in reversed(RUN)]
        again = [(question.split(" [")[0], "") for question, _ in RUN]
        script = RUN[:-1] + back + [("Name of the tank [Stairwell reef]", "undo")] + again
        text = self.make(script)
        self.assertIn("There is no answer to take back yet", text)
        self.assertEqual(json.loads(self.file.read_text()), BY_HAND)

    def test_another_light_after_a_step_back_drops_what_hung_on_it(self):
        """From a change of light to one light that is turned up."""
        position = [question for question, _ in RUN].index("Percentage that bars was read at")
        script = RUN[:position] + [
            ("Percentage that bars was read at", "undo"), ("On and off times of bars", "undo"),
            ("The light they go to, your name for it [bars]", "tubes"),
            ("A second percentage that tubes was read at, or no [no]", ""),
            ("tubes dials", ""), ("Channels", ""), ("Immersion", ""), ("Spot 1", "crest"),
            ("PPFD at crest, tubes at 100 %", "90"), ("Spot 2", ""), ("Give their places", ""),
            ("Group 1", "torch"), ("Kind of torch [torch]", ""), ("Group 2", ""),
            ("Which of them", ""), ("Goal for tubes in %", "50"), ("First day", "2026-12-01"),
            ("Pace", "brisk"), ("Write", "yes")]
        self.make(script)
        tank = json.loads(self.file.read_text())
        self.assertEqual([light["name"] for light in tank["lights"]], ["tubes"])
        self.assertEqual(tank["surveys"], [{"dials": {"tubes": 100}, "ppfd": {"crest": 90}}])
        self.assertEqual(tank["ramp"], {"from": {"tubes": 100}, "to": {"tubes": 50},
                                        "start": "2026-12-01", "every_days": 1, "pace": "brisk"})
        run("plan", self.file, cwd=self.folder)

    def test_one_light_turned_up_read_at_two_settings(self):
        self.make([
            ("Name of the tank", "Rack"), ("until now", "panel"), ("Percentage", "45"),
            ("On and off times of panel", "08:00-18:00, 60 min rise, 30 min fall"),
            ("The light they go to", ""), ("A second percentage", "80"),
            ("panel dials", "no"), ("Lowest, highest and step of the dial in %", "20 100 5"),
            ("Output measured, or no [no]", "50:46"), ("Channels", ""), ("Immersion", "1.25"), ("Spot 1", "top"),
            ("PPFD at top, panel at 45 %", "183 190"), ("PPFD at top, panel at 80 %", "331"),
            ("Spot 2", ""), ("Give their places", "yes"),
            ("Length, width and depth of the water in cm", "120 60 30"),
            ("x, y and depth of top", "60 30 80"), ("x, y and depth of top", "60 30 8"),
            ("Group 1", "frags"), ("Kind of frags", "Acropora"), ("Group 2", ""),
            ("Which of them", "none"), ("Goal for panel in % [80]", ""),
            ("First day", "2027-01-11"), ("Pace", "gentle"), ("Write rack.tank.json", "")])
        tank = json.loads((self.folder / "rack.tank.json").read_text())
        self.assertEqual(tank["lights"], [{
            "name": "panel", "photoperiod": {"on": "08:00", "off": "18:00", "rise_minutes": 60,
                                             "fall_minutes": 30},
            "dial": {"lowest": 20, "highest": 100, "step": 5}, "dimming": [[50, 46]]}])
        self.assertEqual(tank["surveys"], [{"dials": {"panel": 45}, "ppfd": {"top": [183, 190]}},
                                           {"dials": {"panel": 80}, "ppfd": {"top": 331}}])
        self.assertEqual(tank["spots"], [{"name": "top", "x_cm": 60, "y_cm": 30, "depth_cm": 8}])
        self.assertEqual(tank["water"], {"length_cm": 120, "width_cm": 60, "depth_cm": 30})
        self.assertEqual(tank["meter"], {"immersion_factor": 1.25})
        run("check", cwd=self.folder)

    def test_a_fixture_of_channels_read_in_two_mixes(self):
        self.make([
            ("Name of the tank", "Pier"), ("until now", "lamp"), ("Percentage", ""),
            ("On and off times of lamp", "11:00 to 19:30"), ("The light they go to", "colours"),
            ("On and off times of colours", "10:00 to 20:00"), ("Percentage that colours", "50"),
            ("colours dials", ""),
            ("Channels of colours, or no [no]", "royal 100, violet"),
            ("Channels of colours, or no [no]", "royal blue 100, violet 80 red 8 %"),
            ("A channel that was added to colours", "lamp 40"),
            ("A channel that was added to colours", "white 40, lime 10"),
            ("A channel that was added to colours", "white 40"), ("Immersion", ""),
            ("Spot 1", "crest"), ("PPFD at crest, lamp at 100 %", "238 253"),
            ("PPFD at crest, colours at 50 %", "152"),
            ("PPFD at crest, colours at 50 % with white at 40 %", "285 294"),
            ("Spot 2", ""), ("Give their places", ""), ("Group 1", "table"),
            ("Kind of table", "acropora"), ("Group 2", ""), ("Which of them", ""),
            ("Goal for colours in %", "75"), ("Goal for white in % [40]", "25"),
            ("First day", "2026-12-05"), ("Pace", ""), ("Write pier.tank.json", "")])
        tank = json.loads((self.folder / "pier.tank.json").read_text())
        day = {"on": "10:00", "off": "20:00"}
        self.assertEqual(tank["lights"][1:], [
            {"name": "colours", "photoperiod": day,
             "channels": {"royal blue": 100, "violet": 80, "red": 8}},
            {"name": "white", "photoperiod": day}])
        self.assertEqual(tank["surveys"], [
            {"dials": {"lamp": 100}, "ppfd": {"crest": [238, 253]}},
            {"dials": {"colours": 50}, "ppfd": {"crest": 152}},
            {"dials": {"colours": 50, "white": 40}, "ppfd": {"crest": [285, 294]}}])
        self.assertEqual(tank["ramp"]["to"], {"colours": 75, "white": 25})
        first = json.loads(run("plan", "--json", cwd=self.folder).stdout)["days"][0]
        dial = first["dials"]["colours"]
        self.assertEqual(first["channels"], {"colours": {
            "royal blue": dial, "violet": math.floor(dial * 0.8 + 0.5),
            "red": math.floor(dial * 0.08 + 0.5)}})

    def test_corals_from_elsewhere(self):
        """No light of before: every coral is asked for what it had."""
        self.make([
            ("Name of the tank", "Arch"), ("until now", "none"), ("The light they go to", "bars"),
            ("On and off times of bars", "10:00-20:00"), ("Percentage that bars", "60"),
            ("bars dials", ""), ("Channels", ""), ("Immersion", ""), ("Spot 1", "top"),
            ("PPFD at top, bars at 60 %", "190"), ("Spot 2", ""), ("Give their places", ""),
            ("Group 1", "birdsnest"), ("Kind of birdsnest [pocilloporid]", ""),
            ("Group 2", "hammer"), ("Kind of hammer [euphylliid]", ""), ("Group 3", ""),
            ("Light that birdsnest had", "bright"), ("Light that birdsnest had", "120 for 10 h"),
            ("Light that hammer had", "dose 6.2 peak 190"), ("Goal for bars", "70"),
            ("First day", ""), ("Pace", ""), ("Write", "")])
        tank = json.loads((self.folder / "arch.tank.json").read_text())
        self.assertEqual([group["history"] for group in tank["groups"]],
                         [{"ppfd": 120, "hours": 10}, {"dose": 6.2, "peak": 190}])
        self.assertEqual(tank["ramp"]["from"], {})
        # Around midnight the clock of the test may be a day ahead.
        age = datetime.date.today() - datetime.date.fromisoformat(tank["ramp"]["start"])
        self.assertIn(age.days, (0, 1))
        run("plan", cwd=self.folder)

    def test_newcomers_among_residents_and_a_spot_that_was_not_read_before(self):
        position = [question for question, _ in RUN].index("PPFD at sand, tubes at 100 %")
        late = [question for question, _ in RUN].index("Which of them come from elsewhere [none]")
        script = RUN[:position] + [("PPFD at sand, tubes at 100 %", "none")] + \
            RUN[position + 1:late] + [("Which of them", "none"), ("Which of them", "2"),
                                      ("Light that big disc had", "60 for 9 h")] + RUN[late + 1:]
        text = self.make(script)
        self.assertIn("was not read under \"tubes\"", " ".join(text.split()))
        tank = json.loads(self.file.read_text())
        self.assertNotIn("history", tank["groups"][0])
        self.assertEqual(tank["groups"][1]["history"], {"ppfd": 60, "hours": 9})
        run("check", cwd=self.folder)

    def test_end_of_input_at_any_question_writes_nothing(self):
        for length in range(len(RUN)):
            with self.subTest(question=RUN[length][0]):
                code, text = self.talk(RUN[:length] + [(RUN[length][0], END_OF_INPUT)])
                self.assertEqual(code, 2)
                self.assertIn("nothing was written", text)
                self.assertEqual(self.files(), [])

    def test_quit_and_no_write_nothing(self):
        for script in (RUN[:1] + [(RUN[1][0], "quit")], RUN[:20] + [(RUN[20][0], "quit")],
                       RUN[:-1] + [(RUN[-1][0], "quit")], RUN[:-1] + [(RUN[-1][0], "no")]):
            code, text = self.talk(script)
            self.assertEqual(code, 2)
            self.assertIn("nothing was written", text)
            self.assertEqual(self.files(), [])

    def test_interrupt_writes_nothing_and_ends_as_an_interrupt(self):
        for length in (0, 12, len(RUN) - 1):
            code, text = self.talk(RUN[:length] + [(RUN[length][0], CTRL_C)])
            self.assertEqual(code, -2)
            self.assertIn("Nothing was written.", text)
            self.assertEqual(self.files(), [])

    def test_a_file_that_is_there_is_not_replaced(self):
        self.file.write_text("mine")
        text = self.make([RUN[0], (RUN[0][0], "Another reef")] + RUN[1:-1] +
                         [("Write another-reef.tank.json", "")])
        self.assertIn("stairwell-reef.tank.json is there already", text)
        self.assertEqual(self.file.read_text(), "mine")
        self.assertIn("another-reef.tank.json", self.files())
        code, text = self.talk([], "-o", self.file.name)
        self.assertEqual(code, 2)
        self.assertIn("there is such a file already", text)
        code, text = self.talk([], "-o", "nowhere/reef.tank.json")
        self.assertEqual(code, 3)
        self.assertIn("nowhere: error: no file can be written into this folder", text)
        code, text = self.talk([], "-o", self.file.name, "--force")
        self.assertEqual(code, 2)
        self.assertIn("this is not a tank file", text)
        self.file.write_text('{"format": "slowdawn-tank/1"}')
        self.make(RUN, "--force")
        self.assertEqual(json.loads(self.file.read_text()), BY_HAND)

    def test_hostile_names_are_names(self):
        answers = {"Stairwell reef": HOSTILE, "tubes": HOSTILE + " 1", "bars": HOSTILE + " 2",
                   "crest": HOSTILE + " 3", "staghorn thicket": HOSTILE + " 4"}
        kind = [question for question, _ in RUN].index("Kind of staghorn thicket [acropora]")
        terminal = Terminal(["new"], self.folder)
        for number, (_, answer) in enumerate(RUN):
            self.assertTrue(terminal.read_on(), terminal.text.decode())
            terminal.answer("acropora" if number == kind else answers.get(answer, answer))
        terminal.read_on()
        code, text = terminal.end()
        self.assertEqual(code, 0, text)
        self.assertNotRegex(text, "[\x00-\x09\x0b-\x1f\x7f\u202e]")
        [name] = self.files()
        self.assertRegex(name, r"\A[a-z0-9-]+\.tank\.json\Z")
        raw = (self.folder / name).read_text()
        self.assertNotRegex(raw, "[\x00-\x09\x0b-\x1f\x7f\u202e]")
        tank = json.loads(raw)
        self.assertEqual(tank["name"], HOSTILE)
        self.assertEqual([light["name"] for light in tank["lights"]],
                         [HOSTILE + " 1", HOSTILE + " 2"])
        self.assertEqual(tank["spots"][0]["name"], HOSTILE + " 3")
        self.assertEqual(tank["groups"][0]["name"], HOSTILE + " 4")
        run("plan", cwd=self.folder)


class Readings(Case):
    def setUp(self):
        super().setUp()
        self.table = self.folder / "readings.csv"
        self.table.write_text(TABLE)

    def new(self, *words, **keys):
        return run("new", *words, cwd=self.folder, **keys)

    def test_a_table_and_options_make_the_same_tank(self):
        answer = self.new(*with_options())
        self.assertIn("Written: stairwell-reef.tank.json", answer.stdout)
        self.assertEqual(json.loads(self.file.read_text()), BY_HAND)
        self.assert_same_plan(self.file)

    def test_every_column_and_option(self):
        self.table.write_text(
            "spot,before,after,x_cm,y_cm,depth_cm,group,profile,history_dose,history_peak\n"
            "crest,212 208 216,171,70,30,15,staghorn thicket,acropora,,\n"
            "sand,74,42,40,20,50,,,,\n"
            "crest,,,,,,new frags,,6.2,190\n")
        self.new(*with_options({"--dial": "5 95 2.5", "--dimming": "25:21 50:47",
                                "--channels": "blue 100, white 40",
                                "--goal": "highest", "--pace": "brisk", "--every": "7",
                                "--immersion-factor": "1.25", "--length-cm": "150",
                                "--width-cm": "60", "--depth-cm": "55", "--profile": "Montipora",
                                "-o": "my.tank.json"}))
        tank = json.loads((self.folder / "my.tank.json").read_text())
        expected = json.loads(json.dumps(BY_HAND))
        expected["water"] = {"length_cm": 150, "width_cm": 60, "depth_cm": 55}
        expected["meter"] = {"immersion_factor": 1.25}
        expected["lights"][1]["dial"] = {"lowest": 5, "highest": 95, "step": 2.5}
        expected["lights"][1]["dimming"] = [[25, 21], [50, 47]]
        expected["lights"][1]["channels"] = {"blue": 100, "white": 40}
        expected["spots"] = [{"name": "crest", "x_cm": 70, "y_cm": 30, "depth_cm": 15},
                             {"name": "sand", "x_cm": 40, "y_cm": 20, "depth_cm": 50}]
        expected["groups"] = [expected["groups"][0],
                              {"name": "new frags", "profile": "montipora", "spot": "crest",
                               "history": {"dose": 6.2, "peak": 190}}]
        expected["ramp"].update(to={"bars": 95}, every_days=7, pace="brisk")
        self.assertEqual(tank, expected)
        self.assert_same_plan(self.folder / "my.tank.json", expected)
        order = ["format", "name", "water", "meter", "lights", "spots", "surveys", "groups", "ramp"]
        self.assertEqual(list(tank), order)

    def test_the_file_is_laid_out_like_the_examples(self):
        spots = [f"spot number {i},{100 + i} {101 + i},{50 + i},group {i},torch"
                 for i in range(20)]
        self.table.write_text("spot,before,after,group,profile\n" + "\n".join(spots) + "\n")
        self.new(*with_options())
        lines = self.file.read_text().splitlines()
        self.assertTrue(all(len(line) <= 100 for line in lines))
        self.assertIn('    {"name": "group 3", "profile": "torch", "spot": "spot number 3"},', lines)
        self.assertGreater(max(map(len, lines)), 90)
        self.assertLess(len(lines), 80)

    def test_a_light_that_stays_needs_one_reading(self):
        self.table.write_text("spot,before,group,profile\ntop,90,frags,acropora\n")
        self.new(*with_options({"--after-light": "tubes", "--after-dial": None, "--goal": "100",
                                "--before-dial": "60", "--before-photoperiod": None,
                                "--rise": None, "--fall": None}))
        tank = json.loads(self.file.read_text())
        self.assertEqual(len(tank["lights"]), 1)
        self.assertEqual(tank["ramp"]["from"], {"tubes": 60})
        run("plan", cwd=self.folder)

    def test_a_table_of_newcomers_needs_no_light_of_before(self):
        self.table.write_text("spot,after,group,profile,history_dose,history_peak\n"
                              "top,190,birdsnest,Pocillopora,4.6,140\n")
        self.new(*with_options({"--before-light": None, "--before-dial": None,
                                "--before-photoperiod": None}))
        self.assertEqual(json.loads(self.file.read_text())["ramp"]["from"], {})

    def test_everything_that_is_missing_is_told_at_once(self):
        needed = ["--readings", "--name", "--before-light", "--before-dial",
                  "--before-photoperiod", "--after-light", "--after-dial", "--photoperiod",
                  "--goal"]
        error = self.new(expect=2).stderr
        self.assertIn("to make a tank file, new still needs " + ", ".join(needed[:-1]) +
                      " and --goal", error)
        example = re.search(r"hint: .* for example: slowdawn (.*)", error).group(1)
        for option in needed:
            self.assertIn(option, example)
            with self.subTest(option):
                found = self.new(*with_options({option: None}), expect=2).stderr
                self.assertRegex(found, f"new still needs {option}\\b")
        with self.subTest("the example of the hint runs"):
            subprocess.run(["bash", "-c", example.replace("new", f"'{PROGRAM}' new", 1)],
                           cwd=self.folder, check=True, stdout=subprocess.DEVNULL)
            self.assertTrue((self.folder / "my-reef.tank.json").exists())

    def test_each_option_that_cannot_be_is_explained(self):
        cases = {
            "--before-dial": ("0", "at 0 % the light is off"),
            "--after-dial": ("forty", "from 0 to 100"),
            "--before-photoperiod": ("9 to 20", "09:00 to 20:00"),
            "--photoperiod": ("09:00", "09:00 to 20:00"),
            "--rise": ("1.5 h", "is no number of minutes"),
            "--fall": ("700", "rise and fall"),
            "--dial": ("5 100", "expected 3 numbers, found 2"),
            "--dimming": ("50", "no pair of drive and output"),
            "--channels": ("blue", "has no percentage"),
            "--goal": ("85 percent", "is no percentage"),
            "--start": ("2026-02-30", "does not exist"),
            "--pace": ("bris", "did you mean \"brisk\"?"),
            "--every": ("2.5", "whole"),
            "--immersion-factor": ("4", "from 0.5 to 3"),
            "--length-cm": ("150", "give all three"),
            "--name": ("caf\udce9", "UTF-8"),
        }
        for option, (text, reason) in cases.items():
            with self.subTest(option):
                result = self.new(*with_options({option: text}), expect=2)
                self.assertRegex(result.stderr, rf"slowdawn: error: .*{option}")
                self.assertIn(reason, result.stderr)
                self.assertRegex(result.stderr, r"(?m)^hint: .{8}")
                self.assertFalse(self.file.exists())
                found = json.loads(self.new(*with_options({option: text}), "--json",
                                            expect=2).stderr)
                self.assertEqual(len(found["errors"]), 1)
        with self.subTest("all at once"):
            error = self.new(*with_options({"--goal": "x", "--pace": "y", "--start": "z"}),
                             expect=2).stderr
            self.assertEqual(error.count("error:"), 3)

    def test_faults_of_the_table_have_their_place(self):
        self.table.write_text("spot,before,after,group,profile\ncrest,2l2,171,a,tortch\n")
        error = self.new(*with_options(), expect=2).stderr
        self.assertIn("readings.csv:2:7: error: expected a number, found \"2l2\"", error)
        self.assertIn("readings.csv:2:17: error: there is no profile for \"tortch\"", error)
        self.assertIn("did you mean \"torch\"?", error)
        self.assertIn("there is no such file",
                      self.new(*with_options({"--readings": "absent.csv"}), expect=3).stderr)

    def test_answers_that_make_no_tank_are_not_written(self):
        cases = {"spot,before,after\ncrest,1,2\n": "the list of groups is empty",
                 "spot,before,after,group,profile\ncrest,,171,x,torch\n": "needs a reading of",
                 "spot,before,group,profile\ncrest,171,x,torch\n": "needs a reading of \"bars\""}
        for table, reason in cases.items():
            self.table.write_text(table)
            error = self.new(*with_options(), expect=2).stderr
            self.assertIn(reason, error)
            self.assertIn("hint:", error)
            self.assertEqual(self.files(), ["readings.csv"])

    def test_a_file_that_is_there_is_not_replaced(self):
        self.file.write_text("mine")
        self.assertIn("--force", self.new(*with_options(), expect=2).stderr)
        error = self.new(*with_options(), "--force", expect=2).stderr
        self.assertIn("this is not a tank file", error)
        self.assertEqual(self.file.read_text(), "mine")
        self.file.write_text('{"format": "slowdawn-tank/1"}')
        self.new(*with_options(), "--force")
        self.assertEqual(json.loads(self.file.read_text()), BY_HAND)

    def test_output_goes_where_it_is_wanted(self):
        self.assertEqual(json.loads(self.new(*with_options(), "-o", "-").stdout), BY_HAND)
        self.assertEqual(self.files(), ["readings.csv"])
        written = json.loads(self.new(*with_options(), "--json").stdout)
        self.assertIn("stairwell-reef.tank.json", json.dumps(written))
        self.assertIn("nowhere", self.new(*with_options(), "-o", "nowhere/x.tank.json",
                                          expect=3).stderr)

    def test_hostile_names_come_through_the_table(self):
        quoted = '"' + HOSTILE.replace('"', '""') + '"'
        self.table.write_text(f"spot,before,after,group,profile\n{quoted},212,171,{quoted},torch\n")
        self.new(*with_options({"--name": HOSTILE, "--before-light": HOSTILE + "1",
                                "--after-light": HOSTILE + "2", "-o": "odd.tank.json"}))
        raw = (self.folder / "odd.tank.json").read_text()
        self.assertNotRegex(raw, "[\x00-\x09\x0b-\x1f\x7f\u202e]")
        tank = json.loads(raw)
        self.assertEqual((tank["name"], tank["spots"][0]["name"], tank["groups"][0]["name"]),
                         (HOSTILE,) * 3)
        self.assertEqual(tank["ramp"]["from"], {HOSTILE + "1": 100})
        run("plan", "odd.tank.json", cwd=self.folder)

    def test_help_fits_80_columns(self):
        text = self.new("--help").stdout
        for line in text.splitlines():
            self.assertLessEqual(len(line), 80, line)
        for option in list(OPTIONS) + ["--example", "--force"]:
            self.assertIn(option, text)


class Examples(Case):
    NAMES = sorted(path.name for path in (SOURCE / "examples").iterdir() if path.is_dir())

    def test_each_is_written_as_it_is_and_passes_check(self):
        self.assertGreaterEqual(len(self.NAMES), 3)
        for name in self.NAMES:
            with self.subTest(name):
                folder = self.folder / name
                folder.mkdir()
                run("new", "--example", name, cwd=folder)
                there = {path.name: path.read_bytes() for path in folder.iterdir()}
                files = {path.name: path.read_bytes()
                         for path in (SOURCE / "examples" / name).iterdir()
                         if path.name != "README.md"}
                self.assertEqual(there, files)
                run("check", cwd=folder)
                run("plan", cwd=folder)

    def test_another_name_and_folder(self):
        (self.folder / "there").mkdir()
        run("new", "--example", "quarantine-moves", "-o", "there/arch.tank.json", cwd=self.folder)
        self.assertEqual(sorted(path.name for path in (self.folder / "there").iterdir()),
                         ["arch.tank.json", "bars-at-60.csv"])
        run("check", "there/arch.tank.json", cwd=self.folder)

    def test_nothing_is_replaced_without_force(self):
        for taken in ("bars-at-60.csv", "quarantine-moves.tank.json"):
            with self.subTest(taken):
                folder = self.folder / taken
                folder.mkdir()
                (folder / taken).write_text("mine")
                error = run("new", "--example", "quarantine-moves", cwd=folder, expect=2).stderr
                self.assertIn(f"{taken}: error: there is such a file already", error)
                self.assertEqual([path.name for path in folder.iterdir()], [taken])
                self.assertEqual((folder / taken).read_text(), "mine")
                error = run("new", "--example", "quarantine-moves", "--force", cwd=folder,
                            expect=2).stderr
                self.assertIn(f"{taken}: error: ", error)
                self.assertEqual((folder / taken).read_text(), "mine")
                (folder / taken).unlink()
                run("new", "--example", "quarantine-moves", cwd=folder)
                run("new", "--example", "quarantine-moves", "--force", cwd=folder)
                run("check", cwd=folder)

    def test_wrong_names_and_words_get_a_hint(self):
        error = run("new", "--example", "frag-rak", cwd=self.folder, expect=2).stderr
        self.assertIn("did you mean \"frag-rack\"?", error)
        error = run("new", "--example", "reef", cwd=self.folder, expect=2).stderr
        for name in self.NAMES:
            self.assertIn(f"\"{name}\"", error)
        error = run("new", "--example", "frag-rack", "--goal", "80", cwd=self.folder,
                    expect=2).stderr
        self.assertIn("--example and --goal do not go together", error)
        self.assertEqual(self.files(), [])


if __name__ == "__main__":
    unittest.main()
