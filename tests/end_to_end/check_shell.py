#!/usr/bin/env python3
"""slowdawn in a shell: completion in a real bash, zsh and fish, the manual page, the examples
of --help, and the line that says what takes so long.

check_shell.py PROGRAM SOURCE_FOLDER [-k WORD]

What a completed line means is what the shell makes of it: the line is handed to a script that
writes down its arguments. bash and zsh are driven through a pseudo-terminal, with keys.
"""
import contextlib
import fcntl
import json
import os
import pathlib
import pty
import re
import select
import shlex
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"

# Names that a shell, a script or a terminal might take for something else than text.
ODD_NAMES = [
    "two words", "o'brien", 'the "big" one', "$(touch ran)", "`touch ran`", "a; touch ran",
    "a && touch ran", "a | touch ran", "$HOME", "${HOME}", "back\\slash", "ends in \\", "#hash",
    "~", "~root", "a=b", "a:b", "star * ?", "[ab]", "{a,b}", "wow! !!", "!x", "^a^b", "%F{red}x",
    "%s%n", "\"quoted\"", "'quoted'", "  two spaces  ", "<b>&\"x\"</b>; =1+2, \\ é 珊瑚 $(touch ran)",
    "é", "珊瑚", ":files", "files", "word", "a\u00a0b", "1", "(x)", "$'x'", "\\'", "/usr",
]
# No word of a command line: they would steer the terminal, or be taken for something else.
UNTYPABLE = ["a\tb", "a\nb", "\x1b[2Jx", "x\x07", "x\u202ey", "x\u200fy", "x\u0085y", "-dash",
             "--json", "reef.json"]


def clean_environment(**variables):
    kept = {k: v for k, v in os.environ.items()
            if k not in ("SLOWDAWN_TANK", "NO_COLOR", "TERM", "BASH_ENV", "ENV", "LANG")}
    return {**kept, "LC_ALL": "C.UTF-8", "TERM": "xterm", **variables}


def run(*words, cwd=None, expect=0, **variables):
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean_environment(**variables),
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result


def complete(*words, cwd=None, **variables):
    """What may stand in place of the last word: {text: what it is}."""
    lines = run("complete", "words", *words, cwd=cwd, **variables).stdout.splitlines()
    return dict(line.split("\t")[1:] if "\t" in line else (line, "paths") for line in lines)


def command_names():
    return re.findall(r"^  (\w+)  ", run("--help").stdout.split("Subcommands:")[1], re.M)


def tank_with_groups(names):
    """The example with groups of other names, all like its first."""
    tank = json.loads(REEF.read_text())
    tank["groups"] = [{**tank["groups"][0], "name": name} for name in names]
    return json.dumps(tank)


class Folder:
    """A folder with the program as `slowdawn`, a tank, and a script that keeps its arguments."""

    def __init__(self):
        self.temporary = tempfile.TemporaryDirectory()
        self.path = pathlib.Path(self.temporary.name)
        (self.path / "bin").mkdir()
        (self.path / "bin/slowdawn").symlink_to(PROGRAM)
        self.work = self.path / "work"
        self.work.mkdir()
        keep = self.path / "bin/keep"
        keep.write_text("#!/usr/bin/python3\nimport json, os, sys\n"
                        f"name = {str(self.path / 'kept')!r}\n"
                        "with open(name + '.new', 'w') as file:\n"
                        "    json.dump([os.fsencode(a).decode() for a in sys.argv[1:]], file)\n"
                        "os.rename(name + '.new', name)\n")
        keep.chmod(0o755)
        self.environment = clean_environment(
            PATH=f"{self.path / 'bin'}:/usr/bin:/bin", HOME=str(self.path), PS1="> ",
            HISTFILE=str(self.path / "history"), SHELL_SESSIONS_DISABLE="1")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.temporary.cleanup()


