#!/usr/bin/python3
"""A second, independent implementation of the planner, for the tests.

It follows the equations of the design one by one and shares no code with the
program; a test runs both on the same tank files and compares the plans.  Input
is taken to be valid: there is no error handling beyond asserts.

    plan_reference.py TANK.json [--profiles DIR]

prints the plan as JSON.  Exit code 1: no setting is safe on the first day.
Needs Python 3.11, and SciPy where a survey was taken with several lights lit.
Histories may be a dose and a peak, or a spot and dials of the tank itself.

Units: times in minutes after midnight, dials and drive in %, PPFD and peaks in
umol m-2 s-1, doses in mol m-2 d-1, time constants in days.
"""

import argparse
import bisect
import collections
import datetime
import json
import math
import os
import statistics
import sys
from fractions import Fraction

MINUTES_A_DAY = 1440
SLACK = 1e-9             # relative, in every comparison
SETTLED_WITHIN = 0.05    # of the dose
LAST_DAY = 365           # day 0 is the start
ONE_SIDED_95 = 1.645
HALF_A_DIGIT = 0.5       # umol m-2 s-1, of a meter's display
MOST_REPEATS = 4         # that count
ENOUGH_REPEATS = 3       # for a scatter of their own
DISTINCT = 1e-9          # of the largest singular value: what counts as told apart

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
        self.channels = spec.get("channels", {})
        self._hours, self._after, self._before, self._minutes = {}, {}, {}, {}
        self._course = None      # f at every minute of the day, once it is asked for

    def full_hours(self, dial):
        """H(p): integral of phi(p f(t)) dt over the day, hours."""
        if dial not in self._hours:
            self._hours[dial] = sum(
                (t1 - t0) / 60 * self.dimming.mean(dial * f0, dial * f1)
                for t0, t1, f0, f1 in self.photoperiod.pieces)
        return self._hours[dial]

    def rounding(self, dial):
        """Relative error of the light at a dial: half a step of every channel that is rounded."""
        if not self.channels or dial == 0:
            return 0.0
        rounded = [share for share in self.channels.values() if share < 100]
        return (math.sqrt(len(rounded)) * self.step / 2
                / sum(dial * share / 100 for share in self.channels.values()))

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
            if self._course is None:
                self._course = [self.photoperiod.just_after(minute)
                                for minute in range(MINUTES_A_DAY)]
            output = {f: self.dimming(dial * f) for f in set(self._course)}
            self._minutes[dial] = [output[f] for f in self._course]
        return self._minutes[dial]


def mean_reading(reading):
    return statistics.fmean(reading) if isinstance(reading, list) else reading


def standard_error(reading, meter):
    """s of a reading times the immersion factor, which is the mean of n repeats."""
    repeats = reading if isinstance(reading, list) else [reading]
    n = min(len(repeats), MOST_REPEATS)
    mean = mean_reading(reading)
    scatter = meter.repeat
    if len(repeats) >= ENOUGH_REPEATS and mean > 0:
        scatter = max(scatter, statistics.stdev(repeats) / mean)
    display = 0.0 if meter.is_relative else HALF_A_DIGIT
    return math.sqrt((scatter * meter.immersion_factor * mean) ** 2 / n + display ** 2)


class Meter:
    def __init__(self, spec):
        self.immersion_factor = spec.get("immersion_factor", 1.0)
        self.calibration = spec.get("calibration_percent", 10) / 100
        self.repeat = spec.get("repeat_percent", 5) / 100
        self.is_relative = spec.get("relative", False)


class FullOutputs:
    """What the readings at one spot tell of the lights lit there.

    rows: ({light: phi}, reading, its standard error) of each reading.
    value: F of each light, by weighted non-negative least squares.
    covariance: C of any two lights, also of those whose F is held at 0.
    """

    def __init__(self, names, rows):
        self.names = [name for name in names if any(name in lit for lit, _, _ in rows)]
        self.value, self.covariance = {}, {}
        if all(len(lit) == 1 for lit, _, _ in rows):
            self.take_light_by_light(rows)
        else:
            self.take_together(rows)

    def take_light_by_light(self, rows):
        self.covariance = {(a, b): 0.0 for a in self.names for b in self.names}
        for name in self.names:
            own = [(lit[name], value, s) for lit, value, s in rows if name in lit]
            weight = sum((phi / s) ** 2 for phi, _, s in own)
            self.value[name] = sum(phi * value / s ** 2 for phi, value, s in own) / weight
            self.covariance[name, name] = 1 / weight
        self.inseparable = set()

    def take_together(self, rows):
        import numpy                            # only here, so that the rest runs without them
        from scipy.optimize import nnls
        scaled = numpy.array([[lit.get(name, 0.0) / s for name in self.names]
                              for lit, _, s in rows])
        fit, _ = nnls(scaled, numpy.array([value / s for _, value, s in rows]))
        inverse = numpy.linalg.pinv(scaled, rcond=DISTINCT)
        covariance = inverse @ inverse.T        # the pseudo-inverse of A'WA
        # Projects onto the row space: a light that the readings tell apart stays itself.
        projection = inverse @ scaled
        for j, name in enumerate(self.names):
            self.value[name] = float(fit[j])
            for k, other in enumerate(self.names):
                self.covariance[name, other] = float(covariance[j, k])
        self.inseparable = {name for j, name in enumerate(self.names)
                            if abs(projection[j, j] - 1) > 1e-6}

    def variance(self, gradient):
        """g' C g of a gradient {light: g}."""
        return max(0.0, sum(a * self.covariance[j, k] * b
                            for j, a in gradient.items() for k, b in gradient.items()))


