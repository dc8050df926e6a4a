#!/usr/bin/env python3
"""Which lines and branches of the trade's rooms their own tests run; fails where too few.

coverage.py BUILD_FOLDER, a build with SLOWDAWN_COVERAGE whose tests have run; `bash tests/run.sh
sanitize` calls it.
"""
import json
import pathlib
import shutil
import subprocess
import sys

ROOMS = ["light", "coral", "ramp", "logbook"]
# At the least, in percent.
WANTED = {"lines": 90, "branches": 80}


def find_tool(name):
    """The newest of a tool whose Debian packages carry its version in the name."""
    tools = [name] + [f"{name}-{version}" for version in range(20, 13, -1)]
    found = [tool for tool in tools if shutil.which(tool)]
    if not found:
        raise SystemExit(f"error: there is no {name}; Debian's package llvm-14 has it")
    return found[0]


def summaries(build):
    """File name -> its summary, of all programs of tests together."""
    profiles = sorted((build / "profiles").glob("rooms_*.profraw"))
    if not profiles:
        raise SystemExit(f"error: no test of {build} recorded what it ran")
    merged = build / "profiles/rooms.profdata"
    subprocess.run([find_tool("llvm-profdata"), "merge", "-sparse", *profiles, "-o", merged],
                   check=True)
    programs = sorted(path for path in build.glob("test_*") if path.is_file())
    objects = [word for path in programs[1:] for word in ("-object", path)]
    said = subprocess.run([find_tool("llvm-cov"), "export", "-summary-only",
                           f"-instr-profile={merged}", programs[0], *objects],
                          check=True, capture_output=True, text=True).stdout
    return {file["filename"]: file["summary"] for file in json.loads(said)["data"][0]["files"]}


def main():
    build = pathlib.Path(sys.argv[1]).resolve()
    totals = {}
    for name, summary in summaries(build).items():
        folder = pathlib.Path(name).parent.name
        if folder not in ROOMS or "tests" in pathlib.Path(name).parts:
            continue
        for kind in WANTED:
            total = totals.setdefault((folder, kind), [0, 0])
            total[0] += summary[kind]["covered"]
            total[1] += summary[kind]["count"]
    missing = [room for room in ROOMS if totals.get((room, "lines"), [0, 0])[1] == 0]
    if missing:
        raise SystemExit(f"error: nothing was measured of {', '.join(missing)}")
    failed = False
    for kind, wanted in WANTED.items():
        sums = {room: totals[room, kind] for room in ROOMS}
        covered, count = (sum(pair[i] for pair in sums.values()) for i in (0, 1))
        rooms = ", ".join(f"{room} {100 * a / b:.1f}" for room, (a, b) in sums.items())
        print(f"{kind}: {100 * covered / count:.1f} % of {count} run ({rooms})")
        if 100 * covered < wanted * count:
            print(f"error: at least {wanted} % of the {kind} should", file=sys.stderr)
            failed = True
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
