#!/usr/bin/env python3
"""The same inputs give the same bytes, wherever and however the program runs.

check_sameness.py PROGRAM SOURCE_FOLDER

Every command that answers is run as usual, and again under odd locales (decimal commas, a
Turkish i), in an odd time zone, on one core, in another folder, with next to no environment;
standard output, standard error and the exit code must be the same to the byte.
"""
import datetime
import os
import pathlib
import subprocess
import sys
import tempfile

PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
SOURCE = pathlib.Path(sys.argv[2]).resolve()
EXAMPLES = sorted(SOURCE.glob("examples/*/*.tank.json"))
DATE = ["--date", "2026-12-24"]
OF_A_TANK = [["check"], ["survey"], ["place"], ["plan"], ["plan", "--csv"], ["plan", "--even"],
             ["today", *DATE], ["why", *DATE], ["risk"], ["report"], ["sheet"], ["calendar"]]
WITHOUT_JSON = (["plan", "--csv"],)
OTHERS = [["profiles"], ["profiles", "acropora"], ["schema"], ["schema", "--profile"], ["--help"],
          ["origin", "--latitude", "-20", "--date", "2026-09-03", "--depth", "3.5"],
          ["origin", "--latitude", "-20", "--date", "2026-09-03", "--depth", "3,5"],
          ["completion", "bash"], ["manual"], ["plan", "there-is-no-such.tank.json"]]
ODD_LOCALES = ("de_DE", "tr_TR", "ar_EG")


def commands():
    for tank in EXAMPLES:
        for words in OF_A_TANK:
            yield [*words, str(tank)]
            if words not in WITHOUT_JSON:
                yield [*words, str(tank), "--json"]
    yield from OTHERS


def answer(words, prefix=(), **how):
    done = subprocess.run([*prefix, PROGRAM, *words], capture_output=True, check=False,
                          stdin=subprocess.DEVNULL, **how)
    return done.returncode, done.stdout, done.stderr


def make_locales(folder):
    """Compiles the odd locales where the system has their sources; their names."""
    names = []
    for name in ODD_LOCALES:
        made = subprocess.run(["localedef", "-i", name, "-f", "UTF-8", str(folder / name)],
                              capture_output=True, check=False)
        if (folder / name / "LC_NUMERIC").exists():
            names.append(name)
        else:
            raise SystemExit(f"the locale {name} could not be made: {made.stderr.decode()}")
    return names


def odd_zone():
    """An odd offset under which the date is still that of the plain run."""
    is_morning = datetime.datetime.now(datetime.timezone.utc).hour < 12
    return "ODD-9:45" if is_morning else "ODD+11:15"


def ways(folder):
    """(what is odd, arguments of `answer`)"""
    plain = {key: value for key, value in os.environ.items()
             if key not in ("SLOWDAWN_TANK", "NO_COLOR") and not key.startswith(("LC_", "LANG"))}
    plain["TZ"] = "UTC0"
    yield "as usual", {"env": plain}
    for name in make_locales(folder):
        yield f"locale {name}", {"env": {**plain, "LOCPATH": str(folder), "LC_ALL": name,
                                         "LANG": name, "LANGUAGE": name}}
    yield "time zone", {"env": {**plain, "TZ": odd_zone()}}
    yield "one core", {"env": plain, "prefix": ["taskset", "--cpu-list", "0"]}
    yield "another folder", {"env": plain, "cwd": folder}
    yield "next to no environment", {"env": {"TZ": "UTC0", "COLUMNS": "7", "TERM": "odd"}}


def main():
    with tempfile.TemporaryDirectory() as name:
        kinds = list(ways(pathlib.Path(name)))
        count = 0
        for words in commands():
            usual = answer(words, **kinds[0][1])
            assert usual[0] in (0, 1, 2, 3), (words, usual)
            assert usual[1] or usual[2], words
            for what, how in kinds[1:]:
                odd = answer(words, **how)
                assert odd == usual, f"{what}: {words} gives other bytes:\n{usual}\n{odd}"
                count += 1
    print(f"{count} answers were the same to the byte, {len(kinds) - 1} odd ways to run")


if __name__ == "__main__":
    main()
