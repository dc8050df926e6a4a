#!/usr/bin/env python3
"""`slowdawn calendar`: what it writes is held against RFC 5545 by a linter, read back through two
libraries, and written anew after the plan has changed.

check_calendar.py PROGRAM SOURCE_FOLDER ICAL_READER [-k WORD]
"""
import collections
import datetime
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import time
import unittest
import uuid

import icalendar

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
from calendar_linter import fold, lint  # noqa: E402

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
READER = str(pathlib.Path(sys.argv.pop(1)).resolve())
STORY = HERE / "story.tank.json"
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
EXAMPLES = sorted(SOURCE.glob("examples/*/*.tank.json"))
NAME_SPACE = uuid.UUID("a1045ed2-b5ec-4f2b-b61b-ab82d91c022c")
# It is about noon in these tests, so that no midnight comes between two commands.
os.environ["TZ"] = f"NOON{time.gmtime().tm_hour - 12:+d}"
time.tzset()
TODAY = datetime.date.today()
SAFE = re.compile("[\x00-\x1f\x7f-\x9f\xad\u034f\u0600-\u0605\u061c\u06dd\u070f\u0890\u0891\u08e2"
                  "\u115f\u1160\u17b4\u17b5\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0\ufff9-\ufffb"
                  "\U000110bd\U000110cd\U00013430-\U0001343f"
                  "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e007f]")


def day(number):
    return (TODAY + datetime.timedelta(days=number)).isoformat()


def to_safe(text):
    return SAFE.sub(lambda c: f"<U+{ord(c.group()):04X}>", text)


def uid_of(tank, kind, date):
    """RFC 4122, section 4.3, as python has it."""
    return str(uuid.uuid5(NAME_SPACE, f"{kind}\n{date}\n{tank}"))


class Folder:
    """A folder with one tank file."""

    def __init__(self, test, tank=STORY, **ramp):
        holder = tempfile.TemporaryDirectory()
        test.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        self.tank = self.path / "story.tank.json"
        self.logbook = self.path / "story.logbook"
        self.file = self.path / "plan.ics"
        self.source = pathlib.Path(tank).parent if not isinstance(tank, dict) else None
        self.content = tank if isinstance(tank, dict) else json.loads(tank.read_text())
        for table in self.source.glob("*.csv") if self.source else []:
            (self.path / table.name).write_bytes(table.read_bytes())
        self.write(**ramp)

    def write(self, **ramp):
        self.content["ramp"].update(ramp)
        self.tank.write_text(json.dumps(self.content))

    def run(self, *words, expect=0, zone=None, today=None):
        """today: the day on which it is given, as a date; the clock's where there is none."""
        clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
        if today:
            clean["SLOWDAWN_TODAY"] = today
        if zone:
            clean["TZ"] = zone
        result = subprocess.run([PROGRAM, *map(str, words)], cwd=self.path, env=clean,
                                stdin=subprocess.DEVNULL, capture_output=True, check=False)
        assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
        return result

    def json(self, *words):
        return json.loads(self.run(*words, "--json").stdout)

    def calendar(self, *words, **keys):
        """The bytes of plan.ics, written anew."""
        self.run("calendar", "-o", self.file.name, *words, **keys)
        return self.file.read_bytes()


Event = collections.namedtuple(
    "Event", "date end stamp sequence is_cancelled summary description alarms")


def by_icalendar(data):
    """Events by UID, read by python's icalendar."""
    events = {}
    for one in icalendar.Calendar.from_ical(data).walk("VEVENT"):
        alarms = [(str(alarm["ACTION"]), int(alarm["TRIGGER"].dt.total_seconds()),
                   str(alarm["DESCRIPTION"])) for alarm in one.walk("VALARM")]
        assert str(one["UID"]) not in events, one["UID"]
        events[str(one["UID"])] = Event(
            one["DTSTART"].dt.isoformat(), one["DTEND"].dt.isoformat(),
            one["DTSTAMP"].to_ical().decode(), int(one["SEQUENCE"]),
            str(one["STATUS"]) == "CANCELLED", str(one["SUMMARY"]), str(one["DESCRIPTION"]), alarms)
    return events


def by_libical(data):
    """The same, read by libical."""
    result = subprocess.run([READER], input=data, capture_output=True, check=True)
    read = json.loads(result.stdout)
    assert read["errors"] == 0 and read["keeps_restrictions"], read
    assert len({one["uid"] for one in read["events"]}) == len(read["events"])
    return {one["uid"]: Event(
        one["start"], one["end"], one["stamp"], one["sequence"], one["is_cancelled"],
        one["summary"], one["description"],
        [("DISPLAY" if alarm["is_display"] else "", alarm["seconds"], alarm["description"])
         for alarm in one["alarms"]]) for one in read["events"]}


