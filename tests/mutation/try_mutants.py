#!/usr/bin/env python3
"""Breaks the planner in small ways, one at a time, and shows that a test catches each.

try_mutants.py [WORD]     all, or those with this word in their text or file

Each mutant changes one place of a copy of the source, builds the tests of the rooms in it
and runs them until one fails. A mutant that no test catches, or that does not compile, is
an error, as is a place that the source no longer has: then write the mutant anew. It takes
about a quarter of an hour; run it after a change of the planner or of its tests.
"""
import pathlib
import re
import shutil
import subprocess
import sys
import typing

SOURCE = pathlib.Path(__file__).resolve().parents[2]
WORK = SOURCE / "build/mutation"
# Those that are quick and nearest to the planner come first.
TESTS = ["test_coral", "test_ramp", "test_logbook", "test_tank", "test_property"]
LONGEST_TEST_SECONDS = 600


class BadMutant(Exception):
    """One that cannot be tried."""


class Mutant(typing.NamedTuple):
    what: str
    file: str
    old: str
    new: str


CAPS = "src/ramp/caps.cpp"
QUICK_CAPS = "include/slowdawn/ramp/caps.hpp"
WALK = "src/ramp/walk.cpp"
PLANNER = "src/ramp/planner.cpp"
PATH = "src/ramp/path.cpp"
MOVES = "src/ramp/moves.cpp"
ACCLIMATION = "src/coral/acclimation.cpp"
PROFILE = "src/coral/profile.cpp"
START = "src/tank/group_start.cpp"

