#!/usr/bin/python3
"""A second, independent implementation of the planner, for the tests.

It follows the equations of the design one by one and shares no code with the
program; a test runs both on the same tank files and compares the plans.  Input
is taken to be valid: there is no error handling beyond asserts.

    plan_reference.py TANK.json [--profiles DIR]

prints the plan as JSON.  Exit code 1: no setting is safe on the first day.
Needs Python 3.11, and SciPy where a survey was taken with several lights lit.

Units: times in minutes after midnight, dials and drive in %, PPFD and peaks in
umol m-2 s-1, doses in mol m-2 d-1, time constants in days.
"""

import argparse
import bisect
import datetime
import json
import math
import os
import sys
from fractions import Fraction

MINUTES_A_DAY = 1440
SLACK = 1e-9             # relative, in every comparison
SETTLED_WITHIN = 0.05    # of the dose
LAST_DAY = 365           # day 0 is the start
ONE_SIDED_95 = 1.645

PACE_FACTORS = {         # pace: (factor on weekly rise, factor on headroom)
    "gentle": (2 / 3, 2 / 3),
    "standard": (1.0, 1.0),
    "brisk": (4 / 3, 5 / 3),
}

PROFILE_DEFAULTS = {
    "headroom_percent": 30, "weekly_rise_percent": 15,
    "tau_up_days": 10, "tau_down_days": 5, "carryover": 0.80, "floor_percent": 50,
}
CLASS_DEFAULTS = {       # light_class: (dose_band, peak_ceiling)
    "low": ([1.5, 5], 150), "medium": ([2, 13], 350), "high": ([4, 28], 700),
}

# For one group, in the order in which equal ratios are told apart.
CAP_ORDER = ["dose_pace", "dose_headroom", "peak_pace", "peak_headroom",
             "dose_band", "peak_ceiling", "dose_floor", "excitation"]


def over(value, limit):
    """True if value is above limit by more than the slack."""
    return value > limit * (1 + SLACK)


def under(value, limit):
    """True if value is below limit by more than the slack."""
    return value < limit * (1 - SLACK)


# ---------------------------------------------------------------- light

def clock_minutes(text):
    hours, minutes = text.split(":")
    return 60 * int(hours) + int(minutes)


class Photoperiod:
    """f(t) in [0, 1], piecewise linear and cyclic over 24 h.

    pieces: (start, end, f at start, f at end), start < end, together one day;
    ends may lie past midnight.
    """

    def __init__(self, spec):
        if "points" in spec:
            points = [(clock_minutes(t), v / 100) for t, v in spec["points"]]
        else:
            on, off = clock_minutes(spec["on"]), clock_minutes(spec["off"])
            if off <= on:
                off += MINUTES_A_DAY
            rise, fall = spec.get("rise_minutes", 0), spec.get("fall_minutes", 0)
            assert rise + fall <= off - on
            points = [(on, 0.0), (on + rise, 1.0), (off - fall, 1.0), (off, 0.0)]
        points.append((points[0][0] + MINUTES_A_DAY, points[0][1]))
        self.pieces = []
        for (t0, f0), (t1, f1) in zip(points, points[1:]):
            assert t1 >= t0
            if t1 > t0:
                self.pieces.append((t0, t1, f0, f1))
        assert min(min(f0, f1) for _, _, f0, f1 in self.pieces) == 0
        assert self.lit_minutes() <= 14 * 60

    def lit_minutes(self):
        return sum(t1 - t0 for t0, t1, f0, f1 in self.pieces if f0 > 0 or f1 > 0)

    def breakpoints(self):
        return sorted({piece[0] % MINUTES_A_DAY for piece in self.pieces})

    def just_after(self, minute):
        for t0, t1, f0, f1 in self.pieces:
            for t in (minute, minute + MINUTES_A_DAY):
                if t0 <= t < t1:
                    return f0 + (f1 - f0) * (t - t0) / (t1 - t0)
        raise AssertionError("the pieces do not cover the day")

    def just_before(self, minute):
        for t0, t1, f0, f1 in self.pieces:
            for t in (minute, minute + MINUTES_A_DAY):
                if t0 < t <= t1:
                    return f0 + (f1 - f0) * (t - t0) / (t1 - t0)
        raise AssertionError("the pieces do not cover the day")


