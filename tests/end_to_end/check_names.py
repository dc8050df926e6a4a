#!/usr/bin/env python3
"""Names with anything in them, through every output: they come out as text.

check_names.py PROGRAM SOURCE_FOLDER [-k WORD]

The tank is an invented one whose names try to be markup, a formula, a command of the shell, a
property of a calendar, an escape of the terminal, or text that runs the other way.
"""
import csv
import html.parser
import io
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()

TANK = "</title><script>alert(1)</script> & \"tank\""
LIGHT = "=1+2, bars; \\n 'x'"
OTHER_LIGHT = "@SUM(A1)\u202etxt.exe\u202c"
SPOT = "]]><svg onload=x> \u001b[31mred\u001b[0m"
OTHER_SPOT = "crest\r\nBEGIN:VEVENT\r\n \u2066hidden\u2069"
GROUP = "$(touch owned) `touch owned` \u00e9\u73ca\u745a\U0001f41a"
OTHER_GROUP = "+49\t\u0007-- \"quoted\", a,b;c\\ </style>"
NAMES = (TANK, LIGHT, OTHER_LIGHT, SPOT, OTHER_SPOT, GROUP, OTHER_GROUP)

# Characters that no output may pass on as they are: controls other than the line's end, and marks
# that turn the direction of writing.
STEERING = [chr(c) for c in (*range(0x00, 0x0a), *range(0x0b, 0x0d), *range(0x0e, 0x20), 0x7f,
                             *range(0x80, 0xa0), 0x200e, 0x200f, *range(0x202a, 0x202f),
                             *range(0x2066, 0x206a))]


def make_tank():
    day = {"on": "09:00", "off": "19:00"}
    return {
        "format": "slowdawn-tank/1",
        "name": TANK,
        "water": {"length_cm": 90, "width_cm": 50, "depth_cm": 50},
        "lights": [{"name": LIGHT, "photoperiod": day}, {"name": OTHER_LIGHT, "photoperiod": day}],
        "spots": [{"name": SPOT, "x_cm": 20, "y_cm": 20, "depth_cm": 12},
                  {"name": OTHER_SPOT, "x_cm": 70, "y_cm": 30, "depth_cm": 30}],
        "surveys": [{"taken": "2026-08-01", "dials": {LIGHT: 50},
                     "ppfd": {SPOT: [180, 184], OTHER_SPOT: 90}},
                    {"taken": "2026-08-01", "dials": {OTHER_LIGHT: 50},
                     "ppfd": {SPOT: 60, OTHER_SPOT: 40}}],
        "groups": [{"name": GROUP, "profile": "acropora", "spot": SPOT,
                    "history": {"dose": 5.0, "peak": 150}},
                   {"name": OTHER_GROUP, "profile": "euphylliid", "spot": OTHER_SPOT}],
        "ramp": {"from": {LIGHT: 30, OTHER_LIGHT: 20}, "to": {LIGHT: 60, OTHER_LIGHT: 40},
                 "start": "2026-09-01"},
    }


class Text(html.parser.HTMLParser):
    """The elements, attributes and text of a page."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.elements = []
        self.handlers = []
        self.text = []

    def handle_starttag(self, tag, attrs):
        self.elements.append(tag)
        self.handlers += [name for name, _ in attrs if name.startswith("on")]

    def handle_data(self, data):
        self.text.append(data)


def strings_of(value):
    """Every text and key in a JSON value."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for key, item in value.items() for text in (key, *strings_of(item))]
    if isinstance(value, list):
        return [text for item in value for text in strings_of(item)]
    return []