def without_texts(events):
    return {uid: event._replace(summary="", description="",
                                alarms=[alarm[:2] for alarm in event.alarms])
            for uid, event in events.items()}


def number(value):
    text = f"{value:.2f}"
    return text.rstrip("0").rstrip(".")


def dial_words(one):
    """"bars 34 %, blues 20 %", or "colours 58 %: royal 58, red 5; white 30 %"."""
    mixed = one.get("channels", {})
    words = []
    for light, dial in one["dials"].items():
        channels = ", ".join(f"{to_safe(name)} {number(value)}"
                             for name, value in mixed.get(light, {}).items())
        words.append(f"{to_safe(light)} {number(dial)} %"
                     + (f": {channels}" if channels and dial else ""))
    return ("; " if mixed else ", ").join(words)


def expected_events(folder, reminder=None, *options):
    """What a plan that is not followed says, by UID: date, summary, seconds of the alarm."""
    plan = folder.json("plan", *options)
    tank, expected = plan["tank"], {}
    before = folder.content["ramp"]["from"]
    moves = {move["date"] for move in plan.get("moves", [])}
    for count, one in enumerate(plan["days"]):
        alarm = reminder if one["date"] >= TODAY.isoformat() else None
        is_turned = one["dials"] != before
        if count == 0 or is_turned or one["date"] in moves:
            words = dial_words(one)
            done = ", ".join(folder.json("today", "--date", one["date"], *options)["moves"])
            both = [words, done] if is_turned else [done, words]
            summary = "; ".join(text for text in both if text) + f" ({to_safe(tank)})"
            expected[uid_of(tank, "step", one["date"])] = (one["date"], summary, alarm)
        if count % 7 == 0:
            names = [to_safe(group["name"]) for group in one["groups"]]
            words = "every group" if len(names) > 1 else names[0]
            expected[uid_of(tank, "look", one["date"])] = (
                one["date"], f"Look at {words} ({to_safe(tank)})", alarm)
        before = one["dials"]
    return expected


def blocks(data):
    """Every event's own bytes, by UID."""
    found = {}
    for block in re.findall(rb"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", data, re.S):
        found[re.search(rb"^UID:(.*)\r$", block, re.M)[1].decode()] = block
    return found


class Checked(unittest.TestCase):
    maxDiff = None

    def check(self, data):
        """Whatever is written is right by the linter and by both libraries."""
        self.assertEqual(lint(data), [])
        events, others = by_libical(data), by_icalendar(data)
        if re.search(rb"\\\\[nN,;]", data.replace(b"\r\n ", b"")):
            # icalendar 4 takes an escaped backslash and a letter n for a line end.
            events_but_texts, others = map(without_texts, (events, others))
            self.assertEqual(others, events_but_texts)
        else:
            self.assertEqual(others, events)
        for uid, event in events.items():
            self.assertEqual(datetime.date.fromisoformat(event.date) + datetime.timedelta(days=1),
                             datetime.date.fromisoformat(event.end))
            self.assertEqual(uuid.UUID(uid).version, 5)
            for alarm in event.alarms:
                self.assertEqual(alarm[0], "DISPLAY")
                self.assertEqual(alarm[2], event.summary)
            if event.is_cancelled:
                self.assertTrue(event.summary.startswith("Cancelled: "))
                self.assertEqual(event.alarms, [])
        return events

    def check_plan(self, folder, data, reminder, *options):
        events = self.check(data)
        found = {uid: (event.date, event.summary, event.alarms[0][1] if event.alarms else None)
                 for uid, event in events.items() if not event.is_cancelled}
        self.assertEqual(found, expected_events(folder, reminder, *options))
        return events