MUTANTS = [
    # Caps left out, or held against the wrong thing.
    Mutant("the pace of the dose is left out", CAPS,
           "  consider_smaller(Cap::dose_pace, limits.dose_pace, Cap::dose_headroom, "
           "limits.dose_headroom,\n                   exposure.dose);\n",
           "  consider(Cap::dose_headroom, exposure.dose, limits.dose_headroom);\n"),
    Mutant("the caps of the peak's pace and headroom are left out", CAPS,
           "  consider_smaller(Cap::peak_pace, limits.peak_pace, Cap::peak_headroom, "
           "limits.peak_headroom,\n                   exposure.peak);\n", ""),
    Mutant("the larger of pace and headroom counts", CAPS,
           "std::min(pace_limit, headroom_limit)", "std::max(pace_limit, headroom_limit)"),
    Mutant("the band is no cap", CAPS,
           "  consider(Cap::dose_band, exposure.dose, limits.dose_band);\n", ""),
    Mutant("the ceiling is no cap", CAPS,
           "  consider(Cap::peak_ceiling, exposure.peak, limits.peak_ceiling);\n", ""),
    Mutant("a group's history does not outrank its band", CAPS,
           "std::max(tolerance.dose_band.high, group.before.dose)", "tolerance.dose_band.high"),
    Mutant("a group's history does not outrank its ceiling", CAPS,
           "std::max(tolerance.peak_ceiling, group.before.peak)", "tolerance.peak_ceiling"),
    Mutant("the floor is no cap", CAPS, "if (present && exceeds(present->dose, exposure.dose)) {",
           "if (false) {"),
    Mutant("the floor counts for steps up as well", CAPS,
           "if (present && exceeds(present->dose, exposure.dose)) {", "if (present) {"),
    Mutant("a check-in's limit is no cap", CAPS,
           "  if (limits.check_in) consider(Cap::check_in, exposure.dose, *limits.check_in);\n",
           ""),
    Mutant("the excitation is no cap", CAPS,
           "  if (limits.excitation) consider(Cap::excitation, exposure.peak, "
           "*limits.excitation);\n", ""),
    Mutant("a tie of pace and headroom goes to headroom", CAPS,
           "const bool pace_binds = !exceeds(pace_limit, headroom_limit);",
           "const bool pace_binds = exceeds(headroom_limit, pace_limit);"),
    Mutant("the planner's quick look leaves the pace out", QUICK_CAPS,
           "std::min({std::max(state.allowance.dose, state.used_to.dose),\n"
           "                                     headroom_ * state.used_to.dose, highest_dose_});",
           "std::min({headroom_ * state.used_to.dose, highest_dose_});"),
    Mutant("the planner's quick look forgets the floor", QUICK_CAPS,
           "return present != nullptr && exceeds(present->dose, exposure.dose) &&",
           "return false && present != nullptr && exceeds(present->dose, exposure.dose) &&"),
    Mutant("the planner's quick look forgets check-ins", CAPS,
           "std::min(limits.dose_band, limits.check_in.value_or(limits.dose_band))",
           "limits.dose_band"),
    # The pace allowance.
    Mutant("the pace begins under what a group is used to", CAPS,
           ".dose_pace = std::max(state.allowance.dose, state.used_to.dose)",
           ".dose_pace = state.allowance.dose"),
    Mutant("a coarse dial is stuck", CAPS,
           "std::max(rates.week * day.dose, next.dose)", "rates.week * day.dose"),
    Mutant("any rise may be saved up", CAPS,
           "{std::min(rates.day * state.allowance.dose, std::max(rates.week * day.dose, "
           "next.dose)),", "{rates.day * state.allowance.dose,"),
    Mutant("the week has six days", CAPS, "std::pow(week, 1.0 / 7.0)", "std::pow(week, 1.0 / 6.0)"),
    # What a group is used to.
    Mutant("the time constants up and down are swapped", ACCLIMATION,
           "day.dose > used_to.dose ? rates.up : rates.down",
           "day.dose > used_to.dose ? rates.down : rates.up"),
    Mutant("the peak's time constants are swapped", ACCLIMATION,
           "day.peak > used_to.peak ? rates.up : rates.down",
           "day.peak > used_to.peak ? rates.down : rates.up"),
    Mutant("a lag is taken by its first term", ACCLIMATION,
           "-std::expm1(-1.0 / tau.d())", "1.0 / tau.d()"),
    Mutant("doubt makes bold", ACCLIMATION, "std::exp(-1.645 * uncertainty)",
           "std::exp(1.645 * uncertainty)"),
    Mutant("the carryover is left out", ACCLIMATION,
           "const double share = carryover * doubt_factor(uncertainty);",
           "const double share = doubt_factor(uncertainty) + 0.0 * carryover;"),
    Mutant("two readings are doubted like one", ACCLIMATION,
           "case Readings::one_meter: return std::sqrt(before * before + after * after);",
           "case Readings::one_meter: return after;"),
    Mutant("gentle has the headroom of standard", PROFILE,
           "      tolerance.headroom = tolerance.headroom * (2.0 / 3.0);\n", ""),
    Mutant("one more day in the dark", START, "static_cast<std::size_t>(std::max(days, 0))",
           "static_cast<std::size_t>(std::max(days, 0) + 1)"),
    # The choice of each day.
    Mutant("every step day comes a day late", WALK,
           "if (day % static_cast<std::size_t>(problem_.every_days) != 0",
           "if (day % static_cast<std::size_t>(problem_.every_days) != 1"),
    Mutant("a setting that breaks a cap is kept", WALK, "    --setting_;\n  }\n}\n",
           "    return;\n  }\n}\n"),
    Mutant("one step a day and no more", WALK,
           "    setting_ = toward_goal();\n    if (problem_.even) return;",
           "    setting_ = toward_goal();\n    return;"),
    Mutant("the plan opens one setting too far", WALK,
           "while (!at_goal() && is_safe(setting_ + 1)) ++setting_;",
           "while (!at_goal() && is_safe(setting_)) ++setting_;"),
    Mutant("settled within 6 %", WALK, "constexpr double settled_share = 0.05;",
           "constexpr double settled_share = 0.06;"),
    Mutant("a group may settle from above alone", WALK,
           "const double gap = std::abs((states_[g].used_to.dose - dose).mol_m2_d());",
           "const double gap = (states_[g].used_to.dose - dose).mol_m2_d();"),
    Mutant("the last day but one is the last", WALK, "if (day < last_plan_day) return false;",
           "if (day + 1 < last_plan_day) return false;"),
    Mutant("the first group that breaks a cap is named", WALK,
           "if (breach && (!worst || exceeds(breach->ratio, worst->breach.ratio))) worst",
           "if (breach && !worst) worst"),
    Mutant("a dose at the band's end is over it", PLANNER,
           "return exceeds(dose, band.high) ? BandFit::above_band : BandFit::within_band;",
           "return dose >= band.high ? BandFit::above_band : BandFit::within_band;"),
    # Path and moves.
    Mutant("a dial is rounded up and not cut back", PATH,
           "multiple(std::floor(dial / step + rounding), step)",
           "multiple(std::ceil(dial / step - rounding), step)"),
    Mutant("a dial under its lowest is set", PATH,
           "  if (value < range.lowest.percent()) value = 0.0;\n", ""),
    Mutant("a stay is a day too short", MOVES, "wish.not_before = day + wish.min_stay_days;",
           "wish.not_before = day + wish.min_stay_days - 1;"),
    Mutant("a move has no doubt", MOVES,
           "  const double factor = doubt_factor(std::max(0.0, doubt));\n",
           "  const double factor = doubt_factor(std::min(0.0, doubt));\n"),
]


