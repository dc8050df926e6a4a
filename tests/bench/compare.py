#!/usr/bin/env python3
"""One plan and one risk, by the program, in Python with NumPy, and in a LibreOffice sheet: the
times, and how many times as long the others take, all in one run.

compare.py PROGRAM     needs python3-scipy and libreoffice-calc (Debian)

All three plan the same invented tank: twelve groups, one light that is turned up. They must
come to the same setting on every day, else this is an error. The risk is that of
`slowdawn risk`, as many draws of the same figures; the sheet does a hundredth of them, since
it would take too long, and its time without the start is multiplied. Times are the best of
some runs; the program's are of the whole process, Python's without its start.
"""
import csv
import json
import pathlib
import subprocess
import sys
import tempfile
import time
import xml.sax.saxutils

import numpy

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "reference"))
import plan_reference  # noqa: E402

PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
PROFILES = HERE.parents[1] / "profiles"
GROUPS = 12
HOURS = 10
FROM, TO = 30, 90
READING = 40
START = "2026-12-01"
# The figures that every group has; the tank file gives them in place of its profile's.
HEADROOM, RISE, TAU_UP, TAU_DOWN = 0.30, 0.15, 12, 5
HEADROOM_SD, TAU_SD = 0.25, 0.40


def readings():
    return [90 + 5 * group for group in range(GROUPS)]


def make_tank():
    figures = {"headroom_percent": 100 * HEADROOM, "weekly_rise_percent": 100 * RISE,
               "tau_up_days": TAU_UP, "tau_down_days": TAU_DOWN,
               "dose_band": [2, 40], "peak_ceiling": 900}
    spots = [f"spot {group}" for group in range(GROUPS)]
    return {
        "format": "slowdawn-tank/1", "name": "Bench",
        "lights": [{"name": "panel", "photoperiod": {"on": "09:00", "off": "19:00"}}],
        "spots": [{"name": spot} for spot in spots],
        "surveys": [{"dials": {"panel": READING}, "ppfd": dict(zip(spots, readings()))}],
        "groups": [{"name": f"group {g}", "profile": "acropora", "spot": spot,
                    "override": figures} for g, spot in enumerate(spots)],
        "ramp": {"from": {"panel": FROM}, "to": {"panel": TO}, "start": START}}


def best_of(runs, work):
    """The shortest time of some runs, in seconds, and what the last gave."""
    best = None
    for _ in range(runs):
        began = time.perf_counter()
        result = work()
        took = time.perf_counter() - began
        best = took if best is None else min(best, took)
    return best, result


def program(*words):
    return json.loads(subprocess.run([PROGRAM, *words], stdout=subprocess.PIPE, check=True).stdout)


def numpy_risk(plan, draws):
    """The chance of each group, by the equations of ramp/risk.hpp; u is 0 for one reading."""
    random = numpy.random.default_rng(1)
    chances = []
    for group in range(GROUPS):
        days = [day["groups"][group] for day in plan["days"]]
        reach = 1 + HEADROOM * numpy.exp(numpy.sqrt(numpy.log1p(HEADROOM_SD ** 2))
                                         * random.standard_normal(draws))
        slower = numpy.exp(numpy.sqrt(numpy.log1p(TAU_SD ** 2)) * random.standard_normal(draws))
        up, down = -numpy.expm1(-1 / (TAU_UP * slower)), -numpy.expm1(-1 / (TAU_DOWN * slower))
        met = numpy.zeros(draws, dtype=bool)
        for key in ("dose", "peak"):
            level = numpy.full(draws, days[0][f"acclimated_{key}"])
            for day in days:
                met |= day[key] > reach * level
                level += numpy.where(day[key] > level, up, down) * (day[key] - level)
        chances.append(met.mean())
    return chances


