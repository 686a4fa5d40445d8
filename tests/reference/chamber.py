#!/usr/bin/env python3
"""Recomputes the balance of random chambers with general-purpose libraries and compares it with the program's JSON.

`tests/reference/run-chamber` runs it in an environment of its own; by hand:

    python tests/reference/chamber.py target/release/blockside [how many]

The moist air is PsychroLib's, the friction factors are those of fluids, every equation is solved by scipy; only the
balances themselves are written down a second time here. Ends with status 1 where a number differs.
"""

import json
import math
import random
import subprocess
import sys
import tempfile

import fluids
import ht
import psychrolib
from CoolProp.CoolProp import PropsSI
from scipy.constants import R
from scipy.optimize import brentq

psychrolib.SetUnitSystem(psychrolib.SI)
psychrolib.PSYCHROLIB_TOLERANCE = 1e-10

VISCOSITY = 1.81e-5
STILL_AIR = 0.13
FOAM = 0.035
# What the program takes for want of a number; see src/engine/chamber/uncertainty.rs.
ROUGH_FLEXIBLE, ROUGH_SMOOTH, ENDS = 0.002, 1.5e-6, 1.5


def bend(bores):
    return fluids.bend_rounded(Di=0.1, angle=90, fd=0.03, bend_diameters=bores, Re=2e4)


# Bends nobody described are bent over 1 to 1.5 bores.
BEND = (bend(1.0) + bend(1.5)) / 2
# Joules a milligram of carbon dioxide from glucose, and that gas in milligrams for one ppm of a cubic metre.
CROP_HEAT = 10.615


def mg_of_one_ppm(t):
    return 44.0095 * 101325 / (R * (t + 273.15)) / 1000

# The same equations solved twice: what is left is rounding, six decimals in the JSON among it.
TOLERANCE = 1e-6
# Where the program has straight lines for what CoolProp knows of dry air and water.
LOOSE = {"convection_w_m2k": 2e-3, "drop_life_s": 1e-3, "lands_from_um": 5e-4, "wall_water_g_h": 2e-3}


def random_chamber(rng):
    """A chamber as a table, in the units of the program."""
    sides = [rng.uniform(0.3, 1.2), rng.uniform(0.3, 0.9), rng.uniform(0.4, 1.8)]
    chamber = {
        "sides": sides,
        "altitude": rng.choice([0.0, 0.0, 300.0, 1500.0]),
        "room_t": rng.uniform(12, 27),
        "room_rh": rng.uniform(20, 75),
        "room_co2": rng.uniform(400, 900),
        "flow": rng.uniform(3, 120),
        "pressure": rng.uniform(5, 60),
        "speed": rng.uniform(40, 100),
        "runs": rng.choice([100.0, rng.uniform(10, 100)]),
        "length": rng.uniform(0.2, 5),
        "bore": rng.choice([0.038, 0.05, 0.075, 0.1, 0.125]),
        "bends": rng.randint(0, 3),
        "flexible": rng.random() < 0.5,
        "duct": rng.random() < 0.8,
        "output": rng.uniform(50, 600),
        "tank": rng.uniform(0.5, 10),
        "lag": rng.uniform(0, 60),
        "set": rng.uniform(80, 96),
        "band": rng.uniform(1, 8),
        "insulation": rng.choice([0.0, rng.uniform(0.005, 0.05)]),
        "heat": rng.choice([0.0, rng.uniform(2, 30)]),
        "temperature": rng.choice([None, rng.uniform(12, 25)]),
        "rise": rng.uniform(50, 3000),
        "radius": rng.choice([None, rng.uniform(0.03, 0.2)]),
        "plywood": rng.choice([None, rng.uniform(0.003, 0.02)]),
        "drops": rng.uniform(1, 60),
    }
    return chamber