class Dimming:
    """phi(drive), [0, 100] -> [0, 1]: monotone cubic Hermite, or linear.

    Slopes: weighted harmonic mean inside, one-sided secant at both ends.
    """

    def __init__(self, pairs=None):
        self.is_curve = pairs is not None
        if not self.is_curve:
            return
        self.x = [0.0] + [float(drive) for drive, _ in pairs] + [100.0]
        self.y = [0.0] + [output / 100 for _, output in pairs] + [1.0]
        last = len(self.x) - 1
        width = [self.x[k + 1] - self.x[k] for k in range(last)]
        secant = [(self.y[k + 1] - self.y[k]) / width[k] for k in range(last)]
        assert min(width) > 0 and min(secant) > 0
        self.slope = [secant[0]]
        for k in range(1, last):
            w1 = 2 * width[k] + width[k - 1]
            w2 = width[k] + 2 * width[k - 1]
            self.slope.append((w1 + w2) / (w1 / secant[k - 1] + w2 / secant[k]))
        self.slope.append(secant[-1])

    def __call__(self, drive):
        if not self.is_curve:
            return drive / 100
        k = min(bisect.bisect_right(self.x, drive) - 1, len(self.x) - 2)
        h = self.x[k + 1] - self.x[k]
        s = (drive - self.x[k]) / h
        return (self.y[k] * (1 + 2 * s) * (1 - s) ** 2
                + self.slope[k] * h * s * (1 - s) ** 2
                + self.y[k + 1] * s * s * (3 - 2 * s)
                - self.slope[k + 1] * h * s * s * (1 - s))

    def mean(self, drive0, drive1):
        """Mean of phi while the drive goes evenly from drive0 to drive1."""
        if not self.is_curve:
            return (drive0 + drive1) / 200
        low, high = min(drive0, drive1), max(drive0, drive1)
        if low == high:
            return self(low)
        cuts = [low] + [x for x in self.x if low < x < high] + [high]
        # Simpson's rule is exact on each cubic.
        total = sum((b - a) / 6 * (self(a) + 4 * self((a + b) / 2) + self(b))
                    for a, b in zip(cuts, cuts[1:]))
        return total / (high - low)


class Light:
    def __init__(self, spec):
        self.name = spec["name"]
        self.photoperiod = Photoperiod(spec["photoperiod"])
        self.dimming = Dimming(spec.get("dimming"))
        dial = spec.get("dial", {})
        self.lowest = dial.get("lowest", 0)
        self.highest = dial.get("highest", 100)
        self.step = dial.get("step", 1)
        self._hours, self._after, self._before, self._minutes = {}, {}, {}, {}

    def full_hours(self, dial):
        """H(p): integral of phi(p f(t)) dt over the day, hours."""
        if dial not in self._hours:
            self._hours[dial] = sum(
                (t1 - t0) / 60 * self.dimming.mean(dial * f0, dial * f1)
                for t0, t1, f0, f1 in self.photoperiod.pieces)
        return self._hours[dial]

    def output_after(self, dial, minute):
        key = dial, minute
        if key not in self._after:
            self._after[key] = self.dimming(dial * self.photoperiod.just_after(minute))
        return self._after[key]

    def output_before(self, dial, minute):
        key = dial, minute
        if key not in self._before:
            self._before[key] = self.dimming(dial * self.photoperiod.just_before(minute))
        return self._before[key]

    def output_every_minute(self, dial):
        if dial not in self._minutes:
            self._minutes[dial] = [self.output_after(dial, minute)
                                   for minute in range(MINUTES_A_DAY)]
        return self._minutes[dial]


def mean_reading(reading):
    return sum(reading) / len(reading) if isinstance(reading, list) else reading