class Sheet:
    """A flat OpenDocument sheet of formulas, and what LibreOffice makes of it."""

    def __init__(self):
        self.rows = []

    def add(self, *cells):
        self.rows.append(cells)
        return len(self.rows)

    @staticmethod
    def cell(value):
        if isinstance(value, str) and value.startswith("="):
            formula = xml.sax.saxutils.quoteattr("of:" + value)
            return f"<table:table-cell table:formula={formula} office:value-type=\"float\"/>"
        if isinstance(value, str):
            text = xml.sax.saxutils.escape(value)
            return f"<table:table-cell><text:p>{text}</text:p></table:table-cell>"
        return f"<table:table-cell office:value-type=\"float\" office:value=\"{value!r}\"/>"

    def write(self, file):
        rows = "".join(f"<table:table-row>{''.join(map(self.cell, row))}</table:table-row>"
                       for row in self.rows)
        names = " ".join(f'xmlns:{key}="urn:oasis:names:tc:opendocument:xmlns:{key}:1.0"'
                         for key in ("office", "table", "text"))
        file.write_text(f"""<?xml version="1.0" encoding="UTF-8"?>
<office:document {names} xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"
 office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:body><office:spreadsheet><table:table table:name="s">{rows}</table:table>
</office:spreadsheet></office:body></office:document>""")

    def work_out(self, folder, name):
        file = folder / f"{name}.fods"
        self.write(file)
        subprocess.run(["soffice", f"-env:UserInstallation=file://{folder}/office", "--headless",
                        "--convert-to", "csv", "--outdir", str(folder), str(file)],
                       check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        with (folder / f"{name}.csv").open(newline="") as stream:
            return list(csv.reader(stream))


def column(number):
    name = ""
    number += 1
    while number:
        number, letter = divmod(number - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def at(number, row):
    return f"[.{column(number)}{row}]"


def plan_sheet(days):
    """One row a day: the setting, then A, B, L and M of each group before its light. One light
    goes up, so the setting of a day is the largest that breaks no cap."""
    sheet = Sheet()
    doses = [0.0036 * ppfd / READING * HOURS for ppfd in readings()]  # a percent of the dial
    peaks = [ppfd / READING for ppfd in readings()]
    slack = 1 + 1e-9

    def setting(row):
        caps = []
        for g in range(GROUPS):
            a, b, lift, rise = (at(1 + 4 * g + i, row) for i in range(4))
            caps.append(f"MIN(MAX({lift};{a});{1 + HEADROOM}*{a})/{doses[g]!r}")
            caps.append(f"MIN(MAX({rise};{b});{1 + HEADROOM}*{b})/{peaks[g]!r}")
            caps.append(f"40/{doses[g]!r};900/{peaks[g]!r}")
        return f"=MIN({TO};INT({slack!r}*MIN({';'.join(caps)})))"

    start = [number for dose, peak in zip(doses, peaks)
             for number in (FROM * dose, FROM * peak, FROM * dose, FROM * peak)]
    sheet.add(setting(1), *start)
    for row in range(2, days + 1):
        cells = [setting(row)]
        dial, after = at(0, row - 1), f"MIN({TO};{at(0, row - 1)}+1)"
        for g in range(GROUPS):
            for kind, unit in enumerate((doses[g], peaks[g])):
                level, got = at(1 + 4 * g + kind, row - 1), f"{dial}*{unit!r}"
                cells.append(f"={level}+(1-EXP(-1/IF({got}>{level};{TAU_UP};{TAU_DOWN})))"
                             f"*({got}-{level})")
            for kind, unit in enumerate((doses[g], peaks[g])):
                lift = at(3 + 4 * g + kind, row - 1)
                cells.append(f"=MIN({lift}*{1 + RISE}^(1/7);"
                             f"MAX({1 + RISE}*{dial}*{unit!r};{after}*{unit!r}))")
        sheet.add(*cells)
    return sheet


def risk_sheet(plan, draws):
    """A row for each group and draw: its headroom and time constants, then for each day A, B and
    whether it has met too much by then."""
    sheet = Sheet()
    for g in range(GROUPS):
        days = [day["groups"][g] for day in plan["days"]]
        for _ in range(draws):
            row = len(sheet.rows) + 1
            spread = float(numpy.sqrt(numpy.log1p(HEADROOM_SD ** 2)))
            slow = float(numpy.sqrt(numpy.log1p(TAU_SD ** 2)))
            cells = [f"=1+{HEADROOM}*EXP({spread!r}*LEGACY.NORMSINV(RAND()))",
                     f"=EXP({slow!r}*LEGACY.NORMSINV(RAND()))",
                     f"=1-EXP(-1/({TAU_UP}*{at(1, row)}))", f"=1-EXP(-1/({TAU_DOWN}*{at(1, row)}))"]
            for number, day in enumerate(days):
                tests = [] if number == 0 else [f"{at(3 + 3 * number, row)}=1"]
                for kind, key in enumerate(("dose", "peak")):
                    cell = 4 + 3 * number + kind
                    if number == 0:
                        cells.append(day[f"acclimated_{key}"])
                    else:
                        level, got = at(cell - 3, row), repr(days[number - 1][key])
                        cells.append(f"={level}+IF({got}>{level};{at(2, row)};{at(3, row)})"
                                     f"*({got}-{level})")
                    tests.append(f"{day[key]!r}>{at(0, row)}*{at(cell, row)}")
                cells.append(f"=IF(OR({';'.join(tests)});1;0)")
            sheet.add(*cells)
    return sheet


def line(what, seconds, against):
    print(f"  {what:48} {1000 * seconds:11.1f} ms  {seconds / against:9.0f} x")


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        spec = make_tank()
        tank = folder / "bench.tank.json"
        tank.write_text(json.dumps(spec))

        mine, plan = best_of(15, lambda: program("plan", str(tank), "--json"))
        days = len(plan["days"])
        theirs, other = best_of(3, lambda: plan_reference.plan_tank(spec, PROFILES))
        settings = [day["dials"]["panel"] for day in plan["days"]]
        assert settings == [day["dials"]["panel"] for day in other["days"]], "Python plans otherwise"
        empty = Sheet()
        empty.add("empty")
        office, _ = best_of(2, lambda: empty.work_out(folder, "empty"))
        sheet, rows = best_of(2, lambda: plan_sheet(days).work_out(folder, "plan"))
        assert settings == [float(row[0]) for row in rows[:days]], "the sheet plans otherwise"
        print(f"One plan, {GROUPS} groups, {days} days; the same setting on every day:")
        line("slowdawn plan --json, whole process", mine, mine)
        line("Python (the second implementation)", theirs, mine)
        line("LibreOffice sheet, whole process", sheet, mine)
        line("  of it without the start of LibreOffice", sheet - office, mine)

        mine, risk = best_of(5, lambda: program("risk", str(tank), "--json"))
        draws = risk["draws"]
        theirs, chances = best_of(2, lambda: numpy_risk(plan, draws))
        for group, chance in zip(risk["groups"], chances):
            error = (2 * max(chance * (1 - chance), 1e-4) / draws) ** 0.5
            assert abs(group["chance"] - chance) < 5 * error, "NumPy has another chance"
        few = max(draws // 100, 1)
        sheet, rows = best_of(1, lambda: risk_sheet(plan, few).work_out(folder, "risk"))
        met = sum(float(row[3 + 3 * days]) for row in rows[:GROUPS * few]) / (GROUPS * few)
        mean = sum(chances) / GROUPS
        assert abs(met - mean) < 5 * (0.25 / few) ** 0.5, "the sheet has another chance"
        sheet = (sheet - office) * draws / few
        print(f"\nRisk, {draws} draws; the program does it at three paces besides:")
        line("slowdawn risk --json, whole process", mine, mine)
        line("NumPy, one pace", theirs, mine)
        line(f"LibreOffice sheet without start (from {few} draws)", sheet, mine)


if __name__ == "__main__":
    main()