def read_full_outputs(lights, surveys, meter):
    """{spot: FullOutputs} from all surveys of each spot."""
    result = {}
    for spot in sorted({spot for survey in surveys for spot in survey["ppfd"]}):
        rows = []
        for survey in surveys:
            if spot in survey["ppfd"]:
                lit = {name: lights[name].dimming(dial)
                       for name, dial in survey["dials"].items() if dial > 0}
                reading = survey["ppfd"][spot]
                rows.append((lit, meter.immersion_factor * mean_reading(reading),
                             standard_error(reading, meter)))
        result[spot] = FullOutputs(list(lights), rows)
    return result


class Part(dict):
    """{light: h / D} of a dose, and {light: (dial, relative error of the dose)} in `rounded` for
    lights whose channels are rounded."""

    def __init__(self, gradient, rounded):
        super().__init__(gradient)
        self.rounded = rounded

    def rounding_variance(self):
        return sum(error ** 2 for _, error in self.rounded.values())


class Tank:
    """Lights and full outputs; the exposure of a spot under any dials."""

    def __init__(self, spec):
        self.lights = {light["name"]: Light(light) for light in spec["lights"]}
        self.meter = Meter(spec.get("meter", {}))
        self.full = read_full_outputs(self.lights, spec["surveys"], self.meter)
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

    def exposure(self, spot, dials, weights=None):
        """(dose, peak) at a spot under {light: dial}, each light times its weight."""
        lit = tuple((name, dial) for name, dial in dials.items() if dial > 0)
        weighed = tuple(1.0 if weights is None else weights[name] for name, _ in lit)
        key = spot, lit, weighed
        if key not in self._exposures:
            full = [w * self.full[spot].value[name] for w, (name, _) in zip(weighed, lit)]
            dose = 0.0036 * sum(f * self.lights[name].full_hours(dial)
                                for f, (name, dial) in zip(full, lit))
            peak = max((sum(f * output for f, output in zip(full, moment))
                        for moment in self.moments(lit)), default=0.0)
            self._exposures[key] = dose, peak
        return self._exposures[key]

    def relative_gradient(self, spot, dials):
        """{light: h / D}: by what share the dose of a spot changes with each F."""
        hours = {name: 0.0036 * self.lights[name].full_hours(dial)
                 for name, dial in dials.items() if dial > 0}
        dose = sum(h * self.full[spot].value[name] for name, h in hours.items())
        # At a spot that gets none of this light there is nothing to be in doubt about.
        if dose <= 0:
            return Part({}, {})
        rounded = {name: (dials[name], h / dose * self.full[spot].value[name]
                          * self.lights[name].rounding(dials[name]))
                   for name, h in hours.items()}
        return Part({name: h / dose for name, h in hours.items()}, rounded)

    def variance(self, spot, part):
        """u^2 of one dose alone."""
        return self.full[spot].variance(part) + part.rounding_variance()

    def ratio_variance(self, spot_before, before, spot_after, after):
        """u^2 of the ratio between two doses, each given as a spot and its gradient."""
        if spot_before != spot_after:
            return self.variance(spot_before, before) + self.variance(spot_after, after)
        difference = {name: after.get(name, 0.0) - before.get(name, 0.0)
                      for name in {**before, **after}}
        rounded = 0.0
        for name in {**before.rounded, **after.rounded}:
            dial_before, error_before = before.rounded.get(name, (None, 0.0))
            dial_after, error_after = after.rounded.get(name, (None, 0.0))
            # At one dial the channels are rounded alike.
            rounded += ((error_after - error_before) ** 2 if dial_before == dial_after
                        else error_before ** 2 + error_after ** 2)
        return self.full[spot_after].variance(difference) + rounded


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

    def leave_out_absolute_limits(self):
        """What a meter without a unit can say nothing of."""
        self.band_low, self.band_high, self.peak_ceiling = 0.0, math.inf, math.inf
        assert self.ek is None


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