def run(words, **more):
    return subprocess.run([str(word) for word in words], stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, text=True, check=False, **more)


class Workshop:
    """A copy of the source with a build of its own."""

    def __init__(self):
        self.source = WORK / "source"
        shutil.rmtree(self.source, ignore_errors=True)
        shutil.copytree(SOURCE, self.source, ignore=shutil.ignore_patterns("build", ".git"))
        self.build = WORK / "build"
        made = run(["cmake", "-S", self.source, "-B", self.build, "-G", "Ninja",
                    "-DCMAKE_BUILD_TYPE=Debug", "-DCMAKE_CXX_FLAGS_DEBUG=-O1",
                    "-DCMAKE_UNITY_BUILD=ON", "-DCMAKE_UNITY_BUILD_BATCH_SIZE=0",
                    "-DSLOWDAWN_TESTS=ON", "-DSLOWDAWN_WARNINGS_AS_ERRORS=OFF"])
        if made.returncode != 0:
            sys.exit(made.stdout)
        self.compile()

    def compile(self):
        made = run(["cmake", "--build", self.build, "--target", *TESTS])
        if made.returncode != 0:
            raise BadMutant("it does not compile:\n" + made.stdout[-3000:])

    def catch(self):
        """The first test that fails, or None where none does."""
        for test in TESTS:
            try:
                done = run([self.build / test, "--gtest_brief=1", "--gtest_fail_fast"],
                           cwd=self.build, timeout=LONGEST_TEST_SECONDS)
            except subprocess.TimeoutExpired:
                return f"{test} (it does not end)"
            if done.returncode != 0:
                failed = re.search(r"\[  FAILED  \] ([\w./]+)", done.stdout)
                return failed.group(1) if failed else f"{test} (it crashes)"
        return None

    def try_mutant(self, mutant):
        """The test that catches it, or None."""
        file = self.source / mutant.file
        text = file.read_text()
        if text.count(mutant.old) != 1:
            raise BadMutant(f"{mutant.file} does not have this place once any more:\n"
                            f"{mutant.old}")
        file.write_text(text.replace(mutant.old, mutant.new))
        try:
            self.compile()
            return self.catch()
        finally:
            file.write_text(text)


def main():
    only = sys.argv[1] if len(sys.argv) > 1 else ""
    chosen = [m for m in MUTANTS if only in m.what or only in m.file]
    if not chosen:
        sys.exit(f"no mutant has {only!r} in its text")
    print(f"{len(chosen)} mutants; first the tests must pass on the source as it is", flush=True)
    workshop = Workshop()
    broken = workshop.catch()
    if broken:
        sys.exit(f"error: {broken} fails on the source as it is")
    missed = 0
    for number, mutant in enumerate(chosen, 1):
        try:
            caught = workshop.try_mutant(mutant)
        except BadMutant as error:
            caught = None
            print(error, flush=True)
        missed += caught is None
        print(f"{number:3}  {mutant.what}: {caught or 'NOT CAUGHT'}", flush=True)
    print(f"{len(chosen) - missed} of {len(chosen)} mutants were caught")
    sys.exit(1 if missed else 0)


if __name__ == "__main__":
    main()
