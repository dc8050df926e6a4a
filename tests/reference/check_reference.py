#!/usr/bin/env python3
"""The program and an independent second implementation plan the same tanks.

check_reference.py PROGRAM PROFILES_FOLDER [--seed N] [--count K]

Random tanks of random_tanks.py go through PROGRAM and through plan_reference.py;
every date, dial, status and reason must be the same, and every number equal to
1e-9 relative. The second implementation was written from the equations of
DEVELOPERS.md alone, without a look at the program's source.
"""
import argparse
import collections
import json
import pathlib
import subprocess
import sys
import tempfile

from plan_compare import difference

HERE = pathlib.Path(__file__).parent


def run(command):
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    if result.returncode not in (0, 1):
        raise SystemExit(f"{command} gave {result.returncode}: {result.stderr}")
    return result.returncode, json.loads(result.stdout)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("profiles")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--count", type=int, default=120)
    args = parser.parse_args()
    statuses = collections.Counter()
    caps = collections.Counter()
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
            problem = difference(expected[1], found[1], 1e-9)
            if not problem and expected[0] != found[0]:
                problem = f"exit codes {expected[0]} and {found[0]}"
            if problem:
                problems.append(f"seed {args.seed}, {tank.name}: {problem}")
            statuses[found[1]["status"]] += 1
            for day in found[1]["days"]:
                if day["held_by"]:
                    caps[day["held_by"]["cap"]] += 1
    print(f"{args.count} tanks of seed {args.seed}: {dict(statuses)}, days held by {dict(caps)}")
    print("\n".join(problems))
    # The comparison must have seen every way a plan can end, and most caps.
    assert len(statuses) == 3, statuses
    assert len(caps) >= 6, caps
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
