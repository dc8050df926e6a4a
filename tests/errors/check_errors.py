#!/usr/bin/python3
"""The gallery of errors: what the program says to each wrong file and command.

    check_errors.py PROGRAM [--update]

A case is a tank file of this folder, NAME.tank.json, which `check` must refuse, or
an entry of COMMANDS below. What the program must write to standard error stands in
NAME.expected; --update rewrites those files. Every case is also run with --json,
which must say the same. Exit code 1 if anything differs.
"""

import argparse
import difflib
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field

HERE = pathlib.Path(__file__).resolve().parent
GOOD = (HERE / "good" / "stairwell.tank.json").read_bytes()
WRONG, NO_ACCESS = 2, 3

PLACE = re.compile(r"^(?P<file>.+?):(?P<line>\d+):(?P<column>\d+): error: (?P<error>.+) "
                   r"\(at (?P<pointer>the top|/.*)\)$")
NO_PLACE = re.compile(r"^(?P<file>.+?)(:(?P<line>\d+):(?P<column>\d+))?: error: (?P<error>.+)$")
CRASH = ["terminate called", "what():", "Assertion", "Segmentation", "core dumped",
         "Sanitizer", "runtime error", "fault of the program itself", "nlohmann",
         "[json.exception", "std::"]


@dataclass
class Case:
    name: str
    arguments: list
    code: int = WRONG
    # Whether every message has a line, a column and a pointer.
    has_place: bool = True
    # What stands in the folder the program is run in; without it, this folder.
    files: dict = field(default_factory=dict)
    environment: dict = field(default_factory=dict)


def without(text, part, instead=b""):
    assert text.count(part) == 1, part
    return text.replace(part, instead)


def nested(levels):
    return b"[" * levels + b"]" * levels + b"\n"


def profile(name, leave_out=()):
    text = (HERE.parent.parent / "profiles" / "acropora.json").read_text(encoding="utf-8")
    made = {**json.loads(text), "name": name}
    made["basis"] = {key: value for key, value in made["basis"].items() if key not in leave_out}
    return json.dumps(made, indent=2).encode()


def with_zone(name):
    return without(GOOD, b'"name": "Stairwell reef"',
                   b'"name": "Stairwell reef", "zone": "%s"' % name)


def with_readings(csv):
    """The good tank with the second survey in a CSV file."""
    tank = without(GOOD, b'"ppfd": {"crest": 171, "sand": 42}', b'"ppfd_file": "bars.csv"')
    return {"reef.tank.json": tank, "bars.csv": csv}


def with_spectrum(csv):
    """The good tank with a spectrum of its bars in a CSV file."""
    tank = without(GOOD, b'"off": "19:00"}', b'"off": "19:00"}, "spectrum": "bars.csv"')
    return {"reef.tank.json": tank, "bars.csv": csv}


def spectrum(nanometres, power=lambda nm: 1):
    return b"wavelength_nm,power\n" + b"".join(b"%d,%g\n" % (nm, power(nm)) for nm in nanometres)


TANK = {"reef.tank.json": GOOD}


def with_history(change):
    """The good tank and a history of it in which something was changed."""
    profiles = HERE.parent.parent / "profiles"
    kept = {name: (profiles / f"{name}.json").read_text(encoding="utf-8")
            for name in ("acropora", "corallimorph")}
    follow = {"tank_text": GOOD.decode(), "profile_texts": kept, "start": "2026-12-01",
              "every_days": 1, "pace": "standard"}
    look = {"group": "staghorn thicket", "extension": "usual", "mucus": False, "tissue": "whole"}
    dialed = {"dials": {"bars": 30}, "until": "2026-12-04"}
    days = [{"date": "2026-12-0%d" % day, "dials": {"bars": 20}, "at": 0} for day in (1, 2)]
    entries = []
    for kind, date, body, record in (
            ("follow", "2026-12-01", follow, []), ("checkin", "2026-12-01", look, []),
            ("dialed", "2026-12-03", dialed, days),
            ("moved", "2026-12-03", {"group": "elephant ear", "spot": "crest"}, [])):
        entries.append({"seq": len(entries) + 1, "date": date, "kind": kind, "made": date,
                        "body": body, "plan": [{"date": date, "dials": {"bars": 20}}],
                        "record": record})
    history = {"format": "slowdawn-history/1", "entries": entries}
    change(entries)
    return {**TANK, "history.json": json.dumps(history, indent=1, ensure_ascii=False).encode()}


