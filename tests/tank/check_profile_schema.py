#!/usr/bin/python3
"""Holds the published schema of a profile file against the program that reads one.

    check_profile_schema.py PROGRAM FOLDER_OF_PROFILES

- what `PROGRAM schema --profile` prints is a valid JSON Schema (2020-12), each key described;
- every shipped profile, of which there are 20 or more, passes both;
- of shipped profiles with one value taken out or exchanged, the schema refuses none that the
  program takes, and takes none that the program refuses for its form.

Needs python3-jsonschema. Exit code 1 if anything of this does not hold.
"""
import copy
import json
import pathlib
import subprocess
import sys
import tempfile

from jsonschema import Draft202012Validator

PROGRAM, PROFILES = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2])
OTHER_VALUES = [None, True, -1, 0, 0.001, 0.4, 1, 1.5, 5, 50, 101, 366, 1e4, "", "x", "low", [],
                [1], [1, 2], [2, 1], [1, 2, 3], {}, {"peak_ceiling": "x"}]
# What the program refuses for what it means, which no schema can say.
MEANING = ["band's low end"]


def run(*words):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True,
                          stdin=subprocess.DEVNULL, check=False)


def refusal(name, profile):
    """What the program says against a profile; "" where it takes it."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / f"{name}.json"
        path.write_text(json.dumps(profile, indent=1))
        result = run("profiles", name, "--profiles", folder)
    assert result.returncode in (0, 2), result.stderr
    return result.stderr if result.returncode else ""


def variants(profile):
    """(what was done, the profile with one value taken out or exchanged)."""
    for key in profile:
        made = copy.deepcopy(profile)
        del made[key]
        yield f"without {key}", made
        if key == "name":
            continue  # the file's name must be the same
        for value in OTHER_VALUES:
            yield f"{key} = {value!r}", {**profile, key: value}
    for key in profile["basis"]:
        basis = {other: text for other, text in profile["basis"].items() if other != key}
        yield f"without the basis of {key}", {**profile, "basis": basis}
        yield f"an empty basis of {key}", {**profile, "basis": {**profile["basis"], key: ""}}
    for key in ("x", "headroom", "start"):
        yield f"unknown key {key}", {**profile, key: 1}
        yield f"basis of unknown {key}", {**profile, "basis": {**profile["basis"], key: "x"}}
    ek = {**profile, "ek": 300, "basis": {**profile["basis"], "ek": "design choice: tried"}}
    yield "an Ek", ek
    yield "an Ek without its basis", {**profile, "ek": 300}
    for value in OTHER_VALUES:
        yield f"ek = {value!r}", {**ek, "ek": value}
        capped = {**ek, "excitation_cap": value}
        capped["basis"] = {**ek["basis"], "excitation_cap": "design choice: tried"}
        yield f"excitation_cap = {value!r}", capped
    yield "a cap without an Ek", {
        **profile, "excitation_cap": 0.4,
        "basis": {**profile["basis"], "excitation_cap": "design choice: tried"}}


def undescribed(schema, node, where="#"):
    if isinstance(node, list):
        return [w for i, child in enumerate(node) for w in undescribed(schema, child, f"{where}/{i}")]
    if not isinstance(node, dict):
        return []
    found = []
    # What stands under a condition only narrows what is described elsewhere.
    properties = {} if where.endswith("/then") else node.get("properties", {})
    for key, child in properties.items():
        while "description" not in child and "$ref" in child:
            child = schema["$defs"][child["$ref"].rsplit("/", 1)[1]]
        if not child.get("description"):
            found.append(f"{where}: {key} is not described")
    for key, child in node.items():
        found += undescribed(schema, child, f"{where}/{key}")
    return found


def main():
    schema = json.loads(run("schema", "--profile").stdout)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    problems = undescribed(schema, schema)
    files = sorted(PROFILES.glob("*.json"))
    assert len(files) >= 20, "there are 20 kinds"
    tried = 0
    for number, file in enumerate(files):
        profile = json.loads(file.read_text(encoding="utf-8"))
        for error in validator.iter_errors(profile):
            problems.append(f"{file.name}: {error.message}")
        if number % 7:
            continue
        for what, made in variants(profile):
            tried += 1
            said = refusal(file.stem, made)
            is_good = validator.is_valid(made)
            if is_good and said and not any(text in said for text in MEANING):
                problems.append(f"{file.name}, {what}: taken by the schema alone: {said.strip()}")
            if not is_good and not said:
                problems.append(f"{file.name}, {what}: refused by the schema alone")
    assert tried > 500, tried
    print("\n".join(problems))
    print(f"{len(files)} profiles, {tried} changed ones: {len(problems)} problems")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