def full_outputs(lights, surveys, immersion_factor):
    """F[light][spot] by least squares over all surveys of each spot."""
    result = {name: {} for name in lights}
    for spot in sorted({spot for survey in surveys for spot in survey["ppfd"]}):
        rows = []        # ({light: phi}, c E)
        for survey in surveys:
            if spot in survey["ppfd"]:
                lit = {name: lights[name].dimming(dial)
                       for name, dial in survey["dials"].items() if dial > 0}
                rows.append((lit, immersion_factor * mean_reading(survey["ppfd"][spot])))
        names = [name for name in lights if any(name in lit for lit, _ in rows)]
        if all(len(lit) <= 1 for lit, _ in rows):
            for name in names:
                own = [(lit[name], value) for lit, value in rows if name in lit]
                result[name][spot] = (sum(phi * value for phi, value in own)
                                      / sum(phi * phi for phi, _ in own))
        else:
            from scipy.optimize import nnls     # only here, so that the rest runs without it
            fit, _ = nnls([[lit.get(name, 0.0) for name in names] for lit, _ in rows],
                          [value for _, value in rows])
            for name, value in zip(names, fit):
                result[name][spot] = float(value)
    return result


class Tank:
    """Lights and full outputs; the exposure of a spot under any dials."""

    def __init__(self, spec):
        self.lights = {light["name"]: Light(light) for light in spec["lights"]}
        meter = spec.get("meter", {})
        self.calibration = meter.get("calibration_percent", 10) / 100
        self.repeat = meter.get("repeat_percent", 5) / 100
        self.full = full_outputs(self.lights, spec["surveys"],
                                 meter.get("immersion_factor", 1.0))
        self._moments = {}
        self._exposures = {}

    def moments(self, lit):
        """The outputs of the lit lights at every moment the peak may fall on."""
        if lit not in self._moments:
            lights = [(self.lights[name], dial) for name, dial in lit]
            moments = set()
            for minute in {t for light, _ in lights for t in light.photoperiod.breakpoints()}:
                moments.add(tuple(light.output_after(dial, minute) for light, dial in lights))
                moments.add(tuple(light.output_before(dial, minute) for light, dial in lights))
            if len(lights) >= 2 and any(light.dimming.is_curve for light, _ in lights):
                moments.update(zip(*(light.output_every_minute(dial)
                                     for light, dial in lights)))
            self._moments[lit] = moments
        return self._moments[lit]

    def exposure(self, spot, dials):
        """(dose, peak) at a spot under {light: dial}."""
        lit = tuple((name, dial) for name, dial in dials.items() if dial > 0)
        if (spot, lit) not in self._exposures:
            full = [self.full[name][spot] for name, _ in lit]
            dose = 0.0036 * sum(f * self.lights[name].full_hours(dial)
                                for f, (name, dial) in zip(full, lit))
            peak = max((sum(f * output for f, output in zip(full, moment))
                        for moment in self.moments(lit)), default=0.0)
            self._exposures[spot, lit] = dose, peak
        return self._exposures[spot, lit]


# ---------------------------------------------------------------- coral

def excitation(x):
    """The proxy of excitation pressure at x = peak / Ek."""
    return 1 - math.tanh(x) / x


def saturation_at(cap):
    """The x at which the proxy is as high as the cap, by regula falsi (Illinois)."""
    low, high = 1e-3, 1 / (1 - cap)
    below, above = excitation(low) - cap, excitation(high) - cap
    while high - low > 1e-13 * high:
        x = (low * above - high * below) / (above - below)
        here = excitation(x) - cap
        if here == 0 or not low < x < high:
            return x
        if here > 0:
            high, above, below = x, here, below / 2
        else:
            low, below, above = x, here, above / 2
    return (low + high) / 2


class Profile:
    def __init__(self, spec, pace):
        spec = {**PROFILE_DEFAULTS, **spec}
        if "dose_band" not in spec:
            spec["dose_band"] = CLASS_DEFAULTS[spec["light_class"]][0]
        if "peak_ceiling" not in spec:
            spec["peak_ceiling"] = CLASS_DEFAULTS[spec["light_class"]][1]
        rise_factor, headroom_factor = PACE_FACTORS[pace]
        self.band_low, self.band_high = spec["dose_band"]
        self.peak_ceiling = spec["peak_ceiling"]
        self.ek = spec.get("ek")
        self.peak_at_cap = None
        if "excitation_cap" in spec:
            self.peak_at_cap = spec["ek"] * saturation_at(spec["excitation_cap"])
        self.headroom = spec["headroom_percent"] / 100 * headroom_factor      # h
        self.weekly_rise = spec["weekly_rise_percent"] / 100 * rise_factor    # w
        self.tau_up = spec["tau_up_days"]
        self.tau_down = spec["tau_down_days"]
        self.carryover = spec["carryover"]
        self.floor = spec["floor_percent"] / 100


