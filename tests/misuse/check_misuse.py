#!/usr/bin/env python3
"""A quantity cannot be taken for another: what must not compile does not.

check_misuse.py COMPILER SOURCE_FOLDER

Each case is a line of C++ with one gap. Filled with the right type it compiles, with a
wrong one it does not; since nothing else differs, it fails for the type alone. Then the
public headers are searched for numbers that carry a unit in their name instead of a type.
"""
import concurrent.futures
import os
import pathlib
import re
import subprocess
import sys
from typing import NamedTuple


class Case(NamedTuple):
    name: str
    header: str
    line: str
    right: str
    wrong: str


CASES = [
    Case("a PPFD where a dose is meant: the upper end of a band", "coral/profile.hpp",
         "DoseBand band{DailyDose::mol_m2_d(4), @};", "DailyDose::mol_m2_d(12)",
         "Ppfd::umol_m2_s(12)"),
    Case("a PPFD where a dose is meant: light of before", "tank/answers.hpp",
         "make_earlier_light(@, Ppfd::umol_m2_s(190));", "DailyDose::mol_m2_d(6.2)",
         "Ppfd::umol_m2_s(6.2)"),
    Case("a dose where a PPFD is meant: a ceiling", "coral/profile.hpp",
         "Tolerance t{}; t.peak_ceiling = @;", "Ppfd::umol_m2_s(400)", "DailyDose::mol_m2_d(400)"),
    Case("dose and peak the wrong way round", "light/quantity.hpp",
         "Exposure e{@};", "DailyDose::mol_m2_d(8), Ppfd::umol_m2_s(250)",
         "Ppfd::umol_m2_s(250), DailyDose::mol_m2_d(8)"),
    Case("a bare number for a PPFD", "coral/excitation.hpp",
         "Excitation e{@};", "Ppfd::umol_m2_s(300)", "300.0"),
    Case("a PPFD for a bare number", "coral/excitation.hpp",
         "find_peak_over_ek(@);", "0.5", "Ppfd::umol_m2_s(0.5)"),
    Case("a PPFD assigned to a number", "light/quantity.hpp",
         "double x = @;", "Ppfd::umol_m2_s(200).umol_m2_s()", "Ppfd::umol_m2_s(200)"),
    Case("a PPFD read as mol", "light/quantity.hpp",
         "Ppfd::umol_m2_s(200).@();", "umol_m2_s", "mol_m2_d"),
    Case("a dose added to a PPFD", "light/quantity.hpp",
         "Ppfd::umol_m2_s(200) + @;", "Ppfd::umol_m2_s(9)", "DailyDose::mol_m2_d(9)"),
    Case("a number added to a PPFD", "light/quantity.hpp",
         "Ppfd::umol_m2_s(200) + @;", "Ppfd::umol_m2_s(9)", "9.0"),
    Case("a dose compared with a PPFD", "light/quantity.hpp",
         "bool more = DailyDose::mol_m2_d(9) > @;", "DailyDose::mol_m2_d(8)",
         "Ppfd::umol_m2_s(8)"),
    Case("a dose held against a PPFD as its limit", "light/quantity.hpp",
         "exceeds(DailyDose::mol_m2_d(9), @);", "DailyDose::mol_m2_d(8)", "Ppfd::umol_m2_s(8)"),
    Case("the ratio of a dose and a PPFD", "light/quantity.hpp",
         "double ratio = DailyDose::mol_m2_d(9) / @;", "DailyDose::mol_m2_d(8)",
         "Ppfd::umol_m2_s(8)"),
    Case("a PPFD over days", "light/quantity.hpp",
         "DailyDose dose = Ppfd::umol_m2_s(200) * @;", "Hours::h(10)", "Days::d(10)"),
    Case("a PPFD times a PPFD", "light/quantity.hpp",
         "Ppfd::umol_m2_s(200) * @;", "2.0", "Ppfd::umol_m2_s(2)"),
    Case("hours where a percentage is meant", "light/exposure.hpp",
         "[](const LightCourse& light) { full_output_hours(light, @); };",
         "Percent::of_full(80)", "Hours::h(80)"),
    Case("hours for a time constant of days", "coral/acclimation.hpp",
         "daily_adaptation(@);", "Days::d(10)", "Hours::h(10)"),
    Case("a bare number for a time constant", "coral/acclimation.hpp",
         "daily_adaptation(@);", "Days::d(10)", "10.0"),
    Case("minutes where hours are meant", "light/photoperiod.hpp",
         "exceeds(longest_lit_day, @);", "Minutes::min(840).hours()", "Minutes::min(840)"),
    Case("a time of day where a rise is meant", "light/photoperiod.hpp",
         "Photoperiod::between(ClockTime::minute(540), ClockTime::minute(1200), @, {});",
         "Minutes::min(60)", "ClockTime::minute(60)"),
    Case("a rise where a time of day is meant", "light/photoperiod.hpp",
         "Photoperiod::between(ClockTime::minute(540), @, {}, {});", "ClockTime::minute(1200)",
         "Minutes::min(1200)"),
    Case("a sum of two times of day", "light/clock_time.hpp",
         "ClockTime::minute(540) + @;", "Minutes::min(60)", "ClockTime::minute(60)"),
    Case("a bare number for a sample's time", "light/logged_light.hpp",
         "LightSample sample{@, Ppfd::umol_m2_s(200)};", "ClockTime::minute(540)", "540.0"),
    Case("a length where a wavelength is meant", "light/spectrum.hpp",
         "luminous_efficiency(@);", "Wavelength::nm(555)", "Length::cm(555)"),
    Case("a bare number for a wavelength", "light/sea_water.hpp",
         "attenuation_at(WaterType::II, @);", "Wavelength::nm(450)", "450.0"),
    Case("photons per joule where lux per PPFD is meant", "light/lux_factors.hpp",
         'LuxFactor factor{"sun", @};', "LuxPerPpfd::lux_per_umol(54)",
         "PhotonsPerJoule::umol_per_joule(54)"),
    Case("a bare number for a place", "light/light_map.hpp",
         "Position p{Length::cm(70), Length::cm(30), @};", "Length::cm(15)", "15.0"),
    Case("a depth in a tank where one in the sea is meant", "light/sea_water.hpp",
         "share_left(WaterType::II, @);", "Depth::m(3)", "Length::cm(300)"),
    Case("a depth where an attenuation is meant", "light/sea_water.hpp",
         "share_left(@, Depth::m(3));", "Attenuation::per_m(0.1)", "Depth::m(0.1)"),
    Case("an angle where a latitude is meant", "light/sunlight.hpp",
         "compute_sunlight(@, 246, 0.3);", "Latitude::degrees(-20)", "Angle::degrees(-20)"),
    Case("a dose where the sun's energy is meant", "light/sunlight.hpp",
         "par_photons(@);", "DailyRadiation::mj_m2_d(20)", "DailyDose::mol_m2_d(20)"),
]


