#!/usr/bin/env python3
"""What comes in and goes out: files that are not written over, pipes that are not waited for,
lost answers, the day that is taken for today, numbers that are none, names that look alike.

check_doors.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import datetime
import io
import json
import os
import pathlib
import socket
import subprocess
import sys
import tempfile
import time
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
WRONG, NO_ACCESS = 2, 3
VARIABLES = ("SLOWDAWN_TANK", "SLOWDAWN_TODAY", "NO_COLOR")
# What writes a file of its own.
WRITERS = {"report": "plan.html", "sheet": "sheet.html", "calendar": "plan.ics",
           "manual": "slowdawn.1", "completion": "words.bash"}
# Pages as version 0.1.0 began them.
OLD_PAGE = ('<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
            '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'">\n'
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            '<title>Stairwell reef: {} 2026-12-20</title>\n</head><body>old</body></html>\n')


class Folder(unittest.TestCase):
    def setUp(self):
        made = tempfile.TemporaryDirectory()
        self.addCleanup(made.cleanup)
        self.folder = pathlib.Path(made.name)
        self.tank = self.folder / "reef.tank.json"
        self.tank.write_bytes(REEF.read_bytes())

    def run_it(self, *words, expect=0, today=None, stdout=subprocess.PIPE):
        clean = {key: value for key, value in os.environ.items() if key not in VARIABLES}
        if today is not None:
            clean["SLOWDAWN_TODAY"] = today
        done = subprocess.run([PROGRAM, *map(str, words)], cwd=self.folder, env=clean, timeout=60,
                              stdout=stdout, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL,
                              text=True, check=False)
        self.assertEqual(done.returncode, expect, (words, done.stdout, done.stderr))
        return done

    def write(self, command, file, **keys):
        """Runs a writer with -o; completion needs a shell, the others a tank."""
        named = {"completion": ["bash"], "manual": []}.get(command, [self.tank.name])
        return self.run_it(command, *named, "-o", file, **keys)

    def names(self):
        return sorted(path.name for path in self.folder.iterdir())

    def assert_refused(self, command, file, *, code=WRONG):
        """That a file is left as it is, and the error names it and a way out."""
        path = self.folder / file
        before, names = path.read_bytes(), self.names()
        error = self.write(command, file, expect=code).stderr
        self.assertIn(f"{file}: error: ", error)
        self.assertIn("after -o", error)
        self.assertEqual(path.read_bytes(), before)
        self.assertEqual(self.names(), names)
        told = json.loads(self.run_it("report", self.tank.name, "-o", file, "--json",
                                      expect=code).stderr) if command == "report" else None
        if told:
            self.assertEqual(told["errors"][0]["file"], file)
        return error


class WrittenOver(Folder):
    def test_a_tank_file_and_a_logbook_never_are(self):
        self.run_it("follow", self.tank.name, today="2026-12-01")
        for command in WRITERS:
            with self.subTest(command):
                error = self.assert_refused(command, "reef.tank.json")
                self.assertIn("calendar" if command == "calendar" else "this is a tank file", error)
                error = self.assert_refused(command, "reef.logbook")
                self.assertIn("calendar" if command == "calendar" else "this is a logbook", error)
        self.run_it("history", self.tank.name)

    def test_a_file_of_the_keepers_never_is(self):
        for number, content in enumerate([b"Dear aquarist,\n", b"<!DOCTYPE html>\n<html></html>\n",
                                          b"BEGIN:VCALENDAR\r\nPRODID:-//Harbour//EN\r\n",
                                          b"\xff\xfe\x00", b" ", b"{}"]):
            name = f"mine-{number}"
            (self.folder / name).write_bytes(content)
            for command in WRITERS:
                with self.subTest(name + command):
                    self.assert_refused(command, name)

    def test_only_the_same_kind_of_file_is(self):
        for command, file in WRITERS.items():
            self.write(command, file)
        for command, file in WRITERS.items():
            for other, written in WRITERS.items():
                with self.subTest(f"{command} over {other}"):
                    if command == other:
                        # Ends as the first did, whatever stood behind it.
                        before = (self.folder / written).read_bytes()
                        self.write(command, written)
                        self.assertEqual((self.folder / written).read_bytes(), before)
                    else:
                        self.assert_refused(command, written)

    def test_pages_of_the_first_version_are_known(self):
        for command, words in (("report", "the plan on"), ("sheet", "sheet from")):
            other = "sheet" if command == "report" else "report"
            page = self.folder / f"{command}.html"
            page.write_text(OLD_PAGE.format(words))
            self.assert_refused(other, page.name)
            self.write(command, page.name)
            self.assertNotIn("old</body>", page.read_text())

    def test_an_empty_file_is(self):
        for command in WRITERS:
            (self.folder / "empty").write_bytes(b"")
            self.write(command, "empty")
            self.assertGreater((self.folder / "empty").stat().st_size, 100)
        (self.folder / "new.tank.json").write_bytes(b"")
        self.run_it("new", "--example", "frag-rack", "-o", "new.tank.json")
        self.run_it("check", "new.tank.json")

    def test_force_is_for_tank_files_alone(self):
        self.run_it("follow", self.tank.name, today="2026-12-01")
        (self.folder / "letter").write_text("Dear aquarist,\n")
        for name in ("letter", "reef.logbook"):
            before = (self.folder / name).read_bytes()
            error = self.run_it("new", "--example", "frag-rack", "--force", "-o", name,
                                expect=WRONG).stderr
            self.assertIn(f"{name}: error: ", error)
            self.assertEqual((self.folder / name).read_bytes(), before)
        self.run_it("new", "--example", "frag-rack", "--force", "-o", "reef.tank.json")
        self.assertNotEqual(self.tank.read_bytes(), REEF.read_bytes())

    def test_readings_of_the_keepers_are_none_of_an_example(self):
        table = self.folder / "bars-at-60.csv"
        table.write_text("spot,ppfd\nmine,1\n")
        names = self.names()
        error = self.run_it("new", "--example", "quarantine-moves", "--force", expect=WRONG).stderr
        self.assertIn("bars-at-60.csv: error: ", error)
        self.assertEqual(table.read_text(), "spot,ppfd\nmine,1\n")
        self.assertEqual(self.names(), names)
        table.unlink()
        self.run_it("new", "--example", "quarantine-moves")
        self.run_it("new", "--example", "quarantine-moves", "--force")

    @unittest.skipIf(os.geteuid() == 0, "who may read everything is refused nothing")
    def test_what_cannot_be_read_is_left_alone(self):
        page = self.folder / "plan.html"
        self.write("report", page.name)
        page.chmod(0)
        self.write("report", page.name, expect=NO_ACCESS)


class Links(Folder):
    def test_a_link_stays_and_what_it_leads_to_is_written(self):
        (self.folder / "pages").mkdir()
        for command, file in WRITERS.items():
            link = self.folder / file
            for target in (f"pages/{file}", self.folder / "pages" / f"far-{file}"):
                link.unlink(missing_ok=True)
                link.symlink_to(target)
                for _ in ("there is no target yet", "there is one"):
                    self.write(command, file)
                    self.assertTrue(link.is_symlink())
                    self.assertEqual(os.readlink(link), str(target))
                    self.assertFalse((self.folder / target).is_symlink())
                    self.assertGreater((self.folder / target).stat().st_size, 100)

    def test_what_a_link_leads_to_is_asked_about(self):
        (self.folder / "letter").write_text("Dear aquarist,\n")
        for target in ("letter", "reef.tank.json"):
            link = self.folder / f"to-{target}"
            link.symlink_to(target)
            for command in WRITERS:
                with self.subTest(target + command):
                    self.assert_refused(command, link.name)
                    self.assertTrue(link.is_symlink())

    def test_a_ring_of_links_is_an_error(self):
        (self.folder / "one").symlink_to("two")
        (self.folder / "two").symlink_to("one")
        for command in ("report", "manual"):
            self.assertIn("one: error: ", self.write(command, "one", expect=NO_ACCESS).stderr)
        self.assertEqual(self.names(), ["one", "reef.tank.json", "two"])


class Elsewhere(Folder):
    def test_standard_output_by_its_other_names(self):
        page = self.write("sheet", "-").stdout
        for name in ("/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"):
            self.assertEqual(self.write("sheet", name).stdout, page)
        letter = self.folder / "letter"
        letter.write_text("Dear aquarist,\n")
        with open(letter, "a") as added:
            self.write("sheet", "/dev/stdout", stdout=added)
        self.assertEqual(letter.read_text(), "Dear aquarist,\n" + page)

    def test_pipes_and_devices_take_it(self):
        self.write("report", "/dev/null")
        pipe = self.folder / "pipe"
        os.mkfifo(pipe)
        reader = subprocess.Popen(["cat", pipe], stdout=subprocess.PIPE, text=True)
        self.write("sheet", "pipe")
        self.assertEqual(reader.communicate(timeout=20)[0], self.write("sheet", "-").stdout)
        self.assertTrue(pipe.is_fifo())


class Pipes(Folder):
    """Nobody fills them: a program that waits is stopped by the time limit of the run."""

    def assert_not_waited_for(self, name, *words):
        error = self.run_it(*words, expect=NO_ACCESS).stderr
        self.assertIn(f"{name}: error: this is a pipe, not a file\nhint: save", error)

    def test_are_refused_as_a_tank(self):
        os.mkfifo(self.folder / "pipe.tank.json")
        for command in ("check", "survey", "plan", "today", "follow", "report", "history"):
            self.assert_not_waited_for("pipe.tank.json", command, "pipe.tank.json")

    def test_are_refused_for_what_a_tank_names(self):
        tank = json.loads(REEF.read_text())
        os.mkfifo(self.folder / "readings.csv")
        del tank["surveys"][0]["ppfd"]
        tank["surveys"][0]["ppfd_file"] = "readings.csv"
        self.tank.write_text(json.dumps(tank))
        self.assertIn("this is a pipe", self.run_it("check", expect=NO_ACCESS).stderr)

    def test_are_refused_as_any_other_file(self):
        pipe = self.folder / "pipe"
        os.mkfifo(pipe)
        self.assert_not_waited_for("pipe", "dose", "pipe")
        self.assert_not_waited_for("pipe", "new", "--readings", "pipe")
        self.assert_not_waited_for("pipe", "history", "--import", "pipe")
        (self.folder / "own").mkdir()
        os.mkfifo(self.folder / "own" / "acropora.json")
        self.assert_not_waited_for("acropora.json", "check", "--profiles", "own")
        os.mkfifo(self.folder / "days.csv")
        self.assert_not_waited_for("days.csv", "judge", "--dials", "days.csv")
        os.mkfifo(self.folder / "reef.logbook")
        self.assertIn("reef.logbook: error: ", self.run_it("today", expect=NO_ACCESS).stderr)

    def test_of_a_shell_are_refused_and_a_redirected_file_is_not(self):
        for words in ('"$0" check <(cat "$1")', 'cat "$1" | "$0" check /dev/stdin'):
            done = subprocess.run(["bash", "-c", words, PROGRAM, REEF], capture_output=True,
                                  text=True, timeout=60, check=False)
            self.assertEqual(done.returncode, NO_ACCESS, done)
            self.assertIn("this is a pipe, not a file", done.stderr)
        done = subprocess.run(["bash", "-c", '"$0" check /dev/stdin <"$1"', PROGRAM, REEF],
                              capture_output=True, text=True, timeout=60, check=True)
        self.assertIn("Stairwell", done.stdout)

    def test_sockets_and_devices_are_refused(self):
        with socket.socket(socket.AF_UNIX) as waiting:
            waiting.bind(str(self.folder / "socket"))
            self.assertIn("this is a socket",
                          self.run_it("check", "socket", expect=NO_ACCESS).stderr)
        for device in ("/dev/zero", "/dev/null"):
            self.assertIn("this is a device", self.run_it("check", device, expect=NO_ACCESS).stderr)


class LostAnswer(Folder):
    def lose(self, *words):
        with open("/dev/full", "w") as full:
            return self.run_it(*words, expect=NO_ACCESS, stdout=full).stderr

    def test_of_a_write_says_that_the_write_was_made(self):
        for command, file in WRITERS.items():
            named = {"completion": ["bash"], "manual": []}.get(command, [self.tank.name])
            self.assertIn("is written; only the answer could not be written",
                          self.lose(command, *named, "-o", file))
            self.assertGreater((self.folder / file).stat().st_size, 100)
        self.assertIn("is written; only", self.lose("new", "--example", "frag-rack"))
        self.run_it("check", "frag-rack.tank.json")

    def test_does_not_go_into_a_file_that_takes_the_place_of_a_closed_stream(self):
        words = ["report", self.tank.name, "-o", "plan.html"]
        self.run_it(*words)
        page = (self.folder / "plan.html").read_bytes()
        for closed, code in (("1>&-", NO_ACCESS), ("2>&-", 0), ("0<&- 1>&- 2>&-", NO_ACCESS)):
            (self.folder / "plan.html").unlink()
            done = subprocess.run(["sh", "-c", f'exec "$0" "$@" {closed}', PROGRAM, *words],
                                  cwd=self.folder, timeout=60, check=False, capture_output=True)
            self.assertEqual(done.returncode, code, done)
            self.assertEqual((self.folder / "plan.html").read_bytes(), page)

    def test_of_a_question_is_only_lost(self):
        for words in (["plan"], ["check"], ["report"], ["manual"]):
            error = self.lose(*words)
            self.assertIn("the answer could not be written", error)
            self.assertNotIn("is written", error)


class TakenForToday(Folder):
    def test_the_day_is_that_of_the_variable(self):
        for day in ("2026-12-20", "2027-01-05"):
            named = json.loads(self.run_it("today", "--date", day, "--json").stdout)
            self.assertEqual(json.loads(self.run_it("today", "--json", today=day).stdout), named)
            self.assertIn(f"made by slowdawn 0.1.0 for {day}.",
                          self.run_it("sheet", today=day).stdout)

    def test_entries_are_made_on_it(self):
        self.run_it("follow", today="2026-12-01")
        entries = json.loads(self.run_it("history", "--json", today="2026-12-02").stdout)["entries"]
        self.assertEqual(entries[0]["made"][:10], "2026-12-01")
        self.run_it("today", today="2026-12-02")

    def test_without_it_the_day_is_the_computers(self):
        before = datetime.date.today()
        told = json.loads(self.run_it("today", "--json", today="").stdout)["date"]
        self.assertIn(told, [str(before), str(datetime.date.today())])

    def test_what_is_no_date_is_an_error_of_every_command_that_needs_the_day(self):
        for value in ("tomorrow", "2026-02-30", "2026-12-1", " 2026-12-01", "20261201"):
            for words in (["today"], ["plan"], ["follow"], ["survey"], ["report"], ["calendar"],
                          ["new", "--example", "frag-rack"], ["checkin", "crest", "--colour", "0"]):
                error = self.run_it(*words, today=value, expect=WRONG)
                self.assertTrue(error.stderr.startswith("slowdawn: error: SLOWDAWN_TODAY: "))
                self.assertIn("unset the variable", error.stderr)
                self.assertEqual(error.stdout, "")
            told = json.loads(self.run_it("plan", "--json", today=value, expect=WRONG).stderr)
            self.assertIn("SLOWDAWN_TODAY", told["errors"][0]["error"])
            for words in (["check"], ["schema"], ["profiles"], ["--help"], ["plan", "--help"]):
                self.run_it(*words, today=value)
        self.assertEqual(self.names(), ["reef.tank.json"])

    def test_help_and_manual_tell_of_it(self):
        for words in (["--help"], ["manual"]):
            self.assertIn("SLOWDAWN_TODAY", self.run_it(*words).stdout)


class NoNumbers(Folder):
    def test_are_out_of_every_range(self):
        self.run_it("follow", today="2026-12-01")
        (self.folder / "log.csv").write_text("time,ppfd\n2026-12-01 09:00,0\n2026-12-01 09:20,9\n")
        group = json.loads(REEF.read_text())["groups"][0]["name"]
        before = (self.folder / "reef.logbook").read_bytes()
        good = ["--latitude", "-20", "--depth", "3"]
        for value in ("nan", "-nan", "inf", "-inf", "NaN", "infinity", "nan(1)"):
            for words in ([f"checkin\0{group}\0--fv-fm={value}"],
                          [f"dose\0log.csv\0--immersion-factor={value}"],
                          [f"place\0--least-gain={value}"],
                          [f"moved\0{group}\0--mesh={value}"],
                          [f"dialed\0{value}"],
                          [f"plan\0--every={value}"],
                          [f"risk\0--seed={value}"],
                          [f"judge\0--dials=2026-12-01 {value}"],
                          [f"origin\0--latitude={value}\0--depth=3"],
                          [f"origin\0--latitude=-20\0--depth={value}"]):
                with self.subTest(words):
                    words = words[0].split("\0")
                    done = self.run_it(*words, expect=WRONG, today="2026-12-02")
                    self.assertEqual(done.stdout, "")
                    self.assertIn("error: ", done.stderr)
            for option in ("--kd", "--cloud"):
                self.run_it("origin", *good, f"{option}={value}", expect=WRONG)
        self.assertEqual((self.folder / "reef.logbook").read_bytes(), before)
        error = self.run_it("checkin", group, "--fv-fm=nan", expect=WRONG).stderr
        self.assertIn("0 to 0.9", error)


class LookAlikes(Folder):
    HIDDEN = ["\u00ad", "\u034f", "\u180e", "\u200b", "\u200d", "\u2060", "\u2028", "\u202e",
              "\u2066", "\u3164", "\ufeff", "\U000e0041", "\U0001d173"]

    def with_twins(self, mark):
        """The reef with a second first group, named alike but for the mark."""
        tank = json.loads(REEF.read_text())
        first = tank["groups"][0]
        first["name"] = "bush"
        tank["groups"].append({**first, "name": f"bu{mark}sh"})
        self.tank.write_text(json.dumps(tank))
        return first["name"], tank["groups"][-1]["name"]

    def test_are_told_apart_in_text_pages_tables_and_json(self):
        for mark in self.HIDDEN:
            name, twin = self.with_twins(mark)
            spelled = twin.replace(mark, f"<U+{ord(mark):04X}>")
            with self.subTest(f"{ord(mark):X}"):
                for words in (["check"], ["plan", "--csv"], ["why", twin, "--date", "2026-12-20"],
                              ["calendar"]):
                    text = self.run_it(*words).stdout
                    self.assertNotIn(mark, text, words)
                    self.assertIn(f"<U+{ord(mark):04X}>", text.replace("\r\n ", ""), words)
                text = self.run_it("plan", "--csv").stdout
                names = {row["group"] for row in csv.DictReader(io.StringIO(text))}
                self.assertIn(name, names)
                self.assertIn(spelled, names)
                page = self.run_it("report").stdout
                self.assertNotIn(mark, page)
                self.assertIn(spelled.replace("<", "&lt;").replace(">", "&gt;"), page)
                for words in (["plan", "--json"], ["check", "--json"]):
                    text = self.run_it(*words).stdout
                    self.assertNotIn(mark, text)
                    escaped = json.dumps(mark).strip('"')
                    self.assertIn(escaped, text)
                    self.assertIn(twin, json.dumps(json.loads(text), ensure_ascii=False))

    def test_letters_of_all_scripts_and_emoji_stay(self):
        name = "珊瑚 é 🪸️ ひ"
        tank = json.loads(REEF.read_text())
        tank["name"] = name
        self.tank.write_text(json.dumps(tank))
        for words in (["check"], ["plan"], ["report"], ["plan", "--json"]):
            self.assertIn(name, self.run_it(*words).stdout)


class Formulas(Folder):
    def test_no_cell_is_one_after_spaces(self):
        tank = json.loads(REEF.read_text())
        names = [f"{space}{sign}1+1" for space in (" ", "   ", "\u00a0", "\u2003 ", "\u3000")
                 for sign in "=+-@"] + ["\uff1d1", " \uff20x"]
        group = tank["groups"][0]
        tank["groups"] = [{**group, "name": name} for name in names + [" plain", "a = 1"]]
        self.tank.write_text(json.dumps(tank))
        rows = csv.DictReader(io.StringIO(self.run_it("plan", "--csv").stdout))
        self.assertEqual({row["group"] for row in rows},
                         {"'" + name for name in names} | {" plain", "a = 1"})


class Leftovers(Folder):
    def make(self, name, hours_ago, content=b"part"):
        path = self.folder / name
        path.write_bytes(content)
        then = time.time() - 3600 * hours_ago
        os.utime(path, (then, then))
        return path

    def test_of_a_killed_writer_are_taken_away_by_the_next(self):
        old = self.make("plan.html.slowdawn-aB3xYz", 2)
        kept = [self.make("plan.html.slowdawn-aB3xY0", 0.5), self.make("plan.html.backup", 9),
                self.make("plan.html.slowdawn-notes1.txt", 9), self.make("my.slowdawn-aB3xYz", 9)]
        self.write("report", "plan.html")
        self.assertFalse(old.exists())
        self.assertTrue(all(path.exists() for path in kept))

    def test_of_a_logbook_are_taken_away_by_the_next_entry(self):
        old = self.make("reef.logbook.new-0000beef", 2)
        kept = [self.make("reef.logbook.new-0000bee5", 0.5), self.make("reef.logbook.new-20261127", 9),
                self.make("reef.logbook.new", 9), self.make("frags.logbook.new-0000beef", 9)]
        self.run_it("follow", today="2026-12-01")
        self.assertFalse(old.exists())
        self.assertTrue(all(path.exists() for path in kept))
        old = self.make("reef.logbook.new-c0ffee00", 2)
        self.run_it("dialed", "10", "--until", "2026-12-02", expect=WRONG, today="2026-12-02")
        self.run_it("checkin", "--all", "--colour", "0", today="2026-12-02")
        self.assertFalse(old.exists())


if __name__ == "__main__":
    unittest.main()