class Reading(Checked):
    def test_every_example_is_read_back_with_every_date_summary_and_alarm(self):
        self.assertGreaterEqual(len(EXAMPLES), 3)
        for tank in EXAMPLES:
            with self.subTest(tank=tank.name):
                folder = Folder(self, tank)
                data = folder.calendar("--start", day(3), "--remind", "09:00")
                events = self.check_plan(folder, data, 9 * 3600, "--start", day(3))
                self.assertGreater(len(events), 3)
                self.assertTrue(all(event.sequence == 0 for event in events.values()))
                stamp = TODAY.strftime("%Y%m%dT000000Z")
                self.assertEqual({event.stamp for event in events.values()}, {stamp})

    def test_the_hour_of_the_alarm(self):
        folder = Folder(self, start=day(1))
        for clock, trigger, seconds in (("00:00", b"PT0S", 0), ("00:05", b"PT5M", 300),
                                        ("09:00", b"PT9H", 32400), ("23:59", b"PT23H59M", 86340)):
            data = folder.calendar("--remind", clock)
            self.assertEqual(set(re.findall(rb"^TRIGGER:(.*)\r$", data, re.M)), {trigger})
            self.check_plan(folder, data, seconds)
        self.assertNotIn(b"VALARM", folder.calendar())

    def test_the_description_says_why_and_what_to_look_for(self):
        folder = Folder(self, start=day(1))
        plan = folder.json("plan")
        events = self.check(folder.calendar())
        dates = {one["date"]: one for one in plan["days"]}
        holders = 0
        for uid, event in events.items():
            self.assertIn("no step up", event.description)
            if uid != uid_of(plan["tank"], "step", event.date):
                continue
            holder = dates[event.date]["held_by"]
            if holder is None:
                self.assertIn("This is the goal.", event.description)
            elif holder["group"] is not None:
                self.assertIn(f"because of {holder['group']}: its", event.description)
                holders += 1
        self.assertGreater(holders, 2)

    def test_what_is_moved_stands_in_the_summary(self):
        folder = Folder(self, SOURCE / "examples/quarantine-moves/quarantine-moves.tank.json",
                        start=day(2))
        events = self.check_plan(folder, folder.calendar(), None)
        moves = [event for event in events.values() if re.search("move |mesh", event.summary)]
        self.assertGreater(len(moves), 1)
        for event in moves:
            self.assertIn("Before the lights come on: ", event.description)

    def test_a_plan_of_moves_alone(self):
        tank = json.loads(STORY.read_text())
        tank["ramp"]["to"] = dict(tank["ramp"]["from"])
        tank["groups"][0].update(to_spot=tank["groups"][1]["spot"])
        folder = Folder(self, tank, start=day(1))
        events = self.check_plan(folder, folder.calendar("--remind", "08:00"), 8 * 3600)
        first = events[uid_of(tank["name"], "step", day(1))]
        self.assertTrue(first.summary.startswith(f"move {tank['groups'][0]['name']} to "), first)

    def test_a_relative_meter_says_no_amount(self):
        tank = json.loads(REEF.read_text())
        tank["meter"] = {"relative": True}
        for group in tank["groups"]:
            group.pop("history", None)
        folder = Folder(self, tank, start=day(1))
        events = self.check_plan(folder, folder.calendar(), None)
        for event in events.values():
            self.assertNotRegex(event.description, "mol|band|ceiling")

    def test_standard_output_takes_the_same_bytes(self):
        folder = Folder(self, start=day(1))
        data = folder.calendar("--remind", "09:00")
        self.assertEqual(folder.run("calendar", "--remind", "09:00").stdout, data)
        self.assertEqual(folder.run("calendar", "--remind", "09:00", "-o", "-").stdout, data)

    def test_text_for_people_fits_80_columns(self):
        folder = Folder(self, start=day(1))
        for words in (["--help"], ["-o", "plan.ics"]):
            for line in folder.run("calendar", *words).stdout.decode().splitlines():
                self.assertLessEqual(len(line), 80, line)

    def test_a_plan_that_is_over(self):
        folder = Folder(self, start="2020-01-06")
        result = folder.run("calendar", "-o", "plan.ics", "--remind", "09:00")
        events = self.check_plan(folder, folder.file.read_bytes(), None)
        self.assertTrue(all(not event.alarms for event in events.values()))
        self.assertIn("The plan ended on 2020-", " ".join(result.stdout.decode().split()))

    def test_events_before_today_have_no_alarm(self):
        folder = Folder(self, start=day(-10))
        data = folder.calendar("--remind", "07:30")
        events = self.check_plan(folder, data, 27000)
        self.assertEqual({bool(event.alarms) for event in events.values()}, {True, False})


