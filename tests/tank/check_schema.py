#!/usr/bin/python3
"""Holds the published schema of a tank file against the program that reads one.

    check_schema.py PROGRAM FOLDER...

- what `PROGRAM schema` prints is a valid JSON Schema (2020-12), each key described;
- every *.tank.json of the folders, which hold good tanks, passes both;
- of the wrong files of tests/errors, the schema refuses all that are wrong in form,
  and passes those that are wrong in meaning (MEANING below);
- of good tanks with one value taken out (a few tanks, each value) or exchanged at
  random, the schema refuses none that the program takes, and takes none that the
  program refuses for its form.

Needs python3-jsonschema. Exit code 1 if anything of this does not hold.
"""

import copy
import json
import pathlib
import random
import re
import subprocess
import sys
import tempfile

from jsonschema import Draft202012Validator

ERRORS = pathlib.Path(__file__).resolve().parent.parent / "errors"
SEED = 20261201

# Cases of tests/errors that a schema cannot judge: names that do not exist or stand
# twice, figures that do not go together, readings that are not there.
MEANING = {
    "misspelt_light", "misspelt_light_in_a_survey", "misspelt_spot",
    "misspelt_spot_in_a_survey", "misspelt_profile", "profile_far_from_any",
    "two_lights_of_one_name", "two_spots_of_one_name", "two_groups_of_one_name",
    "missing_reading", "missing_reading_before", "missing_reading_where_it_moves",
    "lights_not_separable", "goal_beside_the_mixes_that_were_read",
    "light_known_too_badly", "light_left_with_nothing", "no_light_at_a_spot", "comes_from_the_dark",
    "dial_beyond_highest", "dial_under_lowest", "lowest_over_highest",
    "lit_over_14_hours", "on_when_off", "rise_and_fall_too_long", "points_out_of_order",
    "three_points_at_one_time", "dimming_falls", "history_impossible", "band_reversed",
    "ready_where_it_is", "via_twice", "meshes_not_rising", "lux_without_a_factor",
    "relative_with_a_history", "history_since_a_later_day",
    "relative_with_an_ek", "excitation_cap_without_an_ek",
    "cloth_that_is_not_there", "cloths_not_rising", "sun_without_a_start",
    "sun_without_outside_ppfd", "outside_ppfd_without_the_sun", "sun_in_lux",
    "sun_with_a_relative_meter", "lamp_changed_after_the_readings",
    "share_for_a_survey", "share_for_the_light_before", "share_for_the_goal",
    "share_for_a_history",
}
# How the program's messages about meaning go on, for the exchanged values.
MEANING_TEXTS = [
    "there is no spot", "there is no profile", "there is no light",
    "in the readings of spots", "there are two", "needs a reading of",
    "tell \"", "leave nothing for", "do not tell",
    "gets no light", "comes from is dark", "cannot be dialled", "lowest is over its highest",
    "lit for over 14 h", "on and off at the same time", "do not fit between on and off",
    "not in the order of the day", "three points stand at one time", "pairs do not rise",
    "more than 24 h a day", "band's low end", "is at this spot already", "stands twice on this",
    "do not get lighter", "cannot be turned into PPFD", "means nothing to a relative meter",
    "comes after the ramp has begun", "cannot be read",
    "needs an \"ek\"", "has no shade cloth of", "shade cloths do not rise",
    "needs the day on which the ramp starts", "needs \"outside_ppfd\"",
    "belongs to a survey under the sun", "read in PPFD, not in lux",
    "cannot be held against the sun", "there is no time zone", "not a share", "the lamp was changed on",
]
OTHER_VALUES = [None, True, False, -1, 0, 0.001, 0.3, 1, 1.0, 1.5, 2, 28, 29, 50, 51, 101, 365.5,
                1441, 3000, 3001, 10001, 1e300, "", "x", "cm", "in", "inches", "mm", "highest",
                "gentle", "24:00", "08:15", "8:15", "2026-02-28", "2026-02-29", "2400-02-29",
                "1899-12-31", "3000-01-01", "2026-11-18T00:00", [], [1], [1, 2], ["10:00", 0], {},
                {"name": "x"}, {"dose": 5, "peak": 300}, {"low": 5}]
OTHER_KEYS = ["depth_in", "depth", "units", "to_spot", "override", "start", "pace", "points", "on",
              "rise_minutes", "weekly_rise_percent", "light_class", "", "x"]


def refuse_twins(pairs):
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a key stands twice")
    return made


def refuse_number(text):
    raise ValueError(text + " is no number of JSON")


def parse(text):
    """JSON as strictly as RFC 8259 has it; ValueError otherwise."""
    def to_float(digits):
        value = float(digits)
        return refuse_number(digits) if value in (float("inf"), float("-inf")) else value
    return json.loads(text, object_pairs_hook=refuse_twins, parse_constant=refuse_number,
                      parse_float=to_float)