class Terminal:
    """A program on a pseudo-terminal, and everything that it wrote there."""

    def __init__(self, command, cwd, environment, stdout=None):
        self.text = b""
        self.master, slave = pty.openpty()
        self.process = subprocess.Popen(command, cwd=cwd, env=environment, stdin=slave,
                                        stdout=stdout if stdout is not None else slave,
                                        stderr=slave, start_new_session=True, preexec_fn=take_terminal)
        os.close(slave)

    def send(self, keys):
        data = keys.encode()
        while data:
            # Whoever writes much without reading would wait for ever.
            self.read(0)
            data = data[os.write(self.master, data[:256]):]

    def read(self, seconds):
        ready, _, _ = select.select([self.master], [], [], seconds)
        if not ready:
            return False
        try:
            block = os.read(self.master, 65536)
        except OSError:
            return None
        self.text += block
        return bool(block) or None

    def wait_for(self, happened, seconds=60):
        end = time.monotonic() + seconds
        while not happened():
            if self.read(0.05) is None or time.monotonic() > end:
                raise AssertionError(f"waited in vain; on the terminal: {self.text.decode(errors='replace')}")

    def read_to_end(self):
        while self.read(60):
            pass
        return self.process.wait()

    def close(self):
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        os.close(self.master)


def take_terminal():
    import fcntl
    import termios
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


class Shell:
    """An interactive shell in a folder, with the completion of slowdawn loaded."""
    HOME, TAB, CLEAR = "\x01", "\t", "\x15"
    COMMANDS = {
        "bash": (["bash", "--norc", "--noprofile", "-i"],
                 "bind 'set bell-style none'; bind 'set enable-bracketed-paste off'; "
                 "bind 'set page-completions off'; bind 'set completion-query-items 0'; "
                 "source <(slowdawn completion bash)"),
        "zsh": (["zsh", "-f", "-i"],
                "bindkey -e; unsetopt beep; autoload -U compinit; compinit -u -D; "
                "source <(slowdawn completion zsh)"),
        "fish": (["fish", "--no-config", "-i"], "slowdawn completion fish | source"),
    }

    def __init__(self, kind, folder):
        self.kind, self.folder = kind, folder
        command, setup = self.COMMANDS[kind]
        self.terminal = Terminal(command, folder.work, folder.environment)
        self.ask(f"{setup}; keep ready", ["ready"])

    def ask(self, keys, expected=None):
        """Types a line that runs `keep`; what its arguments were."""
        kept = self.folder.path / "kept"
        kept.unlink(missing_ok=True)
        self.terminal.send(keys + "\r")
        try:
            self.terminal.wait_for(kept.exists, 30)
        except AssertionError:
            # Out of a quote that was left open.
            self.terminal.send("\x03")
            raise
        found = json.loads(kept.read_text())
        assert expected is None or found == expected, (found, expected)
        return found

    def words_after_tab(self, line):
        """The words that a line has once Tab was pressed at its end."""
        return self.ask(f"{line}{self.TAB}{self.HOME}keep ")

    def set(self, name, value):
        assign = f"set -x {name} {value}" if self.kind == "fish" else f"export {name}={value}"
        self.ask(f"{assign}; keep set", ["set"])

    def close(self):
        self.terminal.close()


@contextlib.contextmanager
def shell_in_folder(kind):
    with Folder() as folder:
        (folder.work / "reef.tank.json").write_text(REEF.read_text())
        shell = Shell(kind, folder)
        try:
            yield shell
        finally:
            shell.close()


