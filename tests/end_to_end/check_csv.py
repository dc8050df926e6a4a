#!/usr/bin/env python3
"""`plan --csv` and `history --csv` (RFC 4180), read back by python's csv module strictly.

check_csv.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import io
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
STORY = pathlib.Path(__file__).resolve().parent / "story.tank.json"
RACK = SOURCE / "examples/frag-rack/frag-rack.tank.json"
MOVES = SOURCE / "examples/quarantine-moves/quarantine-moves.tank.json"
EXAMPLES = sorted(SOURCE.glob("examples/*/*.tank.json"))
STEERS = re.compile("[\x00-\x1f\x7f-\x9f\xad\u034f\u0600-\u0605\u061c\u06dd\u070f\u0890\u0891\u08e2"
                    "\u115f\u1160\u17b4\u17b5\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0\ufff9-\ufffb"
                    "\U000110bd\U000110cd\U00013430-\U0001343f"
                    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e007f]")
FORMULAS = ["=1+2", "+1", "-1", "@SUM(A1)", "\t=1+2", "\r=1+2", "\n=1+2", "=cmd|' /C calc'!A0",
            '=HYPERLINK("x","y")', "-", "+", "@", "=", "  =1+2", "\u00a0@SUM(A1)", " \n +1", "\u2003-1"]
HOSTILE = ['<b>&"x"</b>; =1+2, \\ é 珊瑚 \u202e $(x) \x1b[2J', 'a,b', 'a"b', '"', ",", "a;b", " a ",
           "珊瑚" * 100, "🪸", "'", "''=1", "null", "1e5", "TRUE", "\u2067a\u2069\u200f"]


def run(*words, cwd=None, expect=0):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean, check=False,
                            stdin=subprocess.DEVNULL, capture_output=True)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result.stdout.decode("utf-8")


def shown(text):
    """A name or a note as a cell holds it: no control characters but line ends, no formula."""
    text = re.sub(STEERS, lambda c: c.group() if c.group() == "\n" else f"<U+{ord(c.group()):04X}>",
                  text)
    is_formula = text.startswith("\n") or text.lstrip(" \n\u00a0\u2003")[:1] in tuple("=+-@")
    return "'" + text if is_formula else text


class Table:
    """CSV text, taken apart with no forgiveness."""

    def __init__(self, test, text):
        ends = text.count("\r\n")
        test.assertEqual(text.count("\r"), ends)
        test.assertTrue(text.endswith("\r\n"))
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        test.assertEqual(len(rows), ends)  # a line end inside a cell is LF alone
        self.header, self.rows = rows[0], rows[1:]
        test.assertEqual(len(set(self.header)), len(self.header))
        for row in self.rows:
            test.assertEqual(len(row), len(self.header))
        # Written again by the other side, with quotes only where they must be.
        again = io.StringIO()
        csv.writer(again, lineterminator="\r\n").writerows(rows)
        test.assertEqual(again.getvalue(), text)

    def column(self, name):
        return [row[self.header.index(name)] for row in self.rows]

    def dicts(self):
        return [dict(zip(self.header, row)) for row in self.rows]


class Folder:
    def __init__(self, test, tank):
        holder = tempfile.TemporaryDirectory()
        test.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        self.test = test
        if isinstance(tank, pathlib.Path):
            for table in tank.parent.glob("*.csv"):
                (self.path / table.name).write_bytes(table.read_bytes())
            tank = json.loads(tank.read_text())
        (self.path / "story.tank.json").write_text(json.dumps(tank))

    def run(self, *words):
        return run(*words, cwd=self.path)

    def json(self, *words):
        return json.loads(self.run(*words, "--json"))

    def table(self, *words):
        return Table(self.test, self.run(*words, "--csv"))


def rows_of_plan(plan, is_relative=False):
    """What the rows must say, from the plan's JSON."""
    unit = ("relative", "relative") if is_relative else ("mol_m2_d", "umol_m2_s")
    rows = []
    for number, day in enumerate(plan["days"]):
        is_last = number == len(plan["days"]) - 1
        for_good = is_last and plan["held_for_good_by"] or {"group": "", "cap": ""}
        held_by = day["held_by"] or {"group": None, "cap": ""}
        for group in day["groups"]:
            rows.append({
                "date": day["date"], "day": number,
                **{shown(f"{light} dial_percent"): dial for light, dial in day["dials"].items()},
                **{shown(f"{light} {channel} dial_percent"): dial
                   for light, channels in day.get("channels", {}).items()
                   for channel, dial in channels.items()},
                "group": shown(group["name"]), "spot": shown(group["spot"]),
                "shade_transmission": group.get("shade", 1.0),
                f"dose_{unit[0]}": group["dose"], f"peak_{unit[1]}": group["peak"],
                f"acclimated_dose_{unit[0]}": group["acclimated_dose"],
                f"acclimated_peak_{unit[1]}": group["acclimated_peak"],
                "held_by_group": shown(held_by["group"] or ""), "held_by_cap": held_by["cap"],
                "held_for_good_by_group": shown(for_good["group"]),
                "held_for_good_by_cap": for_good["cap"],
                "leg": sum(day["date"] >= began for began in plan["legs"]),
            })
    return rows