def goal_dials(tank, ramp):
    return {name: tank.lights[name].highest if dial == "highest" else dial
            for name, dial in ramp["to"].items()}


def lit_lights(dials):
    return {name for name, dial in dials.items() if dial > 0}


def at_95_percent(u):
    """The factor of the one-sided 95 % bound of a log-normal ratio."""
    return math.exp(ONE_SIDED_95 * u)


class Past:
    """What a group had before the first day.

    dose, peak: real amounts. spot, dials: where and under what, None for a history
    that was measured elsewhere, which has an error of its own instead.
    """

    def __init__(self, spec, tank, ramp):
        history = spec.get("history")
        self.spot = self.dials = self.error = None
        if history and "dose" in history:
            self.dose, self.peak = history["dose"], history["peak"]
            self.error = history.get("error_percent", 100 * tank.meter.repeat) / 100
            return
        lived = history or {"spot": spec["spot"], "dials": ramp["from"]}
        self.spot, self.dials = lived["spot"], lived["dials"]
        self.dose, self.peak = tank.exposure(self.spot, self.dials)

    def lights(self):
        return set() if self.dials is None else lit_lights(self.dials)


def new_part(goal, base, had):
    """The dials of those lights of the goal that a group has not had.

    Where the goal leaves all of these dark they may still be lit on the way: then
    the base tells how they are mixed.
    """
    for dials in (goal, base):
        part = {name: dial for name, dial in dials.items()
                if name in goal and name not in had and dial > 0}
        if part:
            return part
    return {}


def light_weights(past, spot, tank, ramp, carryover):
    """{light of the goal: W} for a group that lives at a spot from the first day on."""
    goal = goal_dials(tank, ramp)
    part = tank.relative_gradient(spot, new_part(goal, ramp["from"], past.lights()))
    weight_had = 1.0
    if past.dials is None:
        u_squared = (past.error ** 2 + tank.variance(spot, part)
                     + tank.meter.calibration ** 2)
    else:
        before = tank.relative_gradient(past.spot, past.dials)
        u_squared = tank.ratio_variance(past.spot, before, spot, part)
        if spot != past.spot:
            same_light_here = tank.relative_gradient(spot, past.dials)
            weight_had = at_95_percent(math.sqrt(
                tank.ratio_variance(past.spot, before, spot, same_light_here)))
    weight_new = max(at_95_percent(math.sqrt(u_squared)) / carryover, weight_had)
    return {name: weight_had if name in past.lights() else weight_new for name in goal}


# The light of a day at a spot: real, and as a group's weights make it.
Day = collections.namedtuple("Day", "dose peak effective_dose effective_peak")


class Group:
    """One group: its profile, its past, and its state before today's light.

    A, B, L and M are effective amounts; bands, ceilings and what is shown are real.
    """

    def __init__(self, spec, tank, ramp, profiles_dir):
        self.name = spec["name"]
        self.spot = spec.get("to_spot", spec["spot"])
        self.profile = read_profile(spec, ramp.get("pace", "standard"), profiles_dir)
        if tank.meter.is_relative:
            self.profile.leave_out_absolute_limits()
        past = Past(spec, tank, ramp)
        self.dose0, self.peak0 = past.dose, past.peak
        self.weights = light_weights(past, self.spot, tank, ramp, self.profile.carryover)
        self.A, self.B = self.dose0, self.peak0
        self.L, self.M = self.A, self.B

    def live_through(self, day, day_next):
        p = self.profile
        self.A = approach(self.A, day.effective_dose, p.tau_up, p.tau_down)
        self.B = approach(self.B, day.effective_peak, p.tau_up, p.tau_down)
        self.L = next_allowance(self.L, day.effective_dose, day_next.effective_dose,
                                p.weekly_rise)
        self.M = next_allowance(self.M, day.effective_peak, day_next.effective_peak,
                                p.weekly_rise)

    def shown_used_to(self, day):
        """(A, B) as real amounts, at the ratio of this day's light."""
        def real(amount, shown, effective):
            return amount * (shown / effective if effective > 0 else 1.0)
        return (real(self.A, day.dose, day.effective_dose),
                real(self.B, day.peak, day.effective_peak))

    def caps(self, day):
        """(cap, value, limit) of every cap of dose or peak."""
        h = self.profile.headroom

        def pace_or_headroom(kind, value, allowance, used_to):
            pace, headroom = max(allowance, used_to), (1 + h) * used_to
            if pace <= headroom:
                return kind + "_pace", value, pace
            return kind + "_headroom", value, headroom

        caps = [
            pace_or_headroom("dose", day.effective_dose, self.L, self.A),
            pace_or_headroom("peak", day.effective_peak, self.M, self.B),
            ("dose_band", day.dose, max(self.profile.band_high, self.dose0)),
            ("peak_ceiling", day.peak, max(self.profile.peak_ceiling, self.peak0)),
        ]
        if self.profile.peak_at_cap is not None:
            caps.append(("excitation", day.peak, max(self.profile.peak_at_cap, self.peak0)))
        return caps

    def broken(self, day):
        """{cap: ratio of value to limit} of every cap that is broken."""
        return {cap: value / limit if limit > 0 else math.inf
                for cap, value, limit in self.caps(day) if over(value, limit)}

    def broken_by_step(self, day, present):
        """As broken, and the floor for the step from the present light."""
        result = self.broken(day)
        floor = (1 - self.profile.floor) * self.A
        dose = day.effective_dose
        if under(dose, present.effective_dose) and under(dose, floor):
            result["dose_floor"] = floor / dose if dose > 0 else math.inf
        return result

    def is_settled(self, day):
        return not over(abs(self.A - day.effective_dose), SETTLED_WITHIN * day.effective_dose)