class Names(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.holder = tempfile.TemporaryDirectory()
        cls.folder = pathlib.Path(cls.holder.name)
        (cls.folder / "odd.tank.json").write_text(json.dumps(make_tank()))
        cls.run_here("follow", "--start", "2026-09-01")
        for day in ("01", "08"):
            cls.run_here("checkin", "--all", "--date", f"2026-09-{day}",
                         "--note", "=cmd|' /C calc'!A0 \u202e <b>")
        cls.run_here("dialed", LIGHT, "31", OTHER_LIGHT, "0", "--date", "2026-09-09")
        cls.run_here("moved", OTHER_GROUP, SPOT, "--date", "2026-09-10")
        cls.run_here("undo")

    @classmethod
    def tearDownClass(cls):
        cls.holder.cleanup()

    @classmethod
    def run_here(cls, *words, expect=(0, 1)):
        clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
        result = subprocess.run([PROGRAM, *words], cwd=cls.folder, env=clean,
                                stdin=subprocess.DEVNULL, capture_output=True, check=False)
        assert result.returncode in expect, (words, result.returncode, result.stdout, result.stderr)
        return result

    def assert_steers_nothing(self, text, words):
        for character in STEERING:
            self.assertNotIn(character, text, words)

    def test_text_steers_no_terminal(self):
        for words in (["check"], ["survey"], ["place"], ["plan"], ["plan", "--even"], ["risk"],
                      ["today"], ["today", "--date", "2026-09-09"], ["why", GROUP, "--date", "2026-09-05"],
                      ["why", "--date", "2026-09-05"], ["history"],
                      ["judge", "--dials", f"2026-09-20 {LIGHT} 99 {OTHER_LIGHT} 99"],
                      ["why", GROUP + "x"], ["moved", GROUP, SPOT[:-1]], ["dialed", LIGHT, "900"]):
            result = self.run_here(*words, expect=(0, 1, 2))
            for stream in (result.stdout, result.stderr):
                text = stream.decode()
                self.assert_steers_nothing(text, words)
                for line in text.splitlines():
                    self.assertLessEqual(len(line), 200, words)

    def test_json_gives_the_names_back_as_they_are(self):
        for words in (["check"], ["survey"], ["place"], ["plan"], ["plan", "--even"], ["risk"],
                      ["today"], ["why", GROUP, "--date", "2026-09-05"], ["history"],
                      ["judge", "--dials", f"2026-09-20 {LIGHT} 60 {OTHER_LIGHT} 20"]):
            answer = json.loads(self.run_here(*words, "--json").stdout)
            self.assertTrue(set(NAMES) & set(strings_of(answer)), words)
        plan = json.loads(self.run_here("plan", "--json").stdout)
        self.assertEqual(plan["tank"], TANK)
        self.assertEqual([group["name"] for group in plan["groups"]], [GROUP, OTHER_GROUP])
        self.assertEqual(set(plan["days"][0]["dials"]), {LIGHT, OTHER_LIGHT})
        self.assertEqual([group["spot"] for group in plan["days"][0]["groups"]],
                         [SPOT, OTHER_SPOT])

    def test_cells_of_csv_begin_no_formula(self):
        for words in (["plan", "--csv"], ["history", "--csv"]):
            text = self.run_here(*words).stdout.decode()
            rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
            self.assertEqual({len(row) for row in rows}, {len(rows[0])}, words)
            for row in rows[1:]:
                for cell in row:
                    if cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
                        float(cell)
        text = self.run_here("plan", "--csv").stdout.decode()
        self.assertIn("'" + OTHER_GROUP[:3], text)

    def test_pages_hold_them_as_text(self):
        for command, most in (("report", 400_000), ("sheet", 200_000)):
            page = self.run_here(command, "--date", "2026-09-10").stdout.decode()
            self.assertLess(len(page), most)
            for character in STEERING:
                self.assertNotIn(character, page, command)
            parsed = Text()
            parsed.feed(page)
            # One script of the page's own and one of data, whatever a name says.
            clean = Text()
            clean.feed(self.page_of_plain_names(command))
            self.assertEqual(parsed.elements.count("script"), clean.elements.count("script"))
            self.assertEqual(parsed.elements.count("style"), clean.elements.count("style"))
            self.assertEqual(parsed.handlers, [])
            self.assertIn("alert(1)", "".join(parsed.text))

    def page_of_plain_names(self, command):
        with tempfile.TemporaryDirectory() as folder:
            text = json.dumps(make_tank())
            for i, name in enumerate(NAMES):
                text = text.replace(json.dumps(name), f'"name {i}"')
            (pathlib.Path(folder) / "plain.tank.json").write_text(text)
            return subprocess.run([PROGRAM, command, "plain.tank.json"], cwd=folder, check=True,
                                  capture_output=True, text=True).stdout

    def test_a_calendar_has_no_event_of_a_name(self):
        calendar = self.run_here("calendar").stdout.decode()
        for character in STEERING:
            self.assertNotIn(character, calendar)
        lines = calendar.replace("\r\n ", "").split("\r\n")
        self.assertEqual(lines.count("BEGIN:VEVENT"), lines.count("END:VEVENT"))
        self.assertFalse([line for line in lines if line and ":" not in line])
        self.assertIn("\\,", calendar)

    def test_a_file_whose_name_is_no_utf8(self):
        name = b"\x80\xff reef \xe7\x8a"
        with tempfile.TemporaryDirectory() as folder:
            tank = os.path.join(os.fsencode(folder), name + b".tank.json")
            pathlib.Path(os.fsdecode(tank)).write_text(json.dumps(make_tank()))
            for words in (["check"], ["survey"], ["place"], ["plan"], ["plan", "--even"],
                          ["plan", "--csv"], ["plan", "--summary"], ["plan", "--summary", "--csv"],
                          ["risk"], ["why"], ["report"], ["sheet"], ["calendar"],
                          ["follow", "--start", "2026-09-01"], ["today"], ["checkin", "--all"],
                          ["undo"], ["history"], ["history", "--csv"], ["report"], ["calendar"],
                          ["check", b"none" + name], ["plan", tank, b"none" + name],
                          ["plan", "--summary", tank, b"none" + name]):
                for form in ([], ["--json"]):
                    if form and ("--csv" in words or words[0] in ("report", "sheet", "calendar")):
                        continue
                    if form and words[0] in ("follow", "checkin", "undo"):
                        continue
                    is_there = not isinstance(words[-1], bytes)
                    where = [tank] if is_there else []
                    result = subprocess.run([PROGRAM, *words, *where, *form], cwd=folder,
                                            stdin=subprocess.DEVNULL, capture_output=True,
                                            check=False)
                    self.assertIn(result.returncode, (0, 1) if is_there else (2, 3),
                                  (words, result.stderr))
                    result.stderr.decode()
                    if form:
                        json.loads(result.stdout or result.stderr)
                    else:
                        self.assert_steers_nothing(result.stdout.decode(), words)

    def test_a_note_that_is_no_utf8_is_refused(self):
        for option in ("--note", "--photo"):
            result = self.run_here("checkin", "--all", option, b"pale \xff", "--date", "2026-09-11",
                                   expect=(2,))
            self.assertIn(f"{option}: the text is not valid UTF-8", result.stderr.decode())

    def test_nothing_was_run(self):
        self.assertFalse(list(self.folder.glob("**/owned")))


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *sys.argv[1:]])
