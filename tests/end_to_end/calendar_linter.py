"""A linter for calendars as this program writes them, by the letter of RFC 5545.

General libraries read much that the RFC forbids; this one forgives nothing. It is for files that
should be right, and so knows only what they may hold: whole-day events and their alarms.

Sections of RFC 5545 stand beside what they ask for.
"""
import datetime
import re

LONGEST_LINE = 75
LINE = re.compile(r"(?P<name>[A-Za-z0-9-]+)"
                  r"(?P<parameters>(?:;[A-Za-z0-9-]+=(?:\"[^\"]*\"|[^\";:,]*)"
                  r"(?:,(?:\"[^\"]*\"|[^\";:,]*))*)*)"
                  r":(?P<value>.*)", re.S)
TEXTS = {"NAME", "SUMMARY", "DESCRIPTION", "LOCATION", "COMMENT"}
DURATION = re.compile(r"[+-]?P(\d+W|\d+D(T(\d+H(\d+M(\d+S)?)?|\d+M(\d+S)?|\d+S))?"
                      r"|T(\d+H(\d+M(\d+S)?)?|\d+M(\d+S)?|\d+S))")
UUID = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")
STATUS = {"TENTATIVE", "CONFIRMED", "CANCELLED"}
ONCE_AT_MOST = ["DTSTART", "DTEND", "DURATION", "SUMMARY", "DESCRIPTION", "SEQUENCE", "STATUS",
                "TRANSP"]


class Property:
    def __init__(self, number, text):
        match = LINE.fullmatch(text)
        self.number = number
        self.name = match["name"].upper() if match else ""
        self.parameters = match["parameters"].upper() if match else ""
        self.value = match["value"] if match else text

    def is_date(self):
        return ";VALUE=DATE" in self.parameters.split(":")[0].replace(";VALUE=DATE-TIME", "")


class Component:
    def __init__(self, name, number):
        self.name, self.number = name, number
        self.properties, self.children = [], []

    def all(self, name):
        return [one for one in self.properties if one.name == name]

    def first(self, name):
        return next(iter(self.all(name)), None)


def split_lines(data, found):
    """The lines without their ends (3.1: every line ends in CR LF)."""
    lines = []
    for number, line in enumerate(data.split(b"\n"), 1):
        if number == data.count(b"\n") + 1:
            if line:
                found.append(f"line {number}: has no end")
                lines.append(line)
            break
        if not line.endswith(b"\r"):
            found.append(f"line {number}: ends in LF alone")
        lines.append(line.removesuffix(b"\r"))
    return lines


def check_bytes(lines, found):
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            found.append(f"line {number}: has {len(line)} octets")
        try:
            text = line.decode("utf-8")
        except UnicodeDecodeError:
            found.append(f"line {number}: is not UTF-8 by itself, so a letter is split")
            continue
        if re.search(r"[\x00-\x08\x0a-\x1f\x7f]", text):  # 3.1: CONTROL
            found.append(f"line {number}: has a control character")


def unfold(lines):
    """(number, bytes) of every content line."""
    unfolded = []
    for number, line in enumerate(lines, 1):
        if line[:1] in (b" ", b"\t") and unfolded:
            unfolded[-1][1] += line[1:]
        else:
            unfolded.append([number, line])
    return unfolded


def fold(line):
    """A content line folded as late as can be without splitting a letter."""
    pieces, room = [], LONGEST_LINE
    letters = [letter.encode() for letter in line.decode(errors="replace")]
    piece = b""
    for letter in letters:
        if len(piece) + len(letter) > room:
            pieces.append(piece)
            piece, room = b"", LONGEST_LINE - 1
        piece += letter
    return b"\r\n ".join([*pieces, piece]) + b"\r\n"


def read_components(lines, found):
    """The outermost components."""
    top, stack = [], []
    for number, line in lines:
        one = Property(number, line.decode(errors="replace"))
        if not one.name:
            found.append(f"line {number}: is no NAME:VALUE")
        elif one.name == "BEGIN":
            made = Component(one.value.upper(), number)
            (stack[-1].children if stack else top).append(made)
            stack.append(made)
        elif one.name == "END":
            if not stack or stack.pop().name != one.value.upper():
                found.append(f"line {number}: ends what was not begun")
        elif not stack:
            found.append(f"line {number}: stands outside every component")
        else:
            stack[-1].properties.append(one)
    found += [f"line {one.number}: {one.name} is not ended" for one in stack]
    return top


def check_text(one, found):
    """3.3.11: backslash, semicolon, comma and newline are escaped, and nothing else."""
    rest = re.sub(r"\\[\\;,nN]", "", one.value)
    for letter, name in ((",", "comma"), (";", "semicolon"), ("\\", "backslash")):
        if letter in rest:
            found.append(f"line {one.number}: {one.name} has a {name} that is not escaped")


def read_date(text):
    try:
        if not re.fullmatch(r"\d{8}", text):
            return None
        return datetime.date(int(text[:4]), int(text[4:6]), int(text[6:]))
    except ValueError:
        return None