class Checker:
    def __init__(self, program):
        self.program = program
        self.problems = []
        schema = json.loads(self.run("schema").stdout)
        Draft202012Validator.check_schema(schema)
        self.validator = Draft202012Validator(schema,
                                              format_checker=Draft202012Validator.FORMAT_CHECKER)
        self.check_descriptions(schema, schema, "#")

    def run(self, *arguments):
        return subprocess.run([self.program, *arguments], capture_output=True, text=True,
                              timeout=60, stdin=subprocess.DEVNULL)

    def expect(self, holds, problem):
        if not holds:
            self.problems.append(problem)

    def check_descriptions(self, schema, node, where):
        """Every key is described, and every object says which keys it may have."""
        if isinstance(node, list):
            for i, child in enumerate(node):
                self.check_descriptions(schema, child, "%s/%d" % (where, i))
        if not isinstance(node, dict):
            return
        # What stands under a condition only narrows what is described elsewhere.
        is_whole = not re.search(r"/(if|then|else|not)(/|$)|survey_in_units", where)
        for key, child in node.get("properties", {}).items():
            target = child
            while "description" not in target and "$ref" in target:
                target = schema["$defs"][target["$ref"].rsplit("/", 1)[1]]
            if is_whole:
                self.expect(target.get("description"), "%s: %s is not described" % (where, key))
        if is_whole and "properties" in node:
            self.expect(node.get("additionalProperties") is False, where + " takes any key")
        for key, child in node.items():
            self.check_descriptions(schema, child, "%s/%s" % (where, key))

    def refusal(self, tank):
        """The schema's first complaint, or None."""
        error = next(self.validator.iter_errors(tank), None)
        return error and "%s: %s" % (error.json_path, error.message[:120])

    def check_good(self, path):
        refusal = self.refusal(parse(path.read_text(encoding="utf-8")))
        self.expect(not refusal, "%s: the schema refuses a good tank: %s" % (path.name, refusal))
        done = self.run("check", str(path))
        self.expect(done.returncode == 0, "%s: refused: %s" % (path.name, done.stderr))

    def check_wrong(self, path):
        name = path.name[:-len(".tank.json")]
        try:
            is_refused = self.refusal(parse(path.read_text(encoding="utf-8"))) is not None
        except ValueError:
            is_refused = True  # no JSON at all
        self.expect(is_refused or name in MEANING, name + ": the schema takes a wrong form")
        self.expect(not is_refused or name not in MEANING, name + ": refused, yet in MEANING")

    def check_exchanged(self, path, tank):
        """One good tank with one value exchanged, as it stands in a file."""
        refusal = self.refusal(tank)
        path.write_text(json.dumps(tank), encoding="utf-8")
        done = self.run("check", str(path))
        # 3: a name of a file that was exchanged.
        is_access = done.returncode == 3 and "cannot be read" in done.stderr
        if is_access:
            return
        self.expect(done.returncode in (0, 2), "exit code %d: %s" % (done.returncode, done.stderr))
        if refusal:
            self.expect(done.returncode == 2, "only the schema refuses it: %s" % refusal)
        elif done.returncode == 2:
            form = [line for line in done.stderr.splitlines() if ": error: " in line
                    and not any(text in line for text in MEANING_TEXTS)]
            self.expect(not form, "only the program refuses it: %s" % form)


def places(node, found):
    """Every (container, key) of a tree."""
    entries = node.items() if isinstance(node, dict) else enumerate(node)
    for key, child in list(entries):
        found.append((node, key))
        if isinstance(child, (dict, list)):
            places(child, found)
    return found


def exchange(rng, tank):
    """The tank with one value exchanged, taken out or put in."""
    made = copy.deepcopy(tank)
    node, key = rng.choice(places(made, []))
    kind = rng.random()
    if kind < 0.15:
        del node[key]
    elif kind < 0.3 and isinstance(node, dict):
        node[rng.choice(OTHER_KEYS)] = rng.choice(OTHER_VALUES)
    elif kind < 0.4 and isinstance(node, list):
        node.append(copy.deepcopy(node[0]))
    elif kind < 0.5 and type(node[key]) in (int, float):
        node[key] = rng.choice([-node[key], node[key] * 100, node[key] / 1000, str(node[key])])
    else:
        node[key] = rng.choice(OTHER_VALUES)
    return made


def take_out(tank):
    """The tank without one of its values, for each of them."""
    for i in range(len(places(tank, []))):
        made = copy.deepcopy(tank)
        node, key = places(made, [])[i]
        del node[key]
        yield made


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    checker = Checker(sys.argv[1])
    good = [path for folder in sys.argv[2:]
            for path in sorted(pathlib.Path(folder).rglob("*.tank.json"))]
    wrong = sorted(ERRORS.glob("*.tank.json"))
    for path in good:
        checker.check_good(path)
    for path in wrong:
        checker.check_wrong(path)
    names = {path.name[:-len(".tank.json")] for path in wrong}
    checker.expect(MEANING <= names, "no such cases: %s" % sorted(MEANING - names))
    rng = random.Random(SEED)
    exchanges = 1000
    with tempfile.TemporaryDirectory() as folder:
        tanks = [parse(path.read_text(encoding="utf-8")) for path in good]
        path = pathlib.Path(folder, "exchanged.tank.json")
        for table in (table for tank in good for table in tank.parent.glob("*.csv")):
            pathlib.Path(folder, table.name).write_bytes(table.read_bytes())
        for tank in tanks[:5]:
            for made in take_out(tank):
                checker.check_exchanged(path, made)
        for _ in range(exchanges if tanks else 0):
            checker.check_exchanged(path, exchange(rng, rng.choice(tanks)))
    checker.expect(good and wrong, "there is nothing to check")
    print(*checker.problems, sep="\n")
    print("%d good tanks, %d wrong ones, %d exchanged values (seed %d): %d problems"
          % (len(good), len(wrong), exchanges, SEED, len(checker.problems)))
    sys.exit(1 if checker.problems else 0)


if __name__ == "__main__":
    main()