class Plan(unittest.TestCase):
    def check(self, folder, *words, is_relative=False):
        table = folder.table("plan", *words)
        expected = rows_of_plan(folder.json("plan", *words), is_relative)
        self.assertEqual(len(table.rows), len(expected))
        self.assertEqual(set(table.header), {*expected[0], "is_estimated", "is_guess", "move"})
        for row, wanted in zip(table.dicts(), expected):
            found = {key: type(value)(row[key]) for key, value in wanted.items()}
            self.assertEqual(found, wanted)  # numbers unrounded: the very same
        return table

    def test_every_example_says_what_the_json_says(self):
        self.assertGreaterEqual(len(EXAMPLES), 3)
        for tank in EXAMPLES:
            with self.subTest(tank.name):
                table = self.check(Folder(self, tank))
                self.assertEqual(table.header[:2], ["date", "day"])

    def test_options_count(self):
        self.check(Folder(self, STORY), "--start", "2028-02-27", "--every", "7")

    def test_meshes_and_moves_have_their_columns(self):
        folder = Folder(self, MOVES)
        table = self.check(folder)
        shades = {float(cell) for cell in table.column("shade_transmission")}
        self.assertIn(1.0, shades)
        self.assertGreater(len(shades), 1)
        moved = {}
        for date, cell in zip(table.column("date"), table.column("move")):
            if cell:
                moved.setdefault(date, []).append(cell)
        self.assertGreater(len(moved), 1)
        days = set(table.column("date"))
        for date in days:
            told = folder.json("today", "--date", date)["moves"]
            self.assertEqual(sorted(moved.get(date, [])), sorted(told))

    def test_estimates_are_marked(self):
        plan = json.loads(run("plan", MOVES, "--json"))
        estimated = {(one["spot"], one["light"]) for one in plan["estimated"]}
        expected = []
        for day in plan["days"]:
            lit = {light for light, dial in day["dials"].items() if dial > 0}
            for group in day["groups"]:
                is_estimated = any((group["spot"], light) in estimated for light in lit)
                expected.append("true" if is_estimated else "false")
        self.assertEqual(set(expected), {"true", "false"})
        self.assertEqual(Folder(self, MOVES).table("plan").column("is_estimated"), expected)
        self.assertEqual(set(Folder(self, RACK).table("plan").column("is_estimated")), {"false"})

    def test_a_relative_meter_has_no_units(self):
        tank = json.loads(STORY.read_text())
        tank["meter"] = {"relative": True}
        for group in tank["groups"]:
            group.pop("history", None)
        table = self.check(Folder(self, tank), is_relative=True)
        self.assertFalse([name for name in table.header if "mol" in name])

    def test_without_a_safe_opening_there_is_the_header(self):
        tank = json.loads(RACK.read_text())
        tank["groups"][0]["history"] = {"dose": 0.4, "peak": 12}
        folder = Folder(self, tank)
        table = Table(self, run("plan", "--csv", cwd=folder.path, expect=1))
        self.assertEqual(table.rows, [])
        self.assertIn("shade_transmission", table.header)

    def test_names_that_are_formulas_or_worse(self):
        for name in FORMULAS + HOSTILE:
            with self.subTest(name[:20]):
                tank = json.loads(RACK.read_text())
                old_light, old_spot = tank["lights"][0]["name"], tank["groups"][0]["spot"]
                text = json.dumps(tank)
                for old in (old_light, old_spot, tank["groups"][0]["name"]):
                    text = text.replace(json.dumps(old), json.dumps(name))
                table = self.check(Folder(self, json.loads(text)))
                self.assertIn(shown(name), table.column("group"))
                self.assertIn(shown(name), table.column("spot"))
                for row in table.rows:
                    for cell in row:
                        self.assertNotRegex(cell, r"\A[=+\-@\t\r\n]")
                        self.assertIsNone(STEERS.search(cell.replace("\n", "")))