class Linter(Checked):
    """Each broken form is caught by a message of its own."""

    def setUp(self):
        self.good = Folder(self, start=day(1)).calendar("--remind", "09:00")
        self.assertEqual(lint(self.good), [])

    def broken(self, old, new, message, count=1):
        data = re.sub(old, new, self.good, count=count, flags=re.M | re.S)
        self.assertNotEqual(data, self.good)
        found = lint(data)
        self.assertTrue([one for one in found if re.search(message, one)], (message, found))
        return found

    def test_the_ten_broken_forms(self):
        late = TODAY.strftime("DTEND:%Y%m%dT120000Z").encode()
        forms = [
            ("no DTSTAMP", rb"^DTSTAMP:.*?\r\n", b"", "VEVENT has not one DTSTAMP$"),
            ("no UID", rb"^UID:.*?\r\n", b"", "VEVENT has not one UID$"),
            ("no PRODID", rb"^PRODID:.*?\r\n", b"", "^VCALENDAR has not one PRODID$"),
            ("DTEND and DURATION", rb"^(DTEND.*?\r\n)", rb"\1DURATION:P1D\r\n",
             "VEVENT has DTEND and DURATION$"),
            ("DTEND of another type", rb"^DTEND;VALUE=DATE:\d+", late,
             "DTEND is no DATE, but DTSTART is$"),
            ("alarm without DESCRIPTION", rb"^(TRIGGER.*?\r\n)DESCRIPTION:.*?(\r\nEND:VALARM)",
             rb"\1X-NONE:1\2", "VALARM has not one DESCRIPTION to display$"),
            ("120 octets", rb"^SUMMARY:[^\r]*", b"SUMMARY:" + b"x" * 112, "has 120 octets$"),
            ("LF only", rb"\r\n", b"\n", "ends in LF alone$"),
            ("unescaped comma", rb"^SUMMARY:", b"SUMMARY:one, ",
             "SUMMARY has a comma that is not escaped$"),
            ("no component", rb"BEGIN:VEVENT.*END:VEVENT\r\n", b"", "has no component$"),
        ]
        self.assertEqual(len(forms), 10)
        for name, old, new, message in forms:
            with self.subTest(name):
                count = 0 if name == "LF only" else 1
                found = self.broken(old, new, message, count)
                others = [one[3] for one in forms if one[0] != name]
                for other in others:
                    self.assertFalse([one for one in found if re.search(other, one)], found)

    def test_other_broken_forms(self):
        forms = [
            (rb"^SUMMARY:", b"SUMMARY:one; ", "a semicolon that is not escaped"),
            (rb"^SUMMARY:", rb"SUMMARY:one\\x", "a backslash that is not escaped"),
            (rb"^SUMMARY:", b"SUMMARY:\xe4", "not UTF-8 by itself"),
            (rb"^SUMMARY:", b"SUMMARY:\x07", "has a control character"),
            (rb"^SUMMARY", b"SUMM ARY", "is no NAME:VALUE"),
            (rb"^(DTSTART;VALUE=DATE:(\d+)\r\nDTEND;VALUE=DATE:)\d+", rb"\1\2",
             "DTEND is not after DTSTART"),
            (rb"^(DTSTAMP:\d+T000000)Z", rb"\1", "DTSTAMP is no time in UTC"),
            (rb"^DTSTART;VALUE=DATE:\d+", b"DTSTART;VALUE=DATE:20260230", "DTSTART is no date"),
            (rb"^DTSTART.*?\r\n", b"", "has no DTSTART"),
            (rb"^UID:", b"UID:keeper@", "UID is no UUID"),
            (rb"^VERSION:2.0", b"VERSION:1.0", "VERSION is not 2.0"),
            (rb"^VERSION:", b"METHOD:PUBLISH\r\nVERSION:", "has a METHOD"),
            (rb"^TRIGGER:PT9H", b"TRIGGER:9 o'clock", "TRIGGER is no duration"),
            (rb"^TRIGGER:", b"REPEAT:2\r\nTRIGGER:", "DURATION or REPEAT without the other"),
            (rb"^ACTION.*?\r\n", b"", "has not one ACTION"),
            (rb"^STATUS:CONFIRMED", b"STATUS:DONE", "STATUS is none of an event"),
            (rb"^SEQUENCE:0", b"SEQUENCE:first", "SEQUENCE is no number"),
            (rb"^END:VALARM\r\n", b"", "ends what was not begun"),
            (rb"\r\n\Z", b"", "has no end"),
            (rb"\r\n (\S)", rb"\r\n \r\n \1", "folded again it is another file"),
        ]
        for old, new, message in forms:
            with self.subTest(message):
                self.broken(old, new, message)

    def test_a_uid_that_stands_twice(self):
        block = next(iter(blocks(self.good).values()))
        found = lint(self.good.replace(block, block + block, 1))
        self.assertTrue([one for one in found if one.endswith("UID stands twice")], found)

    def test_a_letter_that_is_split(self):
        summary = "SUMMARY:" + "x" * 66 + "ä"
        data = self.good.replace(b"SUMMARY:", (summary + "\r\n X-").encode(), 1)
        data = data.replace("ä\r\n X-".encode(), b"\xc3\r\n \xa4", 1)
        self.assertEqual(len([one for one in lint(data) if "a letter is split" in one]), 2)