class Answers(unittest.TestCase):
    """What the program itself answers, whatever the shell."""

    def test_commands_and_options_are_those_of_help(self):
        commands = command_names()
        self.assertEqual(list(complete("")), commands)
        self.assertGreaterEqual(len(commands), 17)
        self.assertIn("--version", complete("-"))
        for command in commands:
            text = run(command, "--help").stdout
            options = re.findall(r"^  (?:-\w,)?(--[\w-]+)", text, re.M)
            self.assertEqual(list(complete(command, "--")), options, command)
            self.assertIn("--help", options)

    def test_options_that_are_given_or_excluded_are_not_offered_again(self):
        offered = complete("plan", "--csv", "--start", "2026-12-01", "--")
        self.assertIn("--pace", offered)
        self.assertFalse({"--csv", "--json", "--start"} & set(offered))

    def test_names_of_groups_spots_lights_profiles_and_words(self):
        tank = json.loads(REEF.read_text())

        def names(kind):
            return [item["name"] for item in tank[kind]]
        where = {"SLOWDAWN_TANK": str(REEF)}
        for command in ("checkin", "why", "moved"):
            self.assertEqual(list(complete(command, "", **where)), names("groups"))
        self.assertEqual(list(complete("moved", "torch", "", **where)), names("spots"))
        self.assertEqual(list(complete("dialed", "", **where)), names("lights"))
        self.assertEqual(list(complete("dialed", "tubes", "", **where)), [])
        self.assertEqual(list(complete("dialed", "tubes", "0", "", **where)), names("lights")[1:])
        self.assertEqual(list(complete("checkin", "--all", "--colour", "-1", "", **where)),
                         names("groups"))
        self.assertEqual(complete("checkin", "torch", "", cwd=REEF.parent),
                         {REEF.name: "tank file"})
        self.assertIn("acropora", complete("profiles", ""))
        self.assertEqual(list(complete("plan", "--pace", "")), ["gentle", "standard", "brisk"])
        self.assertEqual(list(complete("plan", "--pace=")),
                         ["--pace=gentle", "--pace=standard", "--pace=brisk"])
        self.assertEqual(list(complete("checkin", "--tissue", "")),
                         ["whole", "white-patches", "lost"])
        self.assertEqual(list(complete("completion", "")), ["bash", "zsh", "fish"])
        self.assertEqual(complete("plan", "--start", ""), {})
        self.assertEqual(complete("dose", ""), {"files": "paths"})
        self.assertEqual(complete("history", "--import", ""), {"files": "paths"})
        self.assertEqual(complete("plan", "--profiles", ""), {"folders": "paths"})
        self.assertEqual(complete("nonsense", ""), {})
        self.assertEqual(complete("schema", ""), {})

    def test_tank_files_and_the_folders_on_the_way(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            (folder / "tanks/old").mkdir(parents=True)
            (folder / ".hidden").mkdir()
            (folder / "other.json").write_text("{}")
            self.assertEqual(complete("plan", "", cwd=folder), {"tanks/": "folder"})
            for file in ("tanks/one.tank.json", "reef.tank.json"):
                (folder / file).write_text(REEF.read_text())
            self.assertEqual(complete("plan", "", cwd=folder), {"reef.tank.json": "tank file"})
            self.assertEqual(complete("plan", "t", cwd=folder), {"tanks/": "folder"})
            self.assertEqual(complete("plan", "tanks/", cwd=folder),
                             {"tanks/one.tank.json": "tank file", "tanks/old/": "folder"})
            self.assertEqual(complete("plan", "reef.tank.json", "", cwd=folder), {})
            # Of two tanks the one that is named; without one there are no names.
            (folder / "two.tank.json").write_text(tank_with_groups(["lonely"]))
            self.assertEqual(list(complete("checkin", "two.tank.json", "", cwd=folder)), ["lonely"])
            self.assertNotIn("lonely", complete("checkin", "", cwd=folder))

    def test_a_tank_that_cannot_be_read_gives_no_names_and_no_error(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            (folder / "broken.tank.json").write_text("{ not JSON")
            os.mkfifo(folder / "pipe.tank.json")
            for tank in ("broken.tank.json", "pipe.tank.json", "missing.tank.json", name):
                result = run("complete", "words", "checkin", "", cwd=folder, SLOWDAWN_TANK=tank)
                self.assertNotIn("group", result.stdout)
                self.assertEqual(result.stderr, "")
            for words in ([], ["words"], ["bash"], ["bash", "slowdawn", "x"], ["bash", "", ""]):
                self.assertEqual(run("complete", *words).stderr, "")

    def test_names_that_cannot_be_typed_are_left_out(self):
        with tempfile.TemporaryDirectory() as name:
            tank = pathlib.Path(name) / "odd.tank.json"
            tank.write_text(tank_with_groups(ODD_NAMES + UNTYPABLE))
            run("check", tank)
            found = complete("checkin", "", SLOWDAWN_TANK=str(tank))
            self.assertEqual(list(found), ODD_NAMES)
            # After "--" a name may begin with a dash.
            self.assertIn("--json", complete("checkin", "--", "", SLOWDAWN_TANK=str(tank)))


class Bash(unittest.TestCase):
    def test_the_script_is_registered_and_sound(self):
        script = run("completion", "bash").stdout
        subprocess.run(["bash", "-n"], input=script, text=True, check=True)
        said = subprocess.run(["bash", "-c", script + "complete -p slowdawn"], check=True,
                              capture_output=True, text=True).stdout
        self.assertEqual(said, "complete -F _slowdawn slowdawn\n")

    def test_tab_completes_commands_options_words_and_files(self):
        check_tab(self, "bash")

    def test_several_answers_are_listed_as_they_will_stand(self):
        with shell_in_folder("bash") as shell:
            shell.terminal.send("slowdawn plan --pace \t\t")
            shell.terminal.wait_for(lambda: re.search(rb"brisk +gentle +standard", shell.terminal.text))
            shell.terminal.send(shell.CLEAR)
            shell.terminal.send("slowdawn checkin \t\t")
            shell.terminal.wait_for(lambda: b"staghorn\\ thicket" in shell.terminal.text)

    def test_words_that_bash_parts_differently(self):
        with shell_in_folder("bash") as shell:
            self.assertEqual(shell.words_after_tab("slowdawn plan --pace=ge"),
                             ["slowdawn", "plan", "--pace=gentle"])
            (shell.folder.work / "reef.tank.json").write_text(
                tank_with_groups(["one:two:three", "other=thing x"]))
            self.assertEqual(shell.words_after_tab("slowdawn checkin one:tw"),
                             ["slowdawn", "checkin", "one:two:three"])
            self.assertEqual(shell.words_after_tab("slowdawn checkin other=th"),
                             ["slowdawn", "checkin", "other=thing x"])
            # Where a redirection goes there are files, and it is no word of the command.
            (shell.folder.work / "answer.txt").write_text("")
            shell.ask("slowdawn plan > ans\t; keep done", ["done"])
            self.assertIn("Stairwell", (shell.folder.work / "answer.txt").read_text())
            self.assertEqual(shell.words_after_tab("slowdawn >/dev/null 2>/dev/null plan --pace ge"),
                             ["slowdawn", "plan", "--pace", "gentle"])

    def test_odd_names_come_out_as_text_within_every_quote(self):
        check_odd_names(self, "bash", ["", '"', "'"])


class Zsh(unittest.TestCase):
    def test_the_script_is_sound_and_found_in_a_folder_of_functions(self):
        script = run("completion", "zsh").stdout
        self.assertTrue(script.startswith("#compdef slowdawn\n"))
        subprocess.run(["zsh", "-f", "-n"], input=script, text=True, check=True)
        with tempfile.TemporaryDirectory() as name:
            (pathlib.Path(name) / "_slowdawn").write_text(script)
            said = subprocess.run(
                ["zsh", "-f", "-c", f"fpath=({shlex.quote(name)} $fpath); autoload -U compinit; "
                 "compinit -u -D; print $_comps[slowdawn]"], check=True, capture_output=True,
                text=True).stdout
            self.assertEqual(said, "_slowdawn\n")

    def test_tab_completes_commands_options_words_and_files(self):
        check_tab(self, "zsh")

    def test_several_answers_are_listed_with_what_they_are(self):
        with shell_in_folder("zsh") as shell:
            shell.terminal.send("slowdawn checkin \t\t")
            shell.terminal.wait_for(
                lambda: re.search(rb"elephant ear +-- group", shell.terminal.text))

    def test_odd_names_come_out_as_text_within_every_quote(self):
        check_odd_names(self, "zsh", ["", '"', "'"])


class Fish(unittest.TestCase):
    def test_tab_completes_commands_options_words_and_files(self):
        check_tab(self, "fish")

    def test_odd_names_come_out_as_text(self):
        check_odd_names(self, "fish", [""])

    def test_answers_have_what_they_are(self):
        with Folder() as folder:
            (folder.work / "reef.tank.json").write_text(REEF.read_text())
            said = subprocess.run(
                ["fish", "--no-config", "-c",
                 "slowdawn completion fish | source; complete -C 'slowdawn checkin '"],
                cwd=folder.work, env=folder.environment, check=True, capture_output=True, text=True)
            self.assertIn("elephant ear\tgroup\n", said.stdout)
            self.assertEqual(said.stderr, "")


def check_tab(test, kind):
    cases = [
        ("slowdawn surv", ["survey"]),
        ("slowdawn plan --pa", ["plan", "--pace"]),
        ("slowdawn plan --pace ge", ["plan", "--pace", "gentle"]),
        ("slowdawn checkin --colour -1 sta", ["checkin", "--colour", "-1", "staghorn thicket"]),
        ('slowdawn checkin "staghorn th', ["checkin", "staghorn thicket"]),
        ("slowdawn checkin 'sta", ["checkin", "staghorn thicket"]),
        ("slowdawn checkin staghorn\\ th", ["checkin", "staghorn thicket"]),
        ("slowdawn moved torch wes", ["moved", "torch", "west shoulder"]),
        ("slowdawn dialed fro", ["dialed", "front bar"]),
        ("slowdawn profiles acr", ["profiles", "acropora"]),
        ("slowdawn plan re", ["plan", "reef.tank.json"]),
        ("slowdawn plan tanks/on", ["plan", "tanks/one tank.tank.json"]),
        ("slowdawn plan ~/bac", ["plan", "HOME/backup.tank.json"]),
        ("slowdawn plan odd", ["plan", "odd; $(touch ran)'s.tank.json"]),
        ("slowdawn dose sen", ["dose", "sensor.csv"]),
        ("slowdawn plan --profiles prof", ["plan", "--profiles", "profiles of mine/"]),
        ("slowdawn completion z", ["completion", "zsh"]),
        ("slowdawn nonsense s", ["nonsense", "s"]),
        ("slowdawn plan --start 2", ["plan", "--start", "2"]),
    ]
    with shell_in_folder(kind) as shell:
        work = shell.folder.work
        (work / "tanks").mkdir()
        (work / "profiles of mine").mkdir()
        (work / "sensor.csv").write_text("time,ppfd\n")
        for name in ("tanks/one tank.tank.json", "odd; $(touch ran)'s.tank.json"):
            (work / name).write_text(REEF.read_text())
        (shell.folder.path / "backup.tank.json").write_text(REEF.read_text())
        shell.set("SLOWDAWN_TANK", "reef.tank.json")
        for line, expected in cases:
            with test.subTest(line=line):
                found = [word.replace(str(shell.folder.path), "HOME")
                         for word in shell.words_after_tab(line)]
                if kind != "bash":
                    # They leave the slash of a folder to be typed or taken away.
                    found = [w + "/" if w == "profiles of mine" else w for w in found]
                test.assertEqual(found, ["slowdawn", *expected])
        test.assertEqual(list(shell.folder.path.rglob("ran")), [], "a name was executed")


def check_odd_names(test, kind, quotes):
    with shell_in_folder(kind) as shell:
        # fish makes a home of a name that begins with a tilde, whatever is done.
        names = [n for n in ODD_NAMES if kind != "fish" or not n.startswith("~")]
        for number, name in enumerate(names):
            tank = shell.folder.work / f"{number}.json"
            tank.write_text(tank_with_groups([name, *UNTYPABLE]))
            shell.set("SLOWDAWN_TANK", tank.name)
            for quote in quotes:
                with test.subTest(shell=kind, name=name, quote=quote):
                    test.assertEqual(shell.words_after_tab(f"slowdawn checkin {quote}"),
                                     ["slowdawn", "checkin", name])
        # All of them at once, listed.
        (shell.folder.work / "all.json").write_text(tank_with_groups(ODD_NAMES + UNTYPABLE))
        shell.set("SLOWDAWN_TANK", "all.json")
        before = len(shell.terminal.text)
        shell.terminal.send("slowdawn checkin \t\t")
        shell.terminal.wait_for(lambda: b"brien" in shell.terminal.text[before:])
        listed = shell.terminal.text[before:]
        for part in ("\x1b[2Jx", "x\x07", "\u202e", "\u200f", "x\u0085", "-dash", "reef.json"):
            test.assertNotIn(part.encode(), listed)
        shell.terminal.send(shell.CLEAR)
        test.assertEqual(list(shell.folder.path.rglob("ran")), [], "a name was executed")


class Manual(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.page = run("manual").stdout

    def rendered(self):
        result = subprocess.run(["groff", "-man", "-Tascii", "-P-cbou", "-rLL=200n"],
                                input=self.page, capture_output=True, text=True, check=True)
        return result.stdout

    def test_groff_and_man_have_nothing_to_say(self):
        result = subprocess.run(["groff", "-man", "-ww", "-z"], input=self.page, text=True,
                                capture_output=True, check=True)
        self.assertEqual(result.stderr, "")
        with tempfile.TemporaryDirectory() as name:
            file = pathlib.Path(name) / "slowdawn.1"
            self.assertIn("Written", run("manual", "-o", file).stdout)
            self.assertEqual(file.read_text(), self.page)
            result = subprocess.run(["man", "--warnings=all", "-E", "UTF-8", "-l", str(file)],
                                    env=clean_environment(MANPAGER="cat", MANWIDTH="80"), text=True,
                                    capture_output=True, check=True)
        self.assertEqual(result.stderr, "")
        self.assertIn("SLOWDAWN(1)", result.stdout)

    def test_it_has_every_section_command_option_and_example(self):
        text = self.rendered()
        sections = re.findall(r"^[A-Z][A-Z ]+$", text, re.M)
        self.assertEqual(sections, ["NAME", "SYNOPSIS", "DESCRIPTION", "COMMANDS", "ENVIRONMENT",
                                    "FILES", "EXIT STATUS", "EXAMPLES", "CAUTIONS"])
        parts = re.split(r"^   slowdawn (\w+)$", text.split("\nENVIRONMENT\n")[0], flags=re.M)
        by_command = dict(zip(parts[1::2], parts[2::2]))
        self.assertEqual(list(by_command), command_names())
        squeezed = " ".join(text.split())
        for command, part in by_command.items():
            for option in complete(command, "--"):
                self.assertRegex(part, rf"(?m)^ +(-\w, )?{option}( |$)")
            self.assertIn(f"slowdawn {command} [OPTIONS]", part)
            line = re.search(r"^Example: (.*)$", run(command, "--help").stdout, re.M).group(1)
            self.assertIn(" ".join(line.split()), squeezed)
        for word in ("SLOWDAWN_TANK", "NO_COLOR", "NAME.logbook", "drip loop", "not proven"):
            self.assertIn(word, text)

    def test_it_is_the_same_on_every_run_and_names_no_day(self):
        self.assertEqual(run("manual", TZ="Pacific/Kiritimati").stdout, self.page)
        self.assertRegex(self.page, r'(?m)^\.TH SLOWDAWN 1 "" "slowdawn \d+\.\d+\.\d+"')


class Examples(unittest.TestCase):
    """Every --help has an example: what to type, and what comes back."""

    def examples(self):
        for command in command_names():
            text = run(command, "--help").stdout
            found = re.search(r"^Example: (slowdawn .*)\n((?:  .*\n)*)", text, re.M)
            self.assertIsNotNone(found, f"{command} --help has no example")
            shown = [line[2:] for line in found.group(2).splitlines()]
            yield command, text, found.group(1), shown

    def test_each_command_line_works_and_gives_what_is_shown(self):
        for command, _, line, shown in self.examples():
            with self.subTest(command=command), Folder() as folder:
                self.assertTrue(line.startswith(f"slowdawn {command}"))
                self.prepare(folder.work, command)
                result = subprocess.run(["bash", "-c", line], cwd=folder.work, check=False,
                                        env=folder.environment, capture_output=True, text=True)
                self.assertEqual((result.returncode, result.stderr), (0, ""))
                self.assertTrue(shown, "nothing is shown of what comes back")
                self.assert_shown(shown, result.stdout)

    def prepare(self, folder, command):
        (folder / "reef.tank.json").write_text(REEF.read_text())
        (folder / "sensor.csv").write_text("time,ppfd\n2026-12-01 09:00,0\n"
                                           "2026-12-01 09:10,120\n2026-12-01 09:20,0\n")
        if command in ("checkin", "dialed", "moved", "gone", "undo", "history"):
            run("follow", "--start", "2026-10-01", cwd=folder)
        if command == "undo":
            run("moved", "torch", "west shoulder", "--date", "2026-10-12", cwd=folder)

    def assert_shown(self, shown, text):
        """The lines stand in the text, next to one another where no "..." is between."""
        pattern = "".join(r"(?:.*\n)*?" if line == "..." else re.escape(line) + r"\n"
                          for line in shown)
        self.assertRegex(text, rf"\A{pattern}\Z")

    def test_help_fits_80_columns_and_shows_2_to_8_lines(self):
        for command, text, _, shown in self.examples():
            for line in text.splitlines():
                self.assertLessEqual(len(line), 80, (command, line))
            self.assertTrue(1 <= len(shown) <= 8, command)


class Version(unittest.TestCase):
    def test_it_names_the_build_and_nothing_that_changes_from_build_to_build(self):
        first, second = run("--version").stdout.splitlines()
        self.assertRegex(first, r"\Aslowdawn \d+\.\d+\.\d+\Z")
        self.assertRegex(second, r"\A[\w+]+ build by (GNU|Clang) [\d.]+(, revision [0-9a-f]{12})?\Z")
        git = subprocess.run(["git", "rev-parse", "--short=12", "HEAD"], cwd=SOURCE, check=False,
                             capture_output=True, text=True)
        if git.returncode == 0 and (SOURCE / ".git").exists():
            self.assertIn(f", revision {git.stdout.strip()}", second)


class Progress(unittest.TestCase):
    """A line on the terminal while it takes over half a second, and gone afterwards."""

    @contextlib.contextmanager
    def logbook_of_another(self, folder, seconds):
        """A followed plan whose logbook another program holds for a while."""
        (folder / "reef.tank.json").write_text(REEF.read_text())
        run("follow", "--start", "2026-10-01", cwd=folder)
        other = sqlite3.connect(folder / "reef.logbook", isolation_level=None,
                                check_same_thread=False)
        other.execute("BEGIN IMMEDIATE")
        timer = threading.Timer(seconds, lambda: other.execute("ROLLBACK"))
        timer.start()
        try:
            yield
        finally:
            timer.join()
            other.close()

    WORDS = ("checkin", "--all", "--colour", "0", "--date", "2026-10-02")

    def test_it_appears_counts_and_is_erased_before_the_answer(self):
        with Folder() as folder, self.logbook_of_another(folder.work, 2.5):
            terminal = Terminal([PROGRAM, *self.WORDS], folder.work, folder.environment)
            self.assertEqual(terminal.read_to_end(), 0)
            text = terminal.text.decode()
            os.close(terminal.master)
        line = r"\rWaiting for the logbook \.\.\."
        self.assertRegex(text, rf"\A{line}(\r.*\.\.\. 1 s)(\r.*\.\.\. 2 s)+\r +\r")
        drawn = re.split(r"\r( +)\r", text)
        self.assertNotIn("...", drawn[-1])
        self.assertIn("Written", drawn[-1])
        for line, blank in zip(drawn[::2], drawn[1::2]):
            self.assertEqual(len(blank), len(line.split("\r")[-1]), "not the whole line was erased")

    def test_it_is_erased_before_an_error(self):
        with Folder() as folder, self.logbook_of_another(folder.work, 1.2):
            terminal = Terminal([PROGRAM, "moved", "nobody", "sand", "--date", "2026-10-02"],
                                folder.work, folder.environment)
            self.assertEqual(terminal.read_to_end(), 2)
            text = terminal.text.decode()
            os.close(terminal.master)
        self.assertRegex(text, r"\A\rWaiting[^\n]*\r +\r(\x1b\[[\d;]*m)*slowdawn: error: there is no group")

    def test_nothing_of_it_where_standard_error_is_no_terminal_or_a_dumb_one(self):
        with Folder() as folder, self.logbook_of_another(folder.work, 1.2):
            result = run(*self.WORDS, cwd=folder.work)
            self.assertEqual(result.stderr, "")
            self.assertNotIn("...", result.stdout)
        with Folder() as folder, self.logbook_of_another(folder.work, 1.2):
            terminal = Terminal([PROGRAM, *self.WORDS], folder.work,
                                {**folder.environment, "TERM": "dumb"})
            self.assertEqual(terminal.read_to_end(), 0)
            os.close(terminal.master)
            self.assertNotIn(b"Waiting", terminal.text)

    def test_standard_output_in_a_file_has_the_answer_alone(self):
        with Folder() as folder, self.logbook_of_another(folder.work, 1.2):
            with open(folder.path / "answer", "wb") as answer:
                terminal = Terminal([PROGRAM, *self.WORDS, "--json"], folder.work,
                                    folder.environment, stdout=answer)
                self.assertEqual(terminal.read_to_end(), 0)
                os.close(terminal.master)
            self.assertIn(b"Waiting", terminal.text)
            json.loads((folder.path / "answer").read_text())

    def test_a_quick_command_shows_nothing(self):
        with Folder() as folder:
            (folder.work / "reef.tank.json").write_text(REEF.read_text())
            began = time.monotonic()
            terminal = Terminal([PROGRAM, "today", "--date", "2026-12-24"], folder.work,
                                folder.environment)
            self.assertEqual(terminal.read_to_end(), 0)
            os.close(terminal.master)
            if time.monotonic() - began < 0.5:
                self.assertNotIn(b"...", terminal.text)

    def test_a_tank_that_takes_long_says_so(self):
        # A file that another program has leased and gives back late, since no file is slow on
        # every machine.
        def give_back_late(leased):
            time.sleep(1.2)
            fcntl.fcntl(leased, fcntl.F_SETLEASE, fcntl.F_UNLCK)
            leased.close()

        # Sent when somebody asks for it.
        before = signal.signal(signal.SIGIO, signal.SIG_IGN)
        self.addCleanup(signal.signal, signal.SIGIO, before)
        with Folder() as folder:
            tank = folder.work / "hall.tank.json"
            tank.write_text(REEF.read_text())
            for on_terminal in (True, False):
                leased = open(tank, "r+")
                fcntl.fcntl(leased, fcntl.F_SETLEASE, fcntl.F_WRLCK)
                writer = threading.Thread(target=give_back_late, args=(leased,), daemon=True)
                writer.start()
                if on_terminal:
                    terminal = Terminal([PROGRAM, "check"], folder.work, folder.environment)
                    self.assertEqual(terminal.read_to_end(), 0)
                    os.close(terminal.master)
                    self.assertRegex(terminal.text.decode(),
                                     r"\A\rReading the tank \.\.\..*\r +\rStairwell")
                else:
                    self.assertEqual(run("check", cwd=folder.work).stderr, "")
                writer.join()


if __name__ == "__main__":
    unittest.main()
