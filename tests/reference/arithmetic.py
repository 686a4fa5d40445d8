#!/usr/bin/env python3
"""Recomputes random states of air, random decays and all salts with general-purpose libraries and compares them with
the JSON of `air`, `exchange` and `sensor`.

`tests/reference/run-chamber` runs it in an environment of its own; by hand:

    python tests/reference/arithmetic.py target/release/blockside [how many]

The moist air is PsychroLib's, with CoolProp's model of real air as a second opinion; the line through a decay is
SciPy's. Ends with status 1 where a number differs.
"""

import json
import math
import random
import subprocess
import sys

import psychrolib
from CoolProp.HumidAirProp import HAPropsSI
from scipy import stats

psychrolib.SetUnitSystem(psychrolib.SI)
psychrolib.PSYCHROLIB_TOLERANCE = 1e-10

# Six decimals in the JSON, and what the solvers leave; nine for the humidity ratio.
TOLERANCE = 1e-6
GAS_CONSTANT_VAPOUR = 461.523

# Greenspan 1977, table 1.
SALTS = {
    "magnesium-chloride": (33.6686, -0.00797397, -1.08988e-3, 0.0),
    "sodium-chloride": (75.5164, 0.0398321, -2.65459e-3, 2.848e-5),
    "potassium-chloride": (88.619, -0.19334, 8.99706e-4, 0.0),
    "potassium-sulphate": (98.7792, -0.0590502, 0.0, 0.0),
}


class Compared:
    """Counts what was compared, and keeps what differs."""

    def __init__(self):
        self.count = 0
        self.worst = 0.0
        self.differing = []

    def number(self, what, ours, theirs, tolerance=TOLERANCE):
        self.count += 1
        off = abs(ours - theirs) / max(1.0, abs(theirs))
        self.worst = max(self.worst, off)
        if not off <= tolerance:
            self.differing.append("%s: %r, but %r" % (what, ours, theirs))


def ask(program, *args):
    done = subprocess.run([program, *args, "--format", "json"], capture_output=True, text=True)
    if done.returncode != 0:
        raise SystemExit("%s ended with %d: %s" % (args, done.returncode, done.stderr))
    return json.loads(done.stdout)


def state(rng):
    """Temperature, share of saturation, air pressure."""
    height = rng.choice([0.0, 0.0, rng.uniform(-300, 4000)])
    return rng.uniform(2, 45), rng.uniform(0.03, 0.999), psychrolib.GetStandardAtmPressure(height)


def compare_air(program, rng, many, compared):
    """Every state is given by one of the six pairs; returns how far real air is away."""
    apart = {"humidity_ratio": 0.0, "dew_point_c": 0.0, "wet_bulb_c": 0.0}
    for number in range(many):
        t, share, pressure = state(rng)
        dew = psychrolib.GetTDewPointFromRelHum(t, share)
        wet = psychrolib.GetTWetBulbFromRelHum(t, share, pressure)
        options = [
            ("--temperature=%r C" % t),
            ("--humidity=%r %%" % (100 * share)),
            ("--dew-point=%r C" % dew),
            ("--wet-bulb=%r C" % wet),
        ]
        pairs = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)]
        one, other = pairs[number % len(pairs)]
        if wet < 0.05:
            # Around freezing the equation of the wet bulb has a step: several airs can have the same one.
            one, other = 0, 1
        args = ["air", options[one], options[other], "--pressure=%r Pa" % pressure]
        surface, then = rng.uniform(-5, 40), rng.uniform(5, 40)
        found = ask(program, *args, "--surface=%r C" % surface, "--at=%r C" % then)
        vapour = psychrolib.GetVapPresFromRelHum(t, share)
        ratio = psychrolib.GetHumRatioFromRelHum(t, share, pressure)
        what = " ".join(args)
        for key, theirs in [
            ("temperature_c", t),
            ("humidity_percent", 100 * share),
            ("vapour_pressure_pa", vapour),
            ("saturation_pressure_pa", psychrolib.GetSatVapPres(t)),
            ("vapour_deficit_pa", psychrolib.GetVaporPressureDeficit(t, ratio, pressure)),
            ("dew_point_c", dew),
            ("wet_bulb_c", wet),
            ("absolute_humidity_g_m3", 1000 * vapour / (GAS_CONSTANT_VAPOUR * (t + 273.15))),
            ("humidity_ratio", ratio),
            ("enthalpy_kj_kg", psychrolib.GetMoistAirEnthalpy(t, ratio) / 1000),
        ]:
            compared.number("%s: %s" % (what, key), found[key], theirs)
        compared.number(what + ": margin", found["surface"]["margin_k"], surface - dew)
        after = min(1.0, vapour / psychrolib.GetSatVapPres(then))
        compared.number(what + ": at", found["at"][0]["humidity_percent"], 100 * after)
        if number % 10 == 0:
            real = ("T", t + 273.15, "P", pressure, "R", share)
            theirs = HAPropsSI("W", *real)
            apart["humidity_ratio"] = max(
                apart["humidity_ratio"], abs(found["humidity_ratio"] / theirs - 1)
            )
            apart["dew_point_c"] = max(
                apart["dew_point_c"], abs(found["dew_point_c"] + 273.15 - HAPropsSI("D", *real))
            )
            # Below that CoolProp lets the wick freeze, and the two mean different things.
            if wet > 1:
                apart["wet_bulb_c"] = max(
                    apart["wet_bulb_c"], abs(found["wet_bulb_c"] + 273.15 - HAPropsSI("B", *real))
                )
    return apart