class Replanned(Checked):
    def change(self, before, after, *, kept_until=None):
        """What the change from one calendar to the next must be; counts of each kind."""
        old, new = self.check(before), self.check(after)
        old_blocks, new_blocks = blocks(before), blocks(after)
        kinds = collections.Counter()
        self.assertLessEqual(set(old), set(new))
        for uid, event in new.items():
            if uid not in old:
                kinds["new"] += 1
                continue
            earlier = old[uid]
            self.assertEqual(event.date, earlier.date)
            if kept_until and event.date < kept_until:
                self.assertEqual(new_blocks[uid], old_blocks[uid])
                kinds["past"] += 1
                continue
            says = ("summary", "description", "alarms", "is_cancelled")
            if all(getattr(event, one) == getattr(earlier, one) for one in says):
                self.assertEqual(new_blocks[uid], old_blocks[uid])
                kinds["same"] += 1
            else:
                self.assertEqual(event.sequence, earlier.sequence + 1)
                if event.is_cancelled:
                    self.assertEqual(event.summary, "Cancelled: " + earlier.summary)
                kinds["cancelled" if event.is_cancelled else "changed"] += 1
        return kinds

    def test_the_same_twice_is_the_same_bytes(self):
        for words in ([], ["--remind", "06:45"]):
            folder = Folder(self, start=day(5))
            first = folder.calendar(*words)
            self.assertEqual(folder.calendar(*words), first)
            folder.file.unlink()
            self.assertEqual(folder.calendar(*words), first)

    def test_a_later_day_changes_nothing(self):
        # 26 hours apart, so that it is another day there at any time of ours.
        folder = Folder(self, start=day(5))
        first = folder.calendar(zone="AAA+12")
        self.assertEqual(folder.calendar(zone="BBB-14"), first)
        stamp = set(re.findall(rb"DTSTAMP:(\d+)", first))
        fresh = set(re.findall(rb"DTSTAMP:(\d+)", folder.run("calendar", zone="BBB-14").stdout))
        self.assertEqual((len(stamp), len(fresh)), (1, 1))
        self.assertLess(stamp.pop(), fresh.pop())

    def test_another_goal(self):
        folder = Folder(self, start=day(5))
        first = folder.calendar()
        light, goal = next(iter(folder.content["ramp"]["to"].items()))
        folder.write(to={light: goal - 10})
        second = folder.calendar()
        kinds = self.change(first, second)
        self.assertGreater(kinds["cancelled"], 1)
        self.assertGreater(kinds["same"], 1)
        self.assertGreater(kinds["changed"], 0)  # the step that is now the goal says so
        self.check_plan(folder, second, None)
        self.assertEqual(folder.calendar(), second)
        with self.subTest("and back"):
            folder.write(to={light: goal})
            third = folder.calendar()
            kinds = self.change(second, third)
            self.assertEqual(kinds["cancelled"], 0)
            revived = [event for event in by_icalendar(third).values() if event.sequence == 2]
            self.assertGreater(len(revived), 1)
            self.check_plan(folder, third, None)

    def test_another_start_and_pace(self):
        folder = Folder(self, start=day(5))
        first = folder.calendar("--remind", "09:00")
        second = folder.calendar("--remind", "09:00", "--start", day(6), "--pace", "gentle")
        kinds = self.change(first, second)
        self.assertGreater(kinds["cancelled"], 3)
        self.assertGreater(kinds["new"], 3)
        self.check_plan(folder, second, 32400, "--start", day(6), "--pace", "gentle")

    def test_another_hour_changes_every_event(self):
        folder = Folder(self, start=day(5))
        kinds = self.change(folder.calendar("--remind", "09:00"),
                            folder.calendar("--remind", "10:00"))
        self.assertEqual(list(kinds), ["changed"])

    def test_what_lies_before_today_stays(self):
        folder = Folder(self, start=day(-12))
        first = folder.calendar()
        second = folder.calendar("--start", day(-10))
        kinds = self.change(first, second, kept_until=day(0))
        self.assertGreater(kinds["past"], 1)
        self.assertGreater(kinds["cancelled"], 1)
        old = by_icalendar(first)
        gone = [uid for uid, event in by_icalendar(second).items()
                if event.is_cancelled and old[uid].date < day(0)]
        self.assertEqual(gone, [])


