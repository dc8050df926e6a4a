#!/usr/bin/env python3
"""The program and an independent second implementation plan the same tanks.

check_reference.py PROGRAM PROFILES_FOLDER [--seed N] [--count K]

Random tanks of random_tanks.py go through PROGRAM and through plan_reference.py;
every date, dial, status and reason must be the same, and every number equal to
1e-9 relative. Printed is the first field of each tank that differs, what the second
implementation has and what the program has, and how often each field came up. The
second implementation was written from the equations of DEVELOPERS.md alone, without a
look at the program's source. Nothing is kept: random_tanks.py makes the same tanks again.
"""
import argparse
import collections
import json
import pathlib
import re
import subprocess
import sys
import tempfile

from plan_compare import difference

HERE = pathlib.Path(__file__).parent


def run(command):
    """(exit code, plan), or (exit code, None) and what was said, of a tank that is refused."""
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    if result.returncode not in (0, 1):
        return result.returncode, None, " ".join(result.stderr.split())[:400]
    return result.returncode, json.loads(result.stdout), ""


def compare(expected, found):
    """(field, both values) of the first difference, or empty texts."""
    if expected[1] is None:
        raise SystemExit(f"the second implementation gave {expected[0]}: {expected[2]}")
    if found[1] is None:
        return "refused", f"exit code {found[0]}: {found[2]}"
    # The days come first: what is said of the whole plan differs because of them.
    days_first = {"days": expected[1]["days"], **expected[1]}
    problem = difference(days_first, found[1], 1e-9)
    if problem:
        field, _, values = problem.partition(": ")
        return field, values
    if expected[0] != found[0]:
        return "exit code", f"{expected[0]} and {found[0]}"
    return "", ""


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("profiles")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--count", type=int, default=120)
    args = parser.parse_args()
    statuses = collections.Counter()
    caps = collections.Counter()
    fields = collections.Counter()
    problems = []
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, HERE / "random_tanks.py", "--seed", str(args.seed),
                        "--count", str(args.count), "--out", folder, "--profiles", args.profiles],
                       check=True, capture_output=True)
        tanks = sorted(pathlib.Path(folder).glob("*.tank.json"))
        assert len(tanks) == args.count, f"{len(tanks)} tanks were made, not {args.count}"
        for tank in tanks:
            expected = run([sys.executable, HERE / "plan_reference.py", tank, "--profiles",
                            args.profiles])
            found = run([args.program, "plan", tank, "--json"])
            field, values = compare(expected, found)
            if field:
                problems.append(f"seed {args.seed}, {tank.name}: {field}: {values}")
                fields[re.sub(r"/\d+", "/*", field)] += 1
            statuses[expected[1]["status"]] += 1
            for day in expected[1]["days"]:
                if day["held_by"]:
                    caps[day["held_by"]["cap"]] += 1
    print(f"{args.count} tanks of seed {args.seed}: {dict(statuses)}, days held by {dict(caps)}")
    print("\n".join(problems))
    if problems:
        print(f"{len(problems)} tanks differ, by their first field: {dict(fields)}")
    # The comparison must have seen every way a plan can end, and most caps.
    assert len(statuses) == 3, statuses
    assert len(caps) >= 6, caps
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
