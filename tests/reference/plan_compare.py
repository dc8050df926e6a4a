"""Compares two plans in JSON, field by field; notes are free text and left out."""


def difference(expected, found, tolerance=1e-6, where=""):
    """The first place where two JSON values differ, or an empty text."""
    if isinstance(expected, dict) and isinstance(found, dict):
        if set(expected) != set(found):
            return f"{where}: keys {sorted(expected)} and {sorted(found)}"
        for key, value in expected.items():
            if key == "notes":
                continue
            problem = difference(value, found[key], tolerance, f"{where}/{key}")
            if problem:
                return problem
        return ""
    if isinstance(expected, list) and isinstance(found, list):
        for i, (a, b) in enumerate(zip(expected, found)):
            problem = difference(a, b, tolerance, f"{where}/{i}")
            if problem:
                return problem
        # Last, since the first entry that differs says more.
        if len(expected) != len(found):
            return f"{where}: {len(expected)} and {len(found)} entries"
        return ""
    is_number = [isinstance(v, (int, float)) and not isinstance(v, bool)
                 for v in (expected, found)]
    if all(is_number):
        near = abs(expected - found) <= tolerance * max(1.0, abs(expected))
        return "" if near else f"{where}: {expected!r} and {found!r}"
    return "" if expected == found else f"{where}: {expected!r} and {found!r}"