class Followed(Replanned):
    """A plan that is followed; a check-in that takes the dial back."""

    def setUp(self):
        self.folder = Folder(self)
        self.folder.run("follow", "--start", day(-7), today=day(-7))
        self.folder.run("checkin", "--all", "--colour", "0", today=day(-7))
        self.folder.run("checkin", "--all", "--colour", "0", today=day(0))
        self.group = self.folder.content["groups"][0]["name"]
        self.tank = self.folder.content["name"]

    def steps_to_come(self):
        """Dates of the plan's steps from today on."""
        days = self.folder.json("plan")["days"]
        return {now["date"] for before, now in zip(days, days[1:])
                if now["dials"] != before["dials"] and now["date"] >= day(0)}

    def found_steps(self, events, is_cancelled=False):
        return {event.date for uid, event in events.items()
                if event.is_cancelled == is_cancelled and event.date >= day(0)
                and uid == uid_of(self.tank, "step", event.date)}

    def looks(self, events):
        return {event.date for uid, event in events.items() if not event.is_cancelled
                and uid == uid_of(self.tank, "look", event.date) and event.date >= day(0)}

    def test_a_check_in_that_holds_the_dial(self):
        first = self.folder.calendar("--remind", "09:00")
        planned = self.steps_to_come()
        self.assertEqual(self.found_steps(self.check(first)), planned)
        self.assertEqual(min(self.looks(by_icalendar(first))), day(7))
        self.folder.run("checkin", self.group, "--colour", "-2")
        second = self.folder.calendar("--remind", "09:00")
        now = self.steps_to_come()
        kinds = self.change(first, second, kept_until=day(0))
        self.assertGreater(kinds["cancelled"], 1)
        self.assertNotEqual(planned, now)
        events = self.check(second)
        self.assertEqual(self.found_steps(events), now)
        self.assertEqual(self.found_steps(events, is_cancelled=True), planned - now)
        self.assertEqual(min(self.looks(events)), day(3))  # look again in 3 days
        self.assertEqual(self.folder.calendar("--remind", "09:00"), second)

        with self.subTest("the old file is gone"):
            self.folder.file.unlink()
            third = self.folder.calendar("--remind", "09:00")
            fresh = self.check(third)
            self.assertEqual(self.found_steps(fresh), now)
            self.assertEqual(self.found_steps(fresh, is_cancelled=True), planned - now)
            for uid, event in events.items():
                if uid == uid_of(self.tank, "step", event.date) and event.date >= day(0):
                    self.assertEqual(fresh[uid]._replace(description=""),
                                     event._replace(description=""))

        with self.subTest("taken back, it is as it was, with a higher SEQUENCE"):
            self.folder.run("undo")
            fourth = self.folder.calendar("--remind", "09:00")
            self.change(third, fourth, kept_until=day(0))
            events = self.check(fourth)
            self.assertEqual(self.found_steps(events), planned)
            for date in planned - now:
                self.assertEqual(events[uid_of(self.tank, "step", date)].sequence, 2)

    def test_followed_again_with_nothing_changed_changes_no_step(self):
        planned = self.steps_to_come()
        self.folder.run("follow", "--start", day(4))
        events = self.check(self.folder.run("calendar").stdout)
        self.assertGreater(len(planned), 1)
        self.assertEqual(self.steps_to_come(), planned)
        self.assertEqual(self.found_steps(events), planned)
        self.assertEqual(self.found_steps(events, is_cancelled=True), set())

    def test_followed_again_at_another_pace_without_the_old_file(self):
        planned = self.steps_to_come()
        self.folder.run("follow", "--start", day(4), "--pace", "gentle")
        events = self.check(self.folder.run("calendar").stdout)
        now = self.steps_to_come()
        self.assertEqual({date for date in now if date < day(4)},
                         {date for date in planned if date < day(4)})
        self.assertEqual(self.found_steps(events), now)
        self.assertEqual(self.found_steps(events, is_cancelled=True), planned - now)
        self.assertGreater(len(planned - now), 1)

    def test_no_step_is_cancelled_that_no_plan_had(self):
        for number in range(3):
            self.folder.run("checkin", self.group, "--note", f"look {number}")
        events = self.check(self.folder.calendar())
        self.assertEqual([event for event in events.values() if event.is_cancelled], [])
        self.assertEqual({event.sequence for event in events.values()}, {0})

    def test_looks_go_on_every_seventh_day_from_the_last_one(self):
        looks = sorted(self.looks(self.check(self.folder.calendar())))
        end = self.folder.json("plan")["days"][-1]["date"]
        expected = [day(n) for n in range(7, 400, 7) if day(n) <= end]
        self.assertEqual(looks, expected)

    def test_a_proposal_besides_the_followed_plan_cancels_its_steps(self):
        planned = self.steps_to_come()
        events = self.check(self.folder.run("calendar", "--pace", "gentle").stdout)
        self.assertTrue(self.found_steps(events, is_cancelled=True))
        self.assertLessEqual(self.found_steps(events, is_cancelled=True), planned)