def history(name, change, **more):
    return Case("history_file_" + name, ["history", "reef.tank.json", "--import", "history.json"],
                files=with_history(change), **more)


def usage(name, *arguments, **more):
    """A case of the command line: it has no place in a file."""
    return Case(name, list(arguments), has_place=False, **{"files": TANK, **more})


COMMANDS = [
    # A tank file that is to be made.
    Case("new_without_what_it_needs", ["new"], has_place=False),
    Case("new_of_an_unknown_example", ["new", "--example", "stairwel-reef"], has_place=False),
    Case("new_over_a_file_that_is_there",
         ["new", "--example", "frag-rack", "-o", "reef.tank.json"], has_place=False, files=TANK),
    Case("new_from_a_faulty_table", ["new", "--readings", "readings.csv"], has_place=False,
         files={"readings.csv": b"spot,before,after,group,profile\n"
                                b"crest,212 2o8,9000,,torch\nsand,74,42,disc,mushrom\n"}),
    # Files that are no text of a tank.
    Case("nested_too_deep", ["check", "deep.tank.json"], files={"deep.tank.json": nested(65)}),
    Case("nested_deep_enough_to_crash", ["check", "deep.tank.json"],
         files={"deep.tank.json": nested(200000)}),
    Case("not_utf_8", ["check", "reef.tank.json"],
         files={"reef.tank.json": without(GOOD, b"Stairwell reef", b"Stairwell \xe9tang")}),
    Case("utf_16", ["check", "reef.tank.json"],
         files={"reef.tank.json": GOOD.decode().encode("utf-16")}),
    Case("null_byte", ["check", "reef.tank.json"],
         files={"reef.tank.json": without(GOOD, b"Stairwell reef", b"Stairwell\0reef")}),
    Case("trailing_garbage", ["check", "reef.tank.json"], files={"reef.tank.json": GOOD + b"}\n"}),
    Case("windows_line_ends", ["check", "reef.tank.json"],
         files={"reef.tank.json": without(GOOD, b"acropora", b"acropra").replace(b"\n", b"\r\n")}),
    Case("byte_order_mark", ["check", "reef.tank.json"],
         files={"reef.tank.json": b"\xef\xbb\xbf" + without(GOOD, b"acropora", b"acropra")}),
    Case("key_that_steers_the_terminal", ["check", "reef.tank.json"],
         files={"reef.tank.json": without(GOOD, b'"depth_cm": 15', rb'"\u001b[2J\n/~": 15')}),
    # A zone database of its own, since not every machine has one.
    Case("zone_misspelt", ["check", "reef.tank.json"], environment={"TZDIR": "zones"},
         files={"reef.tank.json": with_zone(b"Europe/Berlim"), "zones/Europe/Berlin": b"TZif2"}),
    Case("zone_in_hours", ["check", "reef.tank.json"], environment={"TZDIR": "zones"},
         files={"reef.tank.json": with_zone(b"UTC+2"), "zones/Europe/Berlin": b"TZif2"}),
    Case("zone_where_there_is_no_database", ["check", "reef.tank.json"],
         environment={"TZDIR": "zones"}, files={"reef.tank.json": with_zone(b"Europe/Berlin")}),
    # Readings in a file of their own; what is wrong there has no JSON pointer.
    Case("csv_with_an_unknown_spot", ["check", "reef.tank.json"], has_place=False,
         files=with_readings(b"spot,ppfd\ncrest,171\nsnad,42\n")),
    Case("csv_with_a_unit_in_a_number", ["check", "reef.tank.json"], has_place=False,
         files=with_readings(b"spot,ppfd\ncrest,171\nsand,42 umol\n")),
    Case("csv_without_a_spot_column", ["check", "reef.tank.json"], has_place=False,
         files=with_readings(b"sopt,ppfd\ncrest,171\nsand,42\n")),
    Case("csv_with_a_cell_too_many", ["check", "reef.tank.json"], has_place=False,
         files=with_readings(b"spot,ppfd\ncrest,171,5\nsand,42\n")),
    Case("csv_that_is_not_there", ["check", "reef.tank.json"], NO_ACCESS,
         files={"reef.tank.json": with_readings(b"")["reef.tank.json"]}),
    # Spectra, likewise.
    Case("spectrum_without_a_power_column", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(b"wavelength_nm,pwoer\n400,1\n700,1\n")),
    Case("spectrum_whose_wavelengths_fall", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(spectrum([*range(400, 560, 5), 550, *range(560, 705, 5)]))),
    Case("spectrum_with_a_gap", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(spectrum([*range(400, 450, 5), *range(470, 705, 5)]))),
    Case("spectrum_that_ends_in_the_middle", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(spectrum(range(380, 605, 5)))),
    Case("spectrum_that_begins_too_late", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(spectrum(range(420, 705, 5)))),
    Case("spectrum_with_less_than_nothing", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(spectrum(range(400, 705, 5), lambda nm: -0.02 if nm == 690 else 1))),
    Case("spectrum_in_micrometres", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(b"wavelength_nm,power\n0.4,1\n0.7,1\n")),
    Case("spectrum_of_darkness", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(spectrum(range(400, 705, 5), lambda nm: 0))),
    Case("spectrum_without_a_row", ["check", "reef.tank.json"], has_place=False,
         files=with_spectrum(b"wavelength_nm,power\n")),
    Case("spectrum_that_is_not_there", ["check", "reef.tank.json"], NO_ACCESS,
         files={"reef.tank.json": with_spectrum(b"")["reef.tank.json"]}),
    Case("meter_blind_to_its_own_light", ["check", "reef.tank.json"],
         files={"reef.tank.json": without(
             GOOD, b'"lights": [', b'"meter": {"response": "meter.csv", "calibrated_under": '
                                   b'"lamp.csv"},\n  "lights": ['),
                "meter.csv": spectrum(range(400, 705, 5), lambda nm: nm < 500).replace(
                    b"power", b"response"),
                "lamp.csv": spectrum(range(400, 705, 5), lambda nm: nm > 600)}),
    Case("log_with_a_gap", ["dose", "log.csv"], has_place=False,
         files={"log.csv": b"time,ppfd\n2026-12-01 09:00,0\n2026-12-01 10:30,90\n"}),
    Case("log_that_goes_back", ["dose", "log.csv"], has_place=False,
         files={"log.csv": b"time,ppfd\n2026-10-25 02:50,0\n2026-10-25 02:10,0\n"}),
    # A history that is imported.
    history("without_the_record", lambda e: [entry.pop("record") for entry in e]),
    history("with_an_unknown_key", lambda e: e[1]["body"].update(colour_stesp=-2)),
    history("with_an_unknown_key_beside_it", lambda e: e[1].update(mood="calm")),
    Case("history_file_with_a_key_twice",
         ["history", "reef.tank.json", "--import", "history.json"],
         files={name: text.replace(b'"seq": 2,', b'"seq": 2,\n   "seq": 2,')
                for name, text in with_history(lambda e: None).items()}),
    history("with_a_day_that_does_not_exist", lambda e: e[1].update(date="2026-02-30")),
    history("with_a_body_on_no_day", lambda e: e[2]["body"].update(until="2026-02-30")),
    history("that_was_made_backwards", lambda e: e[2].update(made="2026-11-30", record=[])),
    history("that_speaks_of_the_future", lambda e: e[1].update(date="2026-12-02")),
    history("with_an_entry_missing", lambda e: e.pop(1)),
    history("that_follows_nothing", lambda e: (e.pop(0), [
        entry.update(seq=i + 1) for i, entry in enumerate(e)])),
    history("with_a_group_misspelt", lambda e: e[1]["body"].update(group="staghorn thikcet")),
    history("with_an_unknown_spot", lambda e: e[3]["body"].update(spot="snad")),
    history("with_a_spot_that_was_not_read", lambda e: e[0]["body"].update(
        tank_text=without(GOOD, b'{"name": "sand", "depth_cm": 50}',
                          b'{"name": "sand", "depth_cm": 50}, {"name": "cave"}').decode())
            or e[3]["body"].update(spot="cave")),
    history("with_a_light_misspelt", lambda e: e[2]["body"]["dials"].update(bras=30)),
    history("with_a_light_that_was_not_read", lambda e: e[0]["body"].update(
        tank_text=without(GOOD, b'{"name": "bars",', b'{"name": "lamp", "photoperiod": {"on": '
                          b'"10:00", "off": "12:00"}},\n    {"name": "bars",').decode())
            or e[2]["body"]["dials"].update(lamp=30)),
    history("with_fv_fm_of_0_95", lambda e: e[1]["body"].update(fv_fm=0.95)),
    history("with_a_record_that_falls", lambda e: e[2]["record"].reverse()),
    history("with_a_day_twice_in_its_record", lambda e: e[3].update(record=e[2]["record"])),
    history("with_an_undo_of_what_comes", lambda e: e[3].update(kind="undo", body={"seq": 9})),
    history("with_a_tank_that_is_none", lambda e: e[0]["body"].update(tank_text="{}")),
    # Places that cannot be read.
    Case("no_such_file", ["check", "reef.tank.json"], NO_ACCESS, False),
    Case("folder_for_a_file", ["check", "good"], NO_ACCESS, False),
    Case("device_for_a_file", ["check", "/dev/zero"], NO_ACCESS, False),
    Case("path_through_a_file", ["check", "good/stairwell.tank.json/reef.tank.json"], NO_ACCESS,
         False),
    Case("no_such_file_in_the_environment", ["check"], NO_ACCESS, False,
         environment={"SLOWDAWN_TANK": "elsewhere.tank.json"}),
    Case("file_too_large", ["check", "reef.tank.json"], NO_ACCESS, False,
         files={"reef.tank.json": GOOD + b" " * 16_000_000}),
    Case("no_such_profiles_folder", ["check", "reef.tank.json", "--profiles", "gone"], NO_ACCESS,
         False, TANK),
    Case("profiles_folder_without_profiles", ["check", "reef.tank.json", "--profiles", "own"],
         NO_ACCESS, False, {**TANK, "own/readme.txt": b""}),
    # Profile files.
    Case("profile_named_otherwise", ["check", "reef.tank.json", "--profiles", "own"],
         files={**TANK, "own/acropora.json": profile("staghorn")}),
    Case("profile_without_a_basis", ["check", "reef.tank.json", "--profiles", "own"],
         files={**TANK, "own/acropora.json": profile("acropora", leave_out=["carryover"])}),
    # The command line.
    usage("unknown_command", "chekc", "reef.tank.json"),
    usage("unknown_command_far_from_any", "bleach"),
    usage("unknown_option", "plan", "reef.tank.json", "--pase", "gentle"),
    usage("unknown_option_with_a_value", "plan", "reef.tank.json", "--strat=2026-12-01"),
    usage("unknown_option_before_the_command", "--plian", "check", "reef.tank.json"),
    usage("unknown_option_far_from_any", "check", "reef.tank.json", "--moonlight"),
    usage("option_without_its_value", "plan", "reef.tank.json", "--pace"),
    usage("one_word_too_many", "check", "reef.tank.json", "frags.tank.json"),
    usage("two_words_too_many_for_why", "why", "staghorn thicket", "sand", "reef.tank.json"),
    usage("pace_misspelt_as_an_option", "plan", "reef.tank.json", "--pace", "standart"),
    usage("every_40_days", "plan", "reef.tank.json", "--every", "40"),
    usage("every_week_in_words", "plan", "reef.tank.json", "--every", "weekly"),
    usage("every_day_and_a_half_as_an_option", "plan", "reef.tank.json", "--every", "1.5"),
    usage("seed_in_words", "risk", "reef.tank.json", "--seed", "lucky"),
    usage("seed_under_0", "risk", "reef.tank.json", "--seed", "-1"),
    usage("start_on_no_day", "plan", "reef.tank.json", "--start", "2026-02-30"),
    usage("date_in_words", "today", "reef.tank.json", "--date", "tomorrow"),
    usage("date_outside_the_plan", "why", "reef.tank.json", "--date", "2020-01-01"),
    usage("group_misspelt", "why", "staghorn thikcet", "reef.tank.json", "--date", "2026-12-01"),
    usage("profile_misspelt_as_a_word", "profiles", "acropra"),
    usage("two_tanks_in_the_folder", "check",
          files={"frags.tank.json": GOOD, "reef.tank.json": GOOD}),
    usage("no_tank_in_the_folder", "check", files={"notes.txt": b""}),
    usage("calendar_over_a_file_of_something_else", "calendar", "reef.tank.json", "-o", "plan.ics",
          files={**TANK, "plan.ics": b"BEGIN:VCALENDAR\r\nPRODID:-//Harbour//Tides//EN\r\n"}),
    usage("calendar_that_was_edited", "calendar", "reef.tank.json", "-o", "plan.ics",
          files={**TANK, "plan.ics": b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"
                                     b"PRODID:-//slowdawn//calendar 1//EN\r\nMETHOD:PUBLISH\r\n"}),
    usage("report_over_a_tank_file", "report", "reef.tank.json", "-o", "reef.tank.json"),
    usage("report_over_a_logbook", "report", "reef.tank.json", "-o", "reef.old",
          files={**TANK, "reef.old": b"SQLite format 3\0" + bytes(100)}),
    usage("report_over_a_letter", "report", "reef.tank.json", "-o", "letter.txt",
          files={**TANK, "letter.txt": b"Dear aquarist,\n"}),
    usage("sheet_over_a_calendar", "sheet", "reef.tank.json", "-o", "plan.ics",
          files={**TANK, "plan.ics": b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"
                                     b"PRODID:-//slowdawn//calendar 1//EN\r\n"}),
    usage("new_with_force_over_a_letter", "new", "--example", "frag-rack", "--force", "-o",
          "letter.txt", files={"letter.txt": b"Dear aquarist,\n"}),
    usage("new_with_force_over_readings", "new", "--example", "quarantine-moves", "--force",
          files={"bars-at-60.csv": b"spot,ppfd\nmine,1\n"}),
    usage("today_set_to_no_date", "plan", "reef.tank.json",
          environment={"SLOWDAWN_TODAY": "tomorrow"}),
    usage("immersion_factor_that_is_no_number", "dose", "log.csv", "--immersion-factor", "nan",
          files={"log.csv": b"time,ppfd\n2026-12-01 09:00,0\n2026-12-01 09:30,90\n"}),
    usage("remind_at_25_00", "calendar", "reef.tank.json", "--remind", "25:00"),
    usage("origin_without_a_latitude", "origin", "--depth", "3"),
    usage("origin_off_the_globe", "origin", "--latitude", "95", "--depth", "3"),
    usage("origin_in_a_polar_night", "origin", "--latitude", "-75", "--date", "2026-06-21",
          "--depth", "3"),
    usage("origin_in_unknown_water", "origin", "--latitude", "-20", "--depth", "3", "--water", "1A"),
    usage("origin_in_percent_of_cloud", "origin", "--latitude", "-20", "--depth", "3", "--cloud",
          "30"),
    usage("origin_until_before_its_date", "origin", "--latitude", "-20", "--depth", "3", "--date",
          "2026-09-03", "--until", "2026-08-03"),
    usage("origin_with_two_waters", "origin", "--latitude", "-20", "--depth", "3", "--water", "II",
          "--kd", "0.1"),
    Case("output_into_no_folder", ["calendar", "reef.tank.json", "-o", "gone/plan.ics"], NO_ACCESS,
         False, TANK),
    usage("no_start", "plan", "reef.tank.json", "--every", "2",
          files={"reef.tank.json": without(GOOD, b', "start": "2026-12-01"')}),
]
# What these say depends on the day they are run.
DATED = {"no_start": re.compile(r"\d{4}-\d\d-\d\d")}