def read_profile(group, pace, profiles_dir):
    spec = group["profile"]
    if isinstance(spec, str):
        with open(os.path.join(profiles_dir, spec + ".json"), encoding="utf-8") as file:
            spec = json.load(file)
    return Profile({**spec, **group.get("override", {})}, pace)


def approach(used_to, value, tau_up, tau_down):
    """One day of getting used to a dose or a peak."""
    tau = tau_up if value > used_to else tau_down
    return used_to + (1 - math.exp(-1 / tau)) * (value - used_to)


def next_allowance(allowance, value, value_next, weekly_rise):
    return min(allowance * (1 + weekly_rise) ** (1 / 7),
               max((1 + weekly_rise) * value, value_next))


class Group:
    """One group: its profile, its past, and its state before today's light."""

    def __init__(self, spec, tank, ramp, profiles_dir):
        self.name = spec["name"]
        self.spot = spec.get("to_spot", spec["spot"])
        self.profile = read_profile(spec, ramp.get("pace", "standard"), profiles_dir)

        lights_change = set(ramp["to"]) != set(ramp["from"])
        has_history = "history" in spec
        if has_history:
            self.dose0, self.peak0 = spec["history"]["dose"], spec["history"]["peak"]
            u = math.sqrt(2 * tank.repeat ** 2 + tank.calibration ** 2)
        else:
            self.dose0, self.peak0 = tank.exposure(spec["spot"], ramp["from"])
            moved = self.spot != spec["spot"]
            u = math.sqrt(2) * tank.repeat if lights_change or moved else 0.0
        carryover = self.profile.carryover if lights_change or has_history else 1.0
        share = carryover * math.exp(-ONE_SIDED_95 * u)
        self.A, self.B = share * self.dose0, share * self.peak0
        self.L, self.M = self.A, self.B

    def live_through(self, dose, peak, dose_next, peak_next):
        p = self.profile
        self.A = approach(self.A, dose, p.tau_up, p.tau_down)
        self.B = approach(self.B, peak, p.tau_up, p.tau_down)
        self.L = next_allowance(self.L, dose, dose_next, p.weekly_rise)
        self.M = next_allowance(self.M, peak, peak_next, p.weekly_rise)

    def caps(self, dose, peak):
        """(cap, value, limit) of every cap of dose or peak."""
        h = self.profile.headroom

        def pace_or_headroom(kind, value, allowance, used_to):
            pace, headroom = max(allowance, used_to), (1 + h) * used_to
            if pace <= headroom:
                return kind + "_pace", value, pace
            return kind + "_headroom", value, headroom

        caps = [
            pace_or_headroom("dose", dose, self.L, self.A),
            pace_or_headroom("peak", peak, self.M, self.B),
            ("dose_band", dose, max(self.profile.band_high, self.dose0)),
            ("peak_ceiling", peak, max(self.profile.peak_ceiling, self.peak0)),
        ]
        if self.profile.peak_at_cap is not None:
            caps.append(("excitation", peak, max(self.profile.peak_at_cap, self.peak0)))
        return caps

    def broken(self, dose, peak):
        """{cap: ratio of value to limit} of every cap that is broken."""
        return {cap: value / limit if limit > 0 else math.inf
                for cap, value, limit in self.caps(dose, peak) if over(value, limit)}

    def broken_by_step(self, dose, peak, present_dose):
        """As broken, and the floor for the step from present_dose."""
        result = self.broken(dose, peak)
        floor = (1 - self.profile.floor) * self.A
        if under(dose, present_dose) and under(dose, floor):
            result["dose_floor"] = floor / dose if dose > 0 else math.inf
        return result

    def is_settled(self, dose):
        return not over(abs(self.A - dose), SETTLED_WITHIN * dose)


# ---------------------------------------------------------------- ramp

def exact(number):
    return Fraction(str(number))


def cut_back(value, start, step):
    """value onto a multiple of step, toward start but not past it."""
    if value > start:
        return max(math.floor(value / step) * step, start)
    if value < start:
        return min(math.ceil(value / step) * step, start)
    return value