class Refused(Checked):
    def refuse(self, folder, data, words, code=2):
        folder.file.write_bytes(data)
        error = folder.run("calendar", "-o", folder.file.name, expect=code).stderr.decode()
        self.assertIn("plan.ics", error)
        self.assertIn(words, error)
        self.assertIn("\nhint: ", error)
        self.assertEqual(folder.file.read_bytes(), data)
        told = folder.run("calendar", "-o", folder.file.name, "--json", expect=code).stderr
        self.assertIn(words, json.loads(told)["errors"][0]["error"])

    def test_a_file_that_is_not_ours_stays_as_it_is(self):
        folder = Folder(self, start=day(1))
        good = folder.calendar()
        foreign = good.replace(b"-//slowdawn//calendar 1//EN", b"-//Harbour//Tides//EN")
        no_calendar = "no calendar that slowdawn wrote"
        self.refuse(folder, foreign, no_calendar)
        self.refuse(folder, b"Monday: all open.\r\n", no_calendar)
        self.refuse(folder, b"\x00\xff" * 300, no_calendar)
        self.refuse(folder, folder.tank.read_bytes(), no_calendar)
        self.refuse(folder, good.replace(b"calendar 1", b"calendar 2"), "another version")
        other = Folder(self, REEF, start=day(1)).calendar()
        self.refuse(folder, other, 'calendar of another tank, "Stairwell reef"')

    def test_a_file_that_was_changed_stays_as_it_is_and_the_line_is_named(self):
        folder = Folder(self, start=day(1))
        good = folder.calendar("--remind", "09:00")
        changed = "not as slowdawn wrote it"
        self.refuse(folder, good.replace(b"\r\n", b"\n"), "no calendar that slowdawn wrote")
        for old, new in ((b"SEQUENCE:0", b"SEQUENCE:-1"), (b"SEQUENCE:0", b"SEQUENCE:9999999999"),
                         (b"STATUS:CONFIRMED", b"STATUS:TENTATIVE"),
                         (b"TRANSP:TRANSPARENT", b"TRANSP:OPAQUE"),
                         (b"TRIGGER:PT9H", b"TRIGGER:PT24H"), (b"TRIGGER:PT9H", b"TRIGGER:-PT9H"),
                         (b"TRIGGER:PT9H", b"TRIGGER:PTH"),
                         (b"TRIGGER:PT9H", b"TRIGGER:PT-9H"), (b"T000000Z", b"T000000"),
                         (b"END:VCALENDAR\r\n", b"END:VCALENDAR\r\nBEGIN:VCALENDAR\r\n"),
                         (b"END:VCALENDAR\r\n", b"")):
            with self.subTest(new):
                self.refuse(folder, good.replace(old, new, 1), changed)
        line = good[:good.index(b"STATUS:")].count(b"\n") + 1
        self.refuse(folder, good.replace(b"STATUS:CONFIRMED", b"STATUS:DONE", 1), changed)
        error = folder.run("calendar", "-o", "plan.ics", expect=2).stderr.decode()
        self.assertTrue(error.startswith(f"plan.ics:{line}:1: error: "), error)
        self.refuse(folder, good.replace(b"DESCRIPTION:", b"DESCRIPTION:\xff", 1), "not valid UTF-8")

    def test_every_cut_of_a_file_is_refused(self):
        folder = Folder(self, start=day(1))
        good = folder.calendar("--remind", "09:00")
        for length in range(1, len(good), len(good) // 40):
            folder.file.write_bytes(good[:length])
            folder.run("calendar", "-o", "plan.ics", expect=2)
            self.assertEqual(folder.file.read_bytes(), good[:length])

    def test_a_file_of_no_bytes_is_filled(self):
        folder = Folder(self, start=day(1))
        folder.file.write_bytes(b"")
        self.check_plan(folder, folder.calendar(), None)

    def test_hours_that_are_none(self):
        folder = Folder(self, start=day(1))
        for clock in ("25:00", "9", "09:60", "nine", "9:00", "-1:00"):
            error = folder.run("calendar", "-o", "plan.ics", f"--remind={clock}", expect=2).stderr
            self.assertIn("--remind: ", error.decode())
            self.assertIn("hint: write HH:MM", error.decode())
        self.assertFalse(folder.file.exists())

    def test_places_that_cannot_be_written(self):
        folder = Folder(self, start=day(1))
        for place in ("absent/plan.ics", ".", "story.tank.json/plan.ics"):
            error = folder.run("calendar", "-o", place, expect=3).stderr.decode()
            self.assertIn(place, error)
            self.assertIn("hint: ", error)
        self.assertEqual(os.listdir(folder.path), ["story.tank.json"])

    def test_without_a_safe_opening_nothing_is_written(self):
        tank = json.loads((SOURCE / "examples/frag-rack/frag-rack.tank.json").read_text())
        tank["groups"][0]["history"] = {"dose": 0.4, "peak": 12}
        folder = Folder(self, tank, start=day(1))
        result = folder.run("calendar", "-o", "plan.ics", expect=1)
        self.assertIn("no safe way", result.stderr.decode())
        self.assertFalse(folder.file.exists())
        self.assertEqual(folder.run("calendar", expect=1).stdout, b"")
        plan = json.loads(folder.run("calendar", "--json", expect=1).stdout)
        self.assertEqual(plan["status"], "no_safe_opening")


HOSTILE = [
    '<b>&"x"</b>; =1+2, \\ é 珊瑚 \u202e $(x) \x1b[2J\x07',
    "one,two;three\\n\\,four:five\nsix\r\nseven\teight",
    "\u2067right to left\u2069 \u200fmarks\u061c \u2028 and lines \x85",
    "\nBEGIN:VEVENT\r\nUID:x\r\n", "spaces  in it  ", "\\", ";", "珊瑚" * 100, "🪸" * 200, "'; --",
]


def hostile_tank(names):
    """The story's tank under other names: tank, light, spots, groups."""
    text = STORY.read_text()
    tank = json.loads(text)
    old = [tank["lights"][0]["name"], *(spot["name"] for spot in tank["spots"]),
           *(group["name"] for group in tank["groups"])]
    new = {name: f"{names[i % len(names)]}{i}" for i, name in enumerate(old)}

    def renamed(node):
        if isinstance(node, dict):
            return {new.get(key, key): renamed(value) for key, value in node.items()}
        if isinstance(node, list):
            return [renamed(value) for value in node]
        return new.get(node, node) if isinstance(node, str) else node
    tank = renamed(tank)
    tank["name"] = names[0]
    return tank


class Names(Checked):
    def test_names_with_anything_in_them_come_out_as_text(self):
        for shift in range(len(HOSTILE)):
            with self.subTest(name=HOSTILE[shift][:20]):
                folder = Folder(self, hostile_tank(HOSTILE[shift:] + HOSTILE[:shift]),
                                start=day(1))
                data = folder.calendar("--remind", "09:00")
                self.check_plan(folder, data, 32400)
                self.assertIsNone(SAFE.search(data.decode().replace("\r\n", "")))
                self.assertEqual(folder.calendar("--remind", "09:00"), data)
                folder.content["ramp"]["start"] = day(3)
                folder.write()
                self.check_plan(folder, folder.calendar(), None)

    def test_blanks_at_the_beginning_stay(self):
        # Read by icalendar alone: libical skips blanks at the beginning of a value.
        folder = Folder(self, hostile_tank(["  blanks"]), start=day(1))
        data = folder.calendar()
        self.assertEqual(lint(data), [])
        steps = [event for event in by_icalendar(data).values() if " % (" in event.summary]
        self.assertGreater(len(steps), 1)
        for event in steps:
            self.assertRegex(event.summary, r"\A  blanks0 \d+ % \(  blanks\)\Z")

    def test_letters_of_every_size_at_every_fold(self):
        tank = json.loads(STORY.read_text())
        for letter in ("é", "珊", "🪸", ","):
            for length in range(1, 81):
                tank["name"] = "x" * length + letter * 30
                folder = Folder(self, tank, start=day(1))
                data = folder.run("calendar").stdout
                self.assertEqual(lint(data), [])
                name = re.search(rb"^NAME:(.*?)\r\nBEGIN", data, re.M | re.S)[1]
                name = name.replace(b"\r\n ", b"").decode().replace("\\,", ",")
                self.assertEqual(name, tank["name"])

    def test_the_linters_fold_is_the_rule_of_the_rfc(self):
        # Worked by hand: 75 octets, then 74 after the blank; a letter of 4 octets goes over.
        self.assertEqual(fold(b"x" * 75), b"x" * 75 + b"\r\n")
        self.assertEqual(fold(b"x" * 76), b"x" * 75 + b"\r\n x\r\n")
        self.assertEqual(fold(b"x" * 150), b"x" * 75 + b"\r\n " + b"x" * 74 + b"\r\n x\r\n")
        coral = "🪸".encode()
        self.assertEqual(fold(b"x" * 72 + coral), b"x" * 72 + b"\r\n " + coral + b"\r\n")

    def test_uids_are_of_the_tank_the_kind_and_the_date_alone(self):
        one, other = Folder(self, start=day(1)), Folder(self, start=day(1))
        self.assertEqual(set(by_icalendar(one.calendar())), set(by_icalendar(other.calendar())))
        other.content["name"] = "Another tank"
        other.write()
        other.file.unlink()
        self.assertFalse(set(by_icalendar(one.calendar())) & set(by_icalendar(other.calendar())))


if __name__ == "__main__":
    unittest.main()