def find_cases():
    suffix = ".tank.json"
    files = [path.name for path in sorted(HERE.glob("*" + suffix))]
    cases = [Case(name[:-len(suffix)], ["check", name]) for name in files] + list(COMMANDS)
    if os.geteuid() != 0:  # who may read everything cannot see this one
        cases.append(Case("file_not_to_be_read", ["check", "locked.tank.json"], NO_ACCESS, False,
                          {"locked.tank.json": GOOD}))
    return cases


def run(program, case, as_json=False):
    """The case's exit code, standard output and standard error."""
    arguments = list(case.arguments)
    if as_json:  # right after the command, so that it is no other option's value
        command = next(i for i, word in enumerate(arguments) if not word.startswith("-"))
        arguments.insert(command + 1, "--json")
    environment = {key: value for key, value in os.environ.items() if key not in ("SLOWDAWN_TANK", "SLOWDAWN_TODAY")}
    environment.update(LC_ALL="C.UTF-8", **case.environment)
    with tempfile.TemporaryDirectory() as folder:
        for name, content in case.files.items():
            path = pathlib.Path(folder, name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
            if name.startswith("locked"):
                path.chmod(0)
        done = subprocess.run([program, *arguments], capture_output=True, timeout=60,
                              cwd=folder if case.files else HERE, env=environment,
                              stdin=subprocess.DEVNULL)
    error = done.stderr.decode(errors="backslashreplace")
    if case.name in DATED:
        error = DATED[case.name].sub("YYYY-MM-DD", error)
    return done.returncode, done.stdout.decode(errors="backslashreplace"), error


def read_messages(case, text):
    """The messages of a text, each with the fields of the JSON form."""
    lines = text.split("\n")
    if lines.pop() != "":
        raise ValueError("the last line does not end")
    messages = []
    while lines:
        line = lines.pop(0)
        match = (PLACE if case.has_place else NO_PLACE).match(line)
        if not match:
            raise ValueError("no FILE:LINE:COL: error: WHAT (at POINTER): " + line
                             if case.has_place else "no FILE: error: WHAT: " + line)
        message = {"line": 0, "column": 0, "pointer": ""}
        message.update({key: value for key, value in match.groupdict().items() if value})
        if message["pointer"] == "the top":
            message["pointer"] = ""
        message["line"], message["column"] = int(message["line"]), int(message["column"])
        if not lines or not lines[0].startswith("hint: ") or len(lines[0]) < 12:
            raise ValueError("no hint after: " + line)
        message["hint"] = lines.pop(0)[len("hint: "):]
        messages.append(message)
    if not messages:
        raise ValueError("no message")
    return messages


def to_safe(value):
    """A text of the JSON form as the text form shows it."""
    if not isinstance(value, str):
        return value
    return re.sub(r"[\x00-\x1f\x7f-\x9f]", lambda c: "<U+%04X>" % ord(c.group()), value)


def check_forms(case, code, out, error, json_run):
    """What is wrong with an answer, whatever its words are."""
    json_code, json_out, json_error = json_run
    problems = []
    if code != case.code or json_code != case.code:
        problems.append("exit code %d, with --json %d, expected %d" % (code, json_code, case.code))
    if out or json_out:
        problems.append("something stands on standard output: " + (out or json_out)[:200])
    problems += ["crash text: " + text for text in CRASH if text in error + json_error]
    try:
        messages = read_messages(case, error)
        answer = json.loads(json_error)
        told = [{key: to_safe(value) for key, value in one.items()} for one in answer["errors"]]
        if list(answer) != ["errors"] or told != messages:
            problems.append("--json says something else: " + json_error)
        places = [(one["line"], one["column"]) for one in messages]
        if places != sorted(places):
            problems.append("the messages are not in the order of the file")
        if len(messages) > 20:
            problems.append("over 20 messages")
        if len({(m["pointer"], m["error"]) for m in messages}) != len(messages):
            problems.append("one message stands twice")
    except (ValueError, KeyError) as problem:
        problems.append(str(problem))
    return problems


def check_case(program, case, update):
    code, out, error = run(program, case)
    problems = check_forms(case, code, out, error, run(program, case, as_json=True))
    expected = HERE / (case.name + ".expected")
    if update:
        expected.write_text(error, encoding="utf-8")
    wanted = expected.read_text(encoding="utf-8") if expected.exists() else ""
    problems += difflib.unified_diff(wanted.splitlines(), error.splitlines(), expected.name,
                                     "standard error", lineterm="")
    return problems


def main():
    parser = argparse.ArgumentParser(description="Check what the program says to wrong input.")
    parser.add_argument("program")
    parser.add_argument("--update", action="store_true", help="rewrite the .expected files")
    options = parser.parse_args()
    program = os.path.abspath(options.program)

    cases = find_cases()
    names = [case.name for case in cases]
    failed = {name: ["two cases have this name"] for name in names if names.count(name) > 1}
    for path in HERE.glob("*.expected"):
        if path.stem not in names and path.stem != "file_not_to_be_read":
            failed[path.name] = ["no case has this name"]
    if run(program, Case("good", ["check", "good/stairwell.tank.json"]))[0] != 0:
        failed["good/stairwell.tank.json"] = ["is refused, so the cases show nothing"]
    for case in cases:
        problems = check_case(program, case, options.update)
        if problems:
            failed.setdefault(case.name, []).extend(problems)
    for name, problems in failed.items():
        print("%s:" % name, *problems, sep="\n  ")
    print("%d cases, %d of them not as expected" % (len(cases), len(failed)))
    sys.exit(1 if failed or not cases else 0)


if __name__ == "__main__":
    main()