def compiles(compiler, source, case, filling):
    text = (f"#include <slowdawn/{case.header}>\nusing namespace slowdawn;\n"
            f"void snippet() {{ {case.line.replace('@', filling)} }}\n")
    run = subprocess.run([compiler, "-std=c++20", "-fsyntax-only", "-w", "-I",
                          str(source / "include"), "-x", "c++", "-"],
                         input=text, capture_output=True, text=True, check=False)
    return run.returncode == 0, run.stderr


def problem_of(compiler, source, case):
    """What is wrong with a case; empty where it is as it should be."""
    is_right_taken, said = compiles(compiler, source, case, case.right)
    if not is_right_taken:
        return f"{case.name}: the right type does not compile\n{said}"
    if compiles(compiler, source, case, case.wrong)[0]:
        return f"{case.name}: the wrong type compiles: {case.wrong}"
    return ""


# Words that name a unit, or part of one as in umol_m2_s.
UNITS = set("""d day days h hour hours min minute minutes s second seconds m m2 cm mm nm in inch
    inches degrees radians percent lux mol umol mj kwh joule joules watt watts ppfd per""".split())
# What a number must not be called even without a unit.
QUANTITIES = set("dose peak ppfd depth length width height latitude wavelength elevation".split())
NUMBER = re.compile(r"\bdouble\b(?:\s*>)*\s*[&*]*\s*([a-z]\w*)(\(\) const)?")
# The factor of a day's rise (ramp/caps.hpp), which is no time.
WITHOUT_UNIT = {"day"}


def untyped_numbers(text):
    """Names of numbers in a header that should be of a type."""
    found = []
    for name, accessor in NUMBER.findall(re.sub(r"//[^\n]*", "", text)):
        words = name.split("_")
        if accessor and set(words) <= UNITS:  # Ppfd::umol_m2_s() and its like
            continue
        if name in WITHOUT_UNIT:
            continue
        if words[-1] in UNITS or name in QUANTITIES:
            found.append(name)
    return found


# What the search must find, and what it must leave.
PLANTED = [
    ("double tau_up_days;", ["tau_up_days"]),
    ("std::optional<double> depth_cm = {};", ["depth_cm"]),
    ("std::vector<std::vector<double>> widths_cm;", ["widths_cm"]),
    ("f(double latitude, const double& off_minute);", ["latitude", "off_minute"]),
    ("inline constexpr double lux_per_ppfd = 54;", ["lux_per_ppfd"]),
    ("double depth_cm() const;", ["depth_cm"]),
    ("constexpr double umol_m2_s() const;  // double x_cm", []),
    ("double ratio; double dose_ratio; double share_left(Depth depth);", []),
]


def check_search(source):
    problems = [f"the search finds {untyped_numbers(text)} in: {text}"
                for text, names in PLANTED if untyped_numbers(text) != names]
    headers = sorted((source / "include").rglob("*.hpp"))
    assert len(headers) > 50, f"only {len(headers)} headers; is {source} the source folder?"
    for header in headers:
        problems += [f"{header}: {name} is a double, and should be of a type"
                     for name in untyped_numbers(header.read_text())]
    return problems


def check_checker(compiler, source):
    """Both ways in which a case may be wrong are noticed."""
    case = CASES[0]
    return [f"a planted case goes unnoticed: {planted.right}, {planted.wrong}"
            for planted in (case._replace(wrong=case.right), case._replace(right=case.wrong))
            if not problem_of(compiler, source, planted)]


def main():
    compiler, source = sys.argv[1], pathlib.Path(sys.argv[2])
    problems = check_search(source) + check_checker(compiler, source)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        problems += filter(None, pool.map(lambda c: problem_of(compiler, source, c), CASES))
    print("\n".join(problems) or f"{len(CASES)} misuses do not compile, and their twins do")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