def profile(c):
    lines = [
        'schema = "blockside.profile/1"',
        'species = "grey oyster"',
        'stage = "fruiting"',
        "size = [%s]" % ", ".join('"%r m"' % side for side in c["sides"]),
        'altitude = "%r m"' % c["altitude"],
        'heat-inside = "%r W"' % c["heat"],
        "[room]",
        'temperature = "%r C"' % c["room_t"],
        'humidity = "%r %%"' % c["room_rh"],
        'co2 = "%r ppm"' % c["room_co2"],
        "[fan]",
        'flow = "%r m3/h"' % c["flow"],
        'pressure = "%r Pa"' % c["pressure"],
        'speed = "%r %%"' % c["speed"],
        'runs = "%r %%"' % c["runs"],
    ]
    if c["duct"]:
        lines += [
            "[duct]",
            'length = "%r m"' % c["length"],
            'bore = "%r m"' % c["bore"],
            "bends = %d" % c["bends"],
            "flexible = %s" % str(c["flexible"]).lower(),
        ]
        if c["radius"]:
            lines.append('bend-radius = "%r m"' % c["radius"])
    lines += [
        "[mister]",
        'output = "%r g/h"' % c["output"],
        'tank = "%r L"' % c["tank"],
        'lag = "%r s"' % c["lag"],
        'drops = "%r um"' % c["drops"],
        "[humidity]",
        'set-point = "%r %%"' % c["set"],
        'band = "%r %%"' % c["band"],
        "[wall]",
        'insulation = "%r m"' % c["insulation"],
    ]
    if c["plywood"]:
        sheet = '{ material = "plywood", thickness = "%r m" }' % c["plywood"]
        lines.append("layers = [%s, %s]" % (sheet, sheet))
    lines += ["[measured]", 'co2-rise = "%r ppm"' % c["rise"]]
    if c["temperature"] is not None:
        lines.append('temperature = "%r C"' % c["temperature"])
    return "\n".join(lines) + "\n"


def ratio(t, rh, p):
    return psychrolib.GetHumRatioFromRelHum(t, rh / 100, p)


def percent(w, t, p):
    """Relative humidity, counted on above saturation."""
    vapour = w * p / (0.621945 + w)
    return 100 * vapour / psychrolib.GetSatVapPres(t)


def absolute(t, rh):
    """Grams of vapour in a cubic metre."""
    return 1000 * rh / 100 * psychrolib.GetSatVapPres(t) / (461.523 * (t + 273.15))


def weight(t, rh, ppm, p):
    """Kilograms in a cubic metre, with so much carbon dioxide."""
    vapour = rh / 100 * psychrolib.GetSatVapPres(t)
    dry = 28.9647 + (ppm - 420) * 1e-6 * (44.0095 - 28.9647)
    return ((p - vapour) * dry + vapour * 18.01528) / (1000 * R * (t + 273.15))


def of_air(name, t):
    return PropsSI(name, "T", t + 273.15, "P", 101325, "Air")


def still_air(face, t, height):
    """Churchill and Chu's upright plate, W/(m² K)."""
    middle = (face + t) / 2
    viscosity = of_air("V", middle) / of_air("D", middle)
    grashof = 9.80665 / (middle + 273.15) * abs(t - face) * height**3 / viscosity**2
    return ht.Nu_vertical_plate_Churchill(of_air("PRANDTL", middle), grashof) * of_air("L", middle) / height


def diffusivity(t):
    return 0.2178e-4 * ((t + 273.15) / 273.15) ** 1.81


def settling(t, rh, face, convection):
    """Grams of water an hour and square metre, by the analogy of Lewis."""
    middle = (face + t) / 2
    capacity = of_air("D", middle) * of_air("C", middle)
    lewis = of_air("L", middle) / capacity / diffusivity(middle)
    return 3600 * convection / capacity * lewis ** (-2 / 3) * (absolute(t, rh) - absolute(face, 100))


def shrinking(t, rh):
    """How fast the square of a drop's width shrinks, µm²/s."""
    vapour = rh / 100 * psychrolib.GetSatVapPres(t) / (t + 273.15)

    def leaving(drop):
        driving = psychrolib.GetSatVapPres(drop) / (drop + 273.15) - vapour
        return diffusivity((t + drop) / 2) / 461.523 * driving

    def surplus(drop):
        kelvin = (t + drop) / 2 + 273.15
        steam, water = (PropsSI("H", "T", kelvin, "Q", quality, "Water") for quality in (1, 0))
        return of_air("L", (t + drop) / 2) * (t - drop) - (steam - water) * leaving(drop)

    drop = brentq(surplus, t - 20, t, xtol=1e-12)
    return 8 * leaving(drop) / 998.20715047 * 1e12


