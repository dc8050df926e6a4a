#!/usr/bin/env python3
"""Each room includes only the rooms before it, and the domain stays pure.

check_rooms.py SOURCE_FOLDER; the rooms and their order are those of DEVELOPERS.md.
"""
import pathlib
import re
import sys

ROOMS = ["light", "coral", "ramp", "tank", "logbook", "present", "cli"]
PURE = ["light", "coral", "ramp"]
# No JSON, database, formatting, streams, clock or locale in the pure rooms.
IMPURE = re.compile(
    r"nlohmann|SQLiteCpp|sqlite3|fmt/|<iostream>|<fstream>|<ostream>|<istream>|<sstream>|<chrono>"
    r"|<ctime>|<locale>|<filesystem>|<cstdio>|boost/date_time")
TOP_LEVEL = {"CMakeLists.txt", "CMakePresets.json", "README.md", "DEVELOPERS.md", "src", "include",
             "tests", "profiles", "examples", "build"}
INCLUDE = re.compile(r'^\s*#\s*include\s*[<"]([^>"]+)[>"]', re.M)


def room_of_include(name):
    parts = name.split("/")
    if parts[0] == "slowdawn" and len(parts) > 1:
        return parts[1]
    return parts[0] if parts[0] in ROOMS and len(parts) > 1 else None


def main():
    root = pathlib.Path(sys.argv[1])
    problems = []
    seen = 0
    for room in ROOMS:
        files = [f for base in (root / "src" / room, root / "include/slowdawn" / room)
                 for f in base.rglob("*") if f.suffix in (".cpp", ".hpp")]
        for file in files:
            text = file.read_text()
            for include in INCLUDE.findall(text):
                seen += 1
                other = room_of_include(include)
                if other is not None and (other not in ROOMS
                                          or ROOMS.index(other) > ROOMS.index(room)):
                    problems.append(f"{file}: room {room} includes {include}")
                if room in PURE and IMPURE.search(include):
                    problems.append(f"{file}: the pure room {room} includes {include}")
            if file.suffix == ".hpp" and "#pragma once" not in text:
                problems.append(f"{file}: no #pragma once")
    for entry in root.iterdir():
        if not entry.name.startswith(".") and entry.name not in TOP_LEVEL:
            problems.append(f"{entry}: not one of the agreed names at the top level")
    assert seen > 100, f"only {seen} includes were found; is {root} the source folder?"
    print("\n".join(problems) or f"{seen} includes, all in order")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