# ---------------------------------------------------------------- ramp

def exact(number):
    return Fraction(str(number))


def channel_dials(light, dial):
    """{channel: its percentage}, each rounded to the nearest step of the dial, halves up."""
    step = exact(light.step)
    return {name: float(math.floor(exact(dial) * exact(share) / 100 / step + Fraction(1, 2)) * step)
            for name, share in light.channels.items()}


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
    goal = [exact(dial) for dial in goal_dials(tank, ramp).values()]
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
        # A light at 0 has not been had; one that the goal names at 0 is still there.
        self.lights_change = set(self.ramp["to"]) != lit_lights(self.ramp["from"])

    def light_of(self, group, index):
        dials = self.path[index]
        return Day(*self.tank.exposure(group.spot, dials),
                   *self.tank.exposure(group.spot, dials, group.weights))

    def breaks_cap(self, index):
        return any(group.broken(self.light_of(group, index)) for group in self.groups)

    def toward_goal(self, index):
        return index + (1 if self.goal > index else -1)

    def step_breaks(self, present):
        """(group, broken caps) for the step from present toward the goal."""
        following = self.toward_goal(present)
        for group in self.groups:
            yield group, group.broken_by_step(self.light_of(group, following),
                                              self.light_of(group, present))

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
            day, now = self.light_of(group, following), self.light_of(group, present)
            broken = group.broken(day)
            bars = [cap for cap in ("dose_band", "peak_ceiling", "excitation") if cap in broken]
            most = 1 + group.profile.headroom
            bars += ["dose_headroom"] if over(day.effective_dose, most * now.effective_dose) else []
            bars += ["peak_headroom"] if over(day.effective_peak, most * now.effective_peak) else []
            if bars:
                return {"group": group.name, "cap": bars[0]}
        return None

    def describe_day(self, date, index):
        groups = []
        for group in self.groups:
            day = self.light_of(group, index)
            used_to_dose, used_to_peak = group.shown_used_to(day)
            groups.append({"name": group.name, "spot": group.spot,
                           "dose": day.dose, "peak": day.peak,
                           "acclimated_dose": used_to_dose, "acclimated_peak": used_to_peak})
            if group.profile.ek is not None:
                groups[-1]["excitation"] = excitation(day.peak / group.profile.ek)
        described = {"date": date.isoformat(), "dials": dict(self.path[index]),
                     "held_by": self.held_by(index), "groups": groups}
        mixed = {name: channel_dials(self.tank.lights[name], dial)
                 for name, dial in self.path[index].items() if self.tank.lights[name].channels}
        return {**described, "channels": mixed} if mixed else described

    def end_the_day(self, index):
        brighter = min(index + 1, len(self.path) - 1)
        for group in self.groups:
            group.live_through(self.light_of(group, index), self.light_of(group, brighter))

    def describe_group(self, group, days):
        goal = self.light_of(group, self.goal)
        summary = {"name": group.name,
                   "before": {"dose": group.dose0, "peak": group.peak0},
                   "goal": {"dose": goal.dose, "peak": goal.peak},
                   "fit": None, "lowest_share": None, "days_below_band": 0}
        doses = [entry["dose"] for day in days for entry in day["groups"]
                 if entry["name"] == group.name]
        if doses:
            low, high = group.profile.band_low, group.profile.band_high
            if not self.tank.meter.is_relative:
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
            all_settled = all(group.is_settled(self.light_of(group, present))
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
            **({"relative": True} if self.tank.meter.is_relative else {}),
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