def lands_from(fall, shrink):
    """Width in µm from which drops land before they are gone."""
    pull = (998.20715047 - 1.2045751825) * 9.80665
    return 1e6 * (36 * 1.82056751785e-05 * 1e-12 * shrink * fall / pull) ** 0.25


def expected(c, co2_limit, least_humidity):
    p = psychrolib.GetStandardAtmPressure(c["altitude"])
    room_t, room_rh = c["room_t"], c["room_rh"]
    w_room = ratio(room_t, room_rh, p)
    v_room = psychrolib.GetMoistAirVolume(room_t, w_room, p)
    density = (1 + w_room) / v_room
    volume = math.prod(c["sides"])
    out = {"volume_l": 1000 * volume}

    speed = c["speed"] / 100
    most, stall = c["flow"] * speed, c["pressure"] * speed**2
    through = most
    if c["duct"]:
        bore = c["bore"]
        rough = ROUGH_FLEXIBLE if c["flexible"] else ROUGH_SMOOTH
        each = bend(max(0.5, c["radius"] / bore)) if c["radius"] else BEND

        def loss(flow):
            if flow <= 0:
                return 0.0
            v = 4 * flow / 3600 / (math.pi * bore**2)
            re = density * v * bore / VISCOSITY
            f = fluids.friction_factor(re, rough / bore, Method="Colebrook")
            return (f * c["length"] / bore + ENDS + each * c["bends"]) * 0.5 * density * v * v

        through = brentq(lambda q: stall * (1 - q / most) - loss(q), 0, most, xtol=1e-13, rtol=1e-14)
        out["free_flow_m3_h"] = most * c["runs"] / 100
        out["duct_loss_percent"] = 100 * (1 - through / most)
    flow = through * c["runs"] / 100
    n = flow / volume
    out["airflow_m3_h"], out["air_changes_per_hour"] = flow, n

    a, b, d = c["sides"]
    area = 2 * (a * b + a * d + b * d)
    layers = c["insulation"] / FOAM + 2 * (c["plywood"] or 0.0) / 0.13
    conductance = 1 / (2 * STILL_AIR + layers)

    source = volume * c["rise"] / 1e6
    known_t = room_t if c["temperature"] is None else c["temperature"]
    crop = CROP_HEAT * 1e6 * source * mg_of_one_ppm(known_t) / 3600
    out["crop_heat_w"] = crop

    def settles(q):
        dry = q / 3600 / v_room

        def gain(t):
            w = ratio(t, c["set"], p)
            air = psychrolib.GetMoistAirEnthalpy(room_t, w_room) - psychrolib.GetMoistAirEnthalpy(t, w)
            water = (w - w_room) * 4186 * room_t
            return dry * (air + water) + conductance * area * (room_t - t) + c["heat"] + crop

        return brentq(gain, room_t - 30, room_t + 40, xtol=1e-12)

    def warmth(q):
        return settles(q) if c["temperature"] is None else c["temperature"]

    t = warmth(flow)
    if c["temperature"] is None:
        out["settles_at_c"] = t

    def load(q):
        return max(0.0, 1000 * q / v_room * (ratio(warmth(q), c["set"], p) - w_room))

    def mister(q, suffix):
        mist = load(q)
        out["mist_%sg_h" % suffix] = mist
        used = min(mist, c["output"])
        out["duty_%spercent" % suffix] = 100 * mist / c["output"]
        if used > 0:
            out["tank_hours%s" % ("_needed" if suffix else "")] = 1000 * c["tank"] / used
        reach = percent(w_room + c["output"] / (1000 * q / v_room), warmth(q), p)
        out["reach_%spercent" % suffix] = min(100.0, reach)
        return used

    used = mister(flow, "")
    out["water_l_day"] = used * 24 / 1000
    out["cooling_w"] = used / 3600 * (2501 - 2.326 * t)

    out["steady_co2_ppm"] = c["room_co2"] + 1e6 * source / flow
    out["settle_hours"] = math.log(20) / n
    left = (co2_limit - out["steady_co2_ppm"]) / c["rise"]
    if left > 0:
        out["stale_hours"] = left
    if c["room_co2"] < co2_limit:
        needed = 1e6 * source / (co2_limit - c["room_co2"])
        out["needed_airflow_m3_h"] = needed
        out["airflow_factor"] = needed / flow
        mister(needed, "needed_")

    face = t - conductance * STILL_AIR * (t - room_t)
    dew = psychrolib.GetTDewPointFromRelHum(t, c["set"] / 100)
    out["wall_temperature_c"], out["dew_point_c"], out["margin_k"] = face, dew, face - dew
    out["dry_up_to_percent"] = min(100.0, 100 * psychrolib.GetSatVapPres(face) / psychrolib.GetSatVapPres(t))
    out["convection_w_m2k"] = still_air(face, t, d)
    water = settling(t, c["set"], face, out["convection_w_m2k"]) * area
    if water > 0.1:
        out["wall_water_g_h"] = water
    inside = weight(t, c["set"], out["steady_co2_ppm"], p)
    out["heavier_percent"] = 100 * (inside / weight(room_t, room_rh, c["room_co2"], p) - 1)
    out["still_hours"] = d**2 / (math.pi**2 * 1.6e-5) / 3600
    out["air_room_g"] = volume * (absolute(t, 100) - absolute(t, c["set"]))
    out["full_in_s"] = 3600 * out["air_room_g"] / c["output"]
    shrink = shrinking(t, c["set"])
    out["drop_life_s"] = c["drops"] ** 2 / shrink
    out["lands_from_um"] = lands_from(d / 2, shrink)
    out["drying_pa"] = (1 - c["set"] / 100) * psychrolib.GetSatVapPres(t)

    over, least = ratio(t, c["set"], p) - w_room, ratio(t, least_humidity, p) - w_room
    if over > least > 0:
        out["dry_hours"] = math.log(over / least) / n
    low, high = c["set"] - c["band"], c["set"]
    out["starts_at_percent"] = low
    w_low, w_high = ratio(t, low, p), ratio(t, high, p)
    middle = ratio(t, (low + high) / 2, p)
    dry_kg = volume / psychrolib.GetMoistAirVolume(t, middle, p)
    w_on = w_room + c["output"] / (1000 * dry_kg * n)
    if w_room < w_low and w_on > w_high:
        lagged = math.exp(-n * c["lag"] / 3600)
        peak = w_on - (w_on - w_high) * lagged
        trough = w_room + (w_low - w_room) * lagged
        out["on_s"] = c["lag"] + 3600 / n * math.log((w_on - trough) / (w_on - w_high))
        out["off_s"] = c["lag"] + 3600 / n * math.log((peak - w_room) / (w_low - w_room))
        out["peak_percent"], out["trough_percent"] = percent(peak, t, p), percent(trough, t, p)
    return out