def compare_exchange(program, rng, many, compared):
    for _ in range(many):
        changes, room = rng.uniform(0.5, 12), rng.uniform(400, 700)
        count = rng.randint(3, 25)
        minutes = [number * 30.0 / changes / count for number in range(count)]
        readings = [
            room + 3000 * math.exp(-changes * at / 60) * rng.uniform(0.98, 1.02) for at in minutes
        ]
        pairs = ["%r=%r ppm" % pair for pair in zip(minutes, readings)]
        found = ask(program, "exchange", *pairs, "--room=%r ppm" % room)
        line = stats.linregress(
            [at / 60 for at in minutes], [math.log(reading - room) for reading in readings]
        )
        half = stats.t.ppf(0.975, count - 2) * line.stderr
        for key, theirs in [
            ("air_changes_per_hour", -line.slope),
            ("low", -line.slope - half),
            ("high", -line.slope + half),
            ("standard_error", line.stderr),
            ("r_squared", line.rvalue**2),
        ]:
            compared.number("exchange %s: %s" % (" ".join(pairs), key), found[key], theirs)


def compare_sensor(program, rng, many, compared):
    def holds(salt, t):
        return sum(factor * t**power for power, factor in enumerate(SALTS[salt]))

    for _ in range(many):
        one, other = sorted(rng.sample(sorted(SALTS), 2), key=lambda salt: holds(salt, 20))
        t = rng.uniform(0, 50)
        first = holds(one, t) + rng.uniform(-2, 2)
        second = first + (holds(other, t) - holds(one, t)) * rng.uniform(0.8, 1.1)
        shows = rng.uniform(first, second)
        found = ask(
            program, "sensor", "--salt", one, "--salt", other, "--temperature=%r C" % t, "--reads=%r" % first,
            "--reads=%r" % second, "--correct=%r" % shows,
        )  # fmt: skip
        what = "sensor %s %s %r" % (one, other, t)
        compared.number(what, found["points"][0]["expected_percent"], holds(one, t))
        compared.number(what, found["points"][1]["expected_percent"], holds(other, t))
        slope = (holds(other, t) - holds(one, t)) / (second - first)
        compared.number(what + ": slope", found["correction"]["slope"], slope)
        true = min(100.0, holds(one, t) + slope * (shows - first))
        compared.number(what + ": corrected", found["corrected"][0]["true_percent"], true)


def main():
    program = sys.argv[1]
    many = int(sys.argv[2]) if len(sys.argv) > 2 else 3000
    rng = random.Random(1)
    compared = Compared()
    apart = compare_air(program, rng, many, compared)
    compare_exchange(program, rng, many // 10, compared)
    compare_sensor(program, rng, many // 10, compared)
    for line in compared.differing[:20]:
        print(line)
    print(
        "%d states of air, %d decays, %d pairs of salts: %d numbers compared, %d differ; worst %.1e"
        % (many, many // 10, many // 10, compared.count, len(compared.differing), compared.worst)
    )
    print(
        "real air (CoolProp) is away by %.2f %% in the humidity ratio, %.3f K in the dew point, %.3f K in the wet bulb"
        % (100 * apart["humidity_ratio"], apart["dew_point_c"], apart["wet_bulb_c"])
    )
    sys.exit(1 if compared.differing else 0)


if __name__ == "__main__":
    main()