class History(unittest.TestCase):
    def setUp(self):
        self.folder = Folder(self, STORY)
        self.folder.run("follow")
        self.groups = [group["name"]
                       for group in json.loads(STORY.read_text())["groups"]]

    def test_every_entry_is_a_row_with_what_its_json_says(self):
        one, two = self.groups[:2]
        self.folder.run("checkin", one, "--colour", "-2", "--extension", "less", "--mucus",
                        "--fv-fm", "0.612345678901", "--photo", "a,b.jpg")
        self.folder.run("checkin", two, "--card", "4", "--tissue", "white-patches",
                        "--note", 'one, "two"\nthree')
        self.folder.run("dialed", "30")
        self.folder.run("moved", one, "niche")
        self.folder.run("undo")
        table, entries = self.folder.table("history"), self.folder.json("history")["entries"]
        self.assertEqual(table.header, [
            "seq", "date", "made", "kind", "undone", "group", "spot", "shade_transmission",
            "colour_steps", "card_score", "extension", "mucus", "tissue", "fv_fm", "note", "photo",
            "what"])
        self.assertEqual(len(table.rows), len(entries))
        for row, entry in zip(table.dicts(), entries):
            body = entry["body"]
            self.assertEqual((int(row["seq"]), row["date"], row["made"], row["kind"]),
                             (entry["seq"], entry["date"], entry["made"], entry["kind"]))
            self.assertEqual(row["undone"], json.dumps(entry["undone"]))
            for key in ("group", "spot", "extension", "tissue", "note", "photo"):
                self.assertEqual(row[key], shown(body.get(key, "")))
            for key, name in (("colour_steps",) * 2, ("card_score",) * 2, ("fv_fm",) * 2,
                              ("shade_transmission", "mesh")):
                value = float(row[key]) if row[key] else None
                self.assertEqual(value, body.get(name))
            self.assertEqual(row["mucus"], json.dumps(body["mucus"]) if "mucus" in body else "")
        self.assertEqual(table.column("colour_steps")[1], "-2")  # a number stays a number
        self.assertEqual(table.column("undone").count("true"), 1)

    def test_notes_that_are_formulas_or_worse(self):
        notes = [note for note in FORMULAS + HOSTILE if "\r" not in note]
        for note in notes:
            self.folder.run("checkin", self.groups[0], f"--note={note}", f"--photo={note}")
        table = self.folder.table("history")
        self.assertEqual(table.column("note")[1:], [shown(note) for note in notes])
        self.assertEqual(table.column("photo")[1:], [shown(note) for note in notes])
        numbers = {"colour_steps", "card_score", "fv_fm", "shade_transmission"}
        for row in table.dicts():
            for key, cell in row.items():
                if key not in numbers:
                    self.assertNotRegex(cell, r"\A[=+\-@\t\r\n]")
                self.assertIsNone(STEERS.search(cell.replace("\n", "")))


if __name__ == "__main__":
    unittest.main()