def main():
    program = sys.argv[1]
    how_many = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    rng = random.Random(20240601)
    compared, worst, faults = 0, ("", 0.0), []
    for number in range(how_many):
        chamber = random_chamber(rng)
        with tempfile.NamedTemporaryFile("w", suffix=".toml") as file:
            file.write(profile(chamber))
            file.flush()
            run = subprocess.run([program, "chamber", file.name, "--format", "json"], capture_output=True, text=True)
        if run.returncode != 0:
            print(profile(chamber), run.stderr)
            return 1
        values = json.loads(run.stdout)["values"]
        limit = values["steady_co2_ppm"]["limit_max"]
        least = values["set_point_percent"]["limit_min"]
        wanted = expected(chamber, limit, least)
        for key, want in wanted.items():
            if key not in values:
                faults.append((number, key, None, want))
                continue
            got = values[key]["value"]
            off = abs(got - want) / max(1.0, abs(want))
            compared += 1
            if key not in LOOSE and off > worst[1]:
                worst = (key, off)
            if off > LOOSE.get(key, TOLERANCE):
                faults.append((number, key, got, want))
        missing = set(values) & {"on_s", "needed_airflow_m3_h", "stale_hours", "dry_hours"} - set(wanted)
        faults.extend((number, key, values[key]["value"], None) for key in missing)
    print(f"{how_many} chambers, {compared} numbers compared, largest difference {worst[1]:.1e} ({worst[0]})")
    for fault in faults[:20]:
        print("differs: chamber %d, %s: program %r, reference %r" % fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
