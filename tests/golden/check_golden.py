#!/usr/bin/env python3
"""The plan of each example is the one that was kept (regression values of our own).

check_golden.py PROGRAM SOURCE_FOLDER [--update]

Compared field by field with 1e-9 relative tolerance. --update keeps what the
program says now; look at the difference before you commit it.
"""
import json
import pathlib
import subprocess
import sys

HERE = pathlib.Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "reference"))
from plan_compare import difference  # noqa: E402


def main():
    program, source = sys.argv[1], pathlib.Path(sys.argv[2])
    update = "--update" in sys.argv
    tanks = sorted(source.glob("examples/*/*.tank.json"))
    assert len(tanks) >= 2, "there are no examples"
    problems = []
    for tank in tanks:
        kept = HERE / tank.name.replace(".tank.json", ".plan.json")
        result = subprocess.run([program, "plan", tank, "--json"], capture_output=True, text=True,
                                check=True)
        if update:
            kept.write_text(result.stdout)
            continue
        problem = difference(json.loads(kept.read_text()), json.loads(result.stdout), 1e-9)
        if problem:
            problems.append(f"{tank.name}: {problem}")
    print("\n".join(problems) or f"{len(tanks)} examples are planned as they were")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
