#!/usr/bin/python3
"""Lives the stories of this folder day by day with a program that keeps logbooks of
version 1, and writes NAME.logbook and NAME.said.json: the dials that `today` gave on
each day, after that day's entries.

    tell.py PROGRAM

PROGRAM must be older than the record of which light was shown; faketime sets its clock.
"""

import datetime
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
START = datetime.date(2026, 3, 1)

# By day of the story: what is typed. Looks come weekly at first, then late, and one of
# those is taken back; a power cut, a move and a dial by hand come in between.
WINDOW_BAY = {
    -2: [["follow"]],
    0: [["checkin", "--all", "--colour", "0"]],
    6: [["checkin", "--all", "--colour", "0"]],
    13: [["checkin", "--all", "--colour", "0"]],
    16: [["dialed", "bars", "0", "strip", "0", "--until", "2026-03-18"]],
    19: [["checkin", "--all", "--colour", "0"]],
    24: [["checkin", "chalice", "--colour", "-2"]],
    25: [["checkin", "staghorn", "--colour", "0"]],
    31: [["checkin", "--all", "--colour", "0"]],
    # Nobody looks for three weeks, and two rounds are logged afterwards.
    52: [["checkin", "--all", "--colour", "0", "--date", "2026-04-08"],
         ["checkin", "--all", "--colour", "0", "--date", "2026-04-15"]],
    53: [["undo"]],
    58: [["moved", "chalice", "sand"]],
    60: [["checkin", "--all", "--colour", "0"]],
    64: [["dialed", "bars", "45"]],
    66: [["checkin", "staghorn", "--colour", "0"]],
    80: [["checkin", "--all", "--colour", "0"]],
}
WINDOW_BAY_DAYS = 90

NIGHT_SHELF = {
    0: [["follow", "--even"]],
    5: [["checkin", "--all", "--colour", "0"]],
    11: [["checkin", "--all", "--colour", "0"]],
    17: [["checkin", "--all", "--colour", "0"]],
    20: [["dialed", "bars", "30", "strip", "20", "--until", "2026-03-23"]],
    24: [["checkin", "--all", "--colour", "0"]],
}
NIGHT_SHELF_DAYS = 29

STORIES = {"window-bay": (WINDOW_BAY, WINDOW_BAY_DAYS), "night-shelf": (NIGHT_SHELF, NIGHT_SHELF_DAYS)}


def run(program, folder, day, words):
    date = START + datetime.timedelta(days=day)
    done = subprocess.run(["faketime", f"{date} 12:00:00", program, *words], cwd=folder,
                          capture_output=True, text=True, check=False)
    if done.returncode != 0:
        sys.exit(f"day {day}, {words}: {done.stderr}{done.stdout}")
    return done.stdout


def tell(program, name, story, days):
    said = []
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(HERE / f"{name}.tank.json", folder)
        for day in range(min(story), days):
            for words in story.get(day, []):
                run(program, folder, day, words)
            if day >= 0:
                answer = json.loads(run(program, folder, day, ["today", "--json"]))
                said.append({"date": answer["date"], "dials": answer["dials"], "at": 0})
        shutil.copy(pathlib.Path(folder, f"{name}.logbook"), HERE)
    lines = ",\n".join(json.dumps(day) for day in said)
    (HERE / f"{name}.said.json").write_text(f"[{lines}]\n")


if __name__ == "__main__":
    for each, (entries, length) in STORIES.items():
        tell(sys.argv[1], each, entries, length)