def leg(lights, start, end):
    """The settings after start on the way to end, end itself last."""
    parts = max(math.ceil(abs(b - a) / exact(light.step))
                for light, a, b in zip(lights, start, end))
    settings = []
    for k in range(1, parts + 1):
        setting = []
        for light, a, b in zip(lights, start, end):
            dial = cut_back(a + (b - a) * Fraction(k, parts), a, exact(light.step))
            setting.append(Fraction(0) if dial < exact(light.lowest) else dial)
        settings.append(tuple(setting))
    return settings + [tuple(end)]


def make_path(tank, ramp):
    """(path, index of the base or None if that is dark, index of the goal)."""
    lights = [tank.lights[name] for name in ramp["to"]]
    goal = [exact(light.highest if ramp["to"][light.name] == "highest"
                  else ramp["to"][light.name]) for light in lights]
    base = [exact(ramp["from"].get(light.name, 0)) for light in lights]
    dark = [Fraction(0)] * len(lights)
    assert any(goal)

    downward = all(g <= b for g, b in zip(goal, base))
    stations = [dark, goal, base] if downward else [dark, base, goal]
    path, station_index = [], []
    for start, end in zip(stations, stations[1:]):
        for setting in leg(lights, start, end):
            if any(setting) and (not path or path[-1] != setting):
                path.append(setting)
        station_index.append(len(path) - 1 if any(end) else None)
    goal_index, base_index = station_index if downward else station_index[::-1]
    names = [light.name for light in lights]
    return ([{name: float(dial) for name, dial in zip(names, setting)} for setting in path],
            base_index, goal_index)