def check_days(event, found):
    start, end, duration = (event.first(name) for name in ("DTSTART", "DTEND", "DURATION"))
    where = f"line {event.number}: VEVENT"
    if start is None:  # 3.6.1: required where there is no METHOD
        found.append(f"{where} has no DTSTART")
        return
    if end and duration:  # 3.6.1: either, not both
        found.append(f"{where} has DTEND and DURATION")
    if not start.is_date():
        found.append(f"{where} is not of whole days")
        return
    first = read_date(start.value)
    if first is None:
        found.append(f"line {start.number}: DTSTART is no date")
    if duration and not re.fullmatch(r"P\d+[DW]", duration.value):  # 3.6.1
        found.append(f"line {duration.number}: DURATION of whole days is not in days or weeks")
    if end is None:
        return
    if not end.is_date():  # 3.6.1: same value type
        found.append(f"line {end.number}: DTEND is no DATE, but DTSTART is")
        return
    last = read_date(end.value)
    if last is None:
        found.append(f"line {end.number}: DTEND is no date")
    elif first is not None and last <= first:  # 3.8.2.2: later than the start, not part of it
        found.append(f"line {end.number}: DTEND is not after DTSTART")


def check_alarm(alarm, found):
    """3.6.6."""
    where = f"line {alarm.number}: VALARM"
    for name in ("ACTION", "TRIGGER"):
        if len(alarm.all(name)) != 1:
            found.append(f"{where} has not one {name}")
    action = alarm.first("ACTION")
    if action and action.value == "DISPLAY" and len(alarm.all("DESCRIPTION")) != 1:
        found.append(f"{where} has not one DESCRIPTION to display")
    if len(alarm.all("DURATION")) != len(alarm.all("REPEAT")):
        found.append(f"{where} has DURATION or REPEAT without the other")
    trigger = alarm.first("TRIGGER")
    if trigger and not DURATION.fullmatch(trigger.value):
        found.append(f"line {trigger.number}: TRIGGER is no duration")


def check_event(event, uids, found):
    where = f"line {event.number}: VEVENT"
    for name in ("UID", "DTSTAMP"):  # 3.6.1: required, once
        if len(event.all(name)) != 1:
            found.append(f"{where} has not one {name}")
    for name in ONCE_AT_MOST:
        if len(event.all(name)) > 1:
            found.append(f"{where} has more than one {name}")
    stamp, uid = event.first("DTSTAMP"), event.first("UID")
    if stamp and not (re.fullmatch(r"\d{8}T([01]\d|2[0-3])[0-5]\d[0-5]\dZ", stamp.value)
                      and read_date(stamp.value[:8])):  # 3.8.7.2
        found.append(f"line {stamp.number}: DTSTAMP is no time in UTC")
    if uid:
        if not UUID.fullmatch(uid.value):  # RFC 7986, 5.3
            found.append(f"line {uid.number}: UID is no UUID")
        if uid.value.lower() in uids:
            found.append(f"line {uid.number}: UID stands twice")
        uids.add(uid.value.lower())
    sequence, status = event.first("SEQUENCE"), event.first("STATUS")
    if sequence and not re.fullmatch(r"\d+", sequence.value):
        found.append(f"line {sequence.number}: SEQUENCE is no number")
    if status and status.value not in STATUS:
        found.append(f"line {status.number}: STATUS is none of an event")
    check_days(event, found)
    for child in event.children:
        if child.name == "VALARM":
            check_alarm(child, found)
        else:
            found.append(f"line {child.number}: {child.name} inside VEVENT")


def check_calendar(top, found):
    """3.4, 3.6."""
    if [one.name for one in top] != ["VCALENDAR"]:
        found.append("the file is not one VCALENDAR")
        return
    calendar = top[0]
    for name in ("PRODID", "VERSION"):
        if len(calendar.all(name)) != 1:
            found.append(f"VCALENDAR has not one {name}")
    version = calendar.first("VERSION")
    if version and version.value != "2.0":
        found.append(f"line {version.number}: VERSION is not 2.0")
    if calendar.all("METHOD"):  # then an ORGANIZER would be asked for
        found.append("VCALENDAR has a METHOD")
    if not calendar.children:
        found.append("VCALENDAR has no component")
    uids = set()
    for child in calendar.children:
        if child.name == "VEVENT":
            check_event(child, uids, found)
        else:
            found.append(f"line {child.number}: {child.name} inside VCALENDAR")


def check_texts(component, found):
    for one in component.properties:
        if one.name in TEXTS:
            check_text(one, found)
    for child in component.children:
        check_texts(child, found)


def lint(data):
    """What is wrong with a calendar, as a list of messages; empty for a good one."""
    found = []
    lines = split_lines(data, found)
    check_bytes(lines, found)
    unfolded = unfold(lines)
    folded_again = b"".join(fold(line) for _, line in unfolded)
    if not found and folded_again != data:
        found.append("unfolded and folded again it is another file")
    top = read_components(unfolded, found)
    check_calendar(top, found)
    for component in top:
        check_texts(component, found)
    return found