class Planner:
    def __init__(self, spec, profiles_dir=None):
        self.spec = spec
        self.ramp = spec["ramp"]
        self.tank = Tank(spec)
        self.path, self.base, self.goal = make_path(self.tank, self.ramp)
        self.groups = [Group(group, self.tank, self.ramp, profiles_dir)
                       for group in spec["groups"]]
        self.lights_change = set(self.ramp["to"]) != set(self.ramp["from"])

    def exposure(self, group, index):
        return self.tank.exposure(group.spot, self.path[index])

    def breaks_cap(self, index):
        return any(group.broken(*self.exposure(group, index)) for group in self.groups)

    def toward_goal(self, index):
        return index + (1 if self.goal > index else -1)

    def step_breaks(self, present):
        """(group, broken caps) for the step from present toward the goal."""
        following = self.toward_goal(present)
        for group in self.groups:
            yield group, group.broken_by_step(*self.exposure(group, following),
                                              self.exposure(group, present)[0])

    def step_is_safe(self, present):
        return not any(broken for _, broken in self.step_breaks(present))

    def opening(self):
        """The furthest setting such that it and all before it are safe, or None."""
        index = None
        for candidate in range(self.goal + 1):
            if self.breaks_cap(candidate):
                break
            index = candidate
        return index

    def held_by(self, present):
        if present == self.goal:
            return None
        worst, ratio = None, 0.0
        for group, broken in self.step_breaks(present):
            for cap in CAP_ORDER:
                # Ratios equal within the slack are a tie: the first one stays.
                if cap in broken and (worst is None or over(broken[cap], ratio)):
                    worst, ratio = {"group": group.name, "cap": cap}, broken[cap]
        return worst or {"group": None, "cap": "between_steps"}

    def barred_for_good(self, present):
        """The first group, and its cap, that no wait lets go on; None if all may."""
        following = self.toward_goal(present)
        for group in self.groups:
            dose, peak = self.exposure(group, following)
            dose_now, peak_now = self.exposure(group, present)
            broken = group.broken(dose, peak)
            h = group.profile.headroom
            bars = [cap for cap in ("dose_band", "peak_ceiling", "excitation") if cap in broken]
            bars += ["dose_headroom"] if over(dose, (1 + h) * dose_now) else []
            bars += ["peak_headroom"] if over(peak, (1 + h) * peak_now) else []
            if bars:
                return {"group": group.name, "cap": bars[0]}
        return None

    def describe_day(self, date, index):
        groups = []
        for group in self.groups:
            dose, peak = self.exposure(group, index)
            groups.append({"name": group.name, "spot": group.spot,
                           "dose": dose, "peak": peak,
                           "acclimated_dose": group.A, "acclimated_peak": group.B})
            if group.profile.ek is not None:
                groups[-1]["excitation"] = excitation(peak / group.profile.ek)
        return {"date": date.isoformat(), "dials": dict(self.path[index]),
                "held_by": self.held_by(index), "groups": groups}

    def end_the_day(self, index):
        brighter = min(index + 1, len(self.path) - 1)
        for group in self.groups:
            group.live_through(*self.exposure(group, index), *self.exposure(group, brighter))

    def describe_group(self, group, days):
        goal_dose, goal_peak = self.exposure(group, self.goal)
        summary = {"name": group.name,
                   "before": {"dose": group.dose0, "peak": group.peak0},
                   "goal": {"dose": goal_dose, "peak": goal_peak},
                   "fit": None, "lowest_share": None, "days_below_band": 0}
        doses = [entry["dose"] for day in days for entry in day["groups"]
                 if entry["name"] == group.name]
        if doses:
            low, high = group.profile.band_low, group.profile.band_high
            summary["fit"] = ("below_band" if under(doses[-1], low) else
                              "above_band" if over(doses[-1], high) else "within_band")
            summary["lowest_share"] = min(doses) / group.dose0
            summary["days_below_band"] = sum(under(dose, low) for dose in doses)
            if group.profile.ek is not None:
                proxies = [entry["excitation"] for day in days for entry in day["groups"]
                           if entry["name"] == group.name]
                first = proxies.index(max(proxies))
                summary["excitation"] = {"highest": max(proxies), "date": days[first]["date"]}
        return summary

    def plan(self):
        start = datetime.date.fromisoformat(self.ramp["start"])
        every_days = self.ramp.get("every_days", 1)
        days, reached, settled, for_good = [], None, None, None

        if self.lights_change:
            present = self.opening()
        else:
            present = self.base if self.base is not None else 0

        for day in range(LAST_DAY + 1):
            date = start + datetime.timedelta(days=day)
            while present is not None and self.breaks_cap(present):
                if present > 0:
                    present -= 1
                elif day == 0:
                    present = None
                else:
                    break
            if present is None:
                break
            if day % every_days == 0:
                while present != self.goal and self.step_is_safe(present):
                    present = self.toward_goal(present)

            days.append(self.describe_day(date, present))
            at_goal = present == self.goal
            if at_goal and reached is None:
                reached = date.isoformat()
            all_settled = all(group.is_settled(self.exposure(group, present)[0])
                              for group in self.groups)
            if all_settled and not at_goal:
                for_good = self.barred_for_good(present)
            if all_settled and (at_goal or for_good):
                settled = date.isoformat()
                break
            self.end_the_day(present)

        status = ("no_safe_opening" if not days else
                  "reaches_goal" if present == self.goal else "held")
        return {
            "format": "slowdawn-plan/1",
            "tank": self.spec["name"],
            "start": self.ramp["start"],
            "status": status,
            "reaches_goal": reached if status == "reaches_goal" else None,
            "settled": settled,
            "held_for_good_by": for_good,
            "waits_for": None,
            "legs": [self.ramp["start"]],
            "is_proposal": False,
            "days": days,
            "groups": [self.describe_group(group, days) for group in self.groups],
            "notes": [],
        }


def plan_tank(spec, profiles_dir=None):
    """The plan (design, section 5) of a tank given as parsed JSON."""
    assert spec["format"] == "slowdawn-tank/1"
    return Planner(spec, profiles_dir).plan()


def main():
    parser = argparse.ArgumentParser(description="Reference plan of a tank file, as JSON.")
    parser.add_argument("tank")
    parser.add_argument("--profiles", metavar="DIR", help="folder of NAME.json profiles")
    options = parser.parse_args()
    with open(options.tank, encoding="utf-8") as file:
        plan = plan_tank(json.load(file), options.profiles)
    json.dump(plan, sys.stdout, indent=1, ensure_ascii=False)
    print()
    return 1 if plan["status"] == "no_safe_opening" else 0


if __name__ == "__main__":
    sys.exit(main())
