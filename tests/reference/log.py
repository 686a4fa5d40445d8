"""Statistics of generated logs: `blockside log` against pandas, numpy and SciPy.

    python tests/reference/log.py PROGRAM

Makes logs of many kinds (steps, gaps, missing cells, units, ways of writing time, time zones across changes of the
clock), runs the program on each, and computes the same with pandas: counts, hours, mean, least, greatest, quantiles,
hours outside the limits, means of day and night, falls of carbon dioxide by scipy.stats.linregress. Prints the worst
difference of each statistic; ends with status 1 if one is beyond what is stated in TOLERANCES.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd
from scipy import stats

LOGS = 200

# Sums in double precision in another order for means and hours (ours are printed with nine decimals); quantiles to half
# of the width of a class, which the program states itself.
TOLERANCES = {
    "count": 0,
    "hours": 2e-9,
    "mean": 2e-9,
    "min": 2e-9,
    "max": 2e-9,
    "hours_below": 2e-9,
    "hours_above": 2e-9,
    "day_mean": 2e-9,
    "night_mean": 2e-9,
    "day_hours": 2e-9,
}

GAP_FACTOR = 4
GAP_LEAST_SECONDS = 300
LIT_FROM = 5
ZONES = [None, "Europe/Berlin", "America/Denver", "Australia/Lord_Howe", "Asia/Kolkata"]

FORMS = {
    "iso": ("%Y-%m-%d %H:%M:%S", []),
    "iso-t": ("%Y-%m-%dT%H:%M:%S", []),
    "slashes": ("%Y/%m/%d %H:%M:%S", []),
    "points": ("%d.%m.%Y %H:%M:%S", []),
    "month-first": ("%m/%d/%Y %I:%M:%S %p", ["--date-order", "month-first"]),
    "day-first": ("%d/%m/%Y %H:%M:%S", ["--date-order", "day-first"]),
    "names": ("%d %b %Y %H:%M:%S", []),
    "compact": ("%Y%m%dT%H%M%S", []),
}


def made(random, number):
    """A frame with the truth, the text of the file, and the options to read it with."""
    rows = int(random.integers(50, 6000))
    step = int(random.choice([10, 30, 60, 300, 600]))
    zone = ZONES[number % len(ZONES)]
    # Around a change of the clock, so that it is met often.
    start = pd.Timestamp("2026-10-24 18:00" if number % 2 else "2026-03-28 18:00", tz="UTC")
    start -= pd.Timedelta(seconds=int(random.integers(0, 40 * 86400)) if number % 3 else 0)
    steps = np.full(rows, step)
    gaps = random.random(rows) < 0.004
    steps[gaps] += (random.integers(2, 200, rows) * step)[gaps]
    # The usual step is learned from the first rows: no gap may stand for it.
    steps[0] = 0
    utc = start + pd.to_timedelta(np.cumsum(steps), unit="s")
    if zone and (np.diff([one.utcoffset().total_seconds() for one in utc.tz_convert(zone)]) < 0).any():
        # Clocks are put back within the log. After a gap into the hour that comes twice nobody can tell which of the
        # two it is, so there are no gaps here.
        steps = np.full(rows, step)
        steps[0] = 0
        utc = start + pd.to_timedelta(np.cumsum(steps), unit="s")
    hours = (np.cumsum(steps)) / 3600.0
    frame = pd.DataFrame({"utc": utc})
    frame["temperature"] = (18 + 4 * np.sin(2 * np.pi * hours / 24) + random.normal(0, 0.4, rows)).round(2)
    frame["humidity"] = np.clip(86 + 9 * np.sin(2 * np.pi * hours / 0.4) + random.normal(0, 2, rows), 0, 100).round(2)
    frame["co2"] = np.clip(900 + 700 * np.sin(2 * np.pi * hours / 5) + random.normal(0, 30, rows), 0, None).round()
    frame["light"] = np.where((hours % 24) < 12, 400, 0) + random.integers(0, 4, rows)
    for column in ["temperature", "humidity", "co2"]:
        frame.loc[random.random(rows) < 0.01, column] = np.nan
    local = frame["utc"].dt.tz_convert(zone) if zone else frame["utc"]
    options = ["--time-zone", zone] if zone else []
    kind = list(FORMS)[number % len(FORMS)]
    if number % 11 == 0:
        stamps = frame["utc"].map(lambda one: int(one.timestamp() * 1000)).astype(str)
    elif number % 13 == 0:
        stamps = local.map(lambda one: one.isoformat())
    else:
        form, more = FORMS[kind]
        stamps = local.dt.strftime(form)
        options = options + more
    fahrenheit = number % 4 == 1
    comma = number % 5 == 2
    text = pd.DataFrame({"When": stamps})
    shown = frame["temperature"]
    if fahrenheit:
        shown = (shown * 1.8 + 32).round(3)
        frame["temperature"] = (shown - 32) / 1.8
    text["Temp [F]" if fahrenheit else "Temp [C]"] = shown
    text["RH (%)"] = frame["humidity"]
    text["CO2 ppm"] = frame["co2"]
    text["Lux"] = frame["light"]
    order = ["When", *random.permutation(text.columns[1:])]
    if number % 3 == 1:
        order = order[1:3] + order[:1] + order[3:]
    text = text[order]
    options = options + ["--column", "time=When"]
    csv = text.to_csv(
        index=False, sep=";" if comma else ",", decimal="," if comma else ".", na_rep="" if number % 2 else "NaN"
    )
    frame["local"] = local
    return frame, csv, options


def expected(frame, reading, limits):
    """The statistics of one column, from their definitions."""
    known = frame[frame[reading].notna()]
    seconds = known["utc"].map(pd.Timestamp.timestamp).to_numpy()
    values = known[reading].to_numpy(dtype=float)
    # The step that nineteen of twenty do not go beyond is learned from the first 4096 rows of the file, of those where the
    # column is filled in.
    first = frame.iloc[:4096]
    first = first[first[reading].notna()]["utc"].map(pd.Timestamp.timestamp).to_numpy()
    steps = np.sort(np.diff(first))
    long = steps[len(steps) * 19 // 20 if len(steps) >= 20 else len(steps) // 2]
    gap = max(GAP_FACTOR * long, GAP_LEAST_SECONDS)
    steps = np.diff(seconds)
    steps = np.where(steps <= gap, steps, 0.0)
    weights = np.zeros(values.size)
    weights[:-1] += steps / 2
    weights[1:] += steps / 2
    order = np.argsort(values, kind="stable")
    cumulated = np.cumsum(weights[order])
    lit = (known["light"] >= LIT_FROM).to_numpy()
    result = {
        "count": len(values),
        "hours": weights.sum() / 3600,
        "mean": np.average(values, weights=weights),
        "min": values.min(),
        "max": values.max(),
        "day_mean": np.average(values[lit], weights=weights[lit]) if weights[lit].sum() else None,
        "night_mean": np.average(values[~lit], weights=weights[~lit]) if weights[~lit].sum() else None,
        "day_hours": weights[lit].sum() / 3600 if weights[lit].sum() else None,
    }
    for share, name in [(0.05, "p05"), (0.5, "p50"), (0.95, "p95")]:
        result[name] = values[order][np.searchsorted(cumulated, share * cumulated[-1] - 1e-6)]
    low, high = limits
    if low is not None:
        counts = lit if reading == "light" else True
        result["hours_below"] = weights[(values < low) & counts].sum() / 3600
    if high is not None:
        result["hours_above"] = weights[values > high].sum() / 3600
    return result


def run(program, path, options):
    done = subprocess.run([program, "log", str(path), "--format", "json", *options], capture_output=True, text=True)
    if done.returncode != 0:
        raise SystemExit(f"{path}: status {done.returncode}: {done.stderr}")
    return json.loads(done.stdout)


def compare_statistics(program, folder):
    random = np.random.default_rng(20260304)
    worst, wrong = {}, 0
    for number in range(LOGS):
        frame, csv, options = made(random, number)
        path = Path(folder) / "log.csv"
        path.write_text(csv, encoding="utf-8")
        told = run(program, path, options)
        if told["rows_used"] != len(frame) or told["rows_left_out"]:
            wrong += 1
            print(f"log {number}: {told['rows_used']} of {len(frame)} rows, {told['rows_left_out']}, {options}")
            continue
        zone = [option for option in options if option in ZONES]
        begins = frame["local"].iloc[0]
        shown = pd.Timestamp(told["start"])
        same = shown == begins if shown.tzinfo else shown == begins.tz_localize(None)
        if not same:
            wrong += 1
            print(f"log {number}: begins {told['start']}, not {begins} ({zone})")
        for reading, ours in told["readings"].items():
            wanted = expected(frame, reading, (ours["limit_min"], ours["limit_max"]))
            ours = dict(ours)
            for part in ["day", "night"]:
                ours[f"{part}_mean"] = ours[part]["mean"] if ours[part] else None
                ours[f"{part}_hours"] = ours[part]["hours"] if ours[part] else None
            for key, value in wanted.items():
                if value is None:
                    continue
                apart = abs(ours[key] - value)
                allowed = TOLERANCES.get(key, ours["resolution"] / 2 + 1e-9)
                worst[key] = max(worst.get(key, 0), apart)
                if apart > allowed:
                    wrong += 1
                    print(f"log {number} {reading} {key}: ours {ours[key]}, pandas {value}, {options}")
    print(f"{LOGS} logs; the greatest difference of each statistic:")
    for key, apart in sorted(worst.items()):
        print(f"  {key:>12} {apart:.3g}")
    return wrong


def compare_decays(program, folder):
    """Single falls with noise: the slope and its interval against scipy.stats.linregress on the same readings."""
    random = np.random.default_rng(20260305)
    worst, wrong, inside = 0.0, 0, 0
    falls = 100
    for number in range(falls):
        changes = random.uniform(1, 8)
        minutes = np.arange(0, 241)
        co2 = np.where(
            minutes < 60, 500 + 35 * minutes, 420 + (500 + 35 * 60 - 420) * np.exp(-changes * (minutes - 60) / 60)
        )
        co2 = (co2 + random.normal(0, 4, minutes.size)).round(1)
        stamps = pd.Timestamp("2026-03-01") + pd.to_timedelta(minutes, unit="min")
        path = Path(folder) / "fall.csv"
        pd.DataFrame({"time": stamps.strftime("%Y-%m-%d %H:%M:%S"), "co2 ppm": co2}).to_csv(path, index=False)
        told = run(program, path, ["--outside-co2", "420"])
        found = [one for one in told["findings"] if one["id"] == "air-changes"]
        if not found or len(found[0]["evidence"]["list"]) != 1:
            wrong += 1
            print(f"fall {number}: not found at {changes:.2f} an hour")
            continue
        ours = found[0]["evidence"]["list"][0]
        times = pd.Series(stamps)
        used = ((times >= pd.Timestamp(ours["from"])) & (times <= pd.Timestamp(ours["to"]))).to_numpy()
        line = stats.linregress(minutes[used] / 60, np.log(co2[used] - 420))
        half = stats.t.ppf(0.975, used.sum() - 2) * line.stderr
        for key, value in [
            ("air_changes_per_hour", -line.slope),
            ("low", -line.slope - half),
            ("high", -line.slope + half),
        ]:
            apart = abs(ours[key] - value)
            worst = max(worst, apart)
            # Printed with three decimals.
            if apart > 0.00051 or ours["points"] != used.sum():
                wrong += 1
                print(f"fall {number} {key}: ours {ours[key]}, SciPy {value}")
        inside += ours["low"] <= changes <= ours["high"]
    print(f"{falls} falls; the greatest difference {worst:.2g} an hour; the truth inside the 95 % interval in {inside}")
    return wrong


def main():
    program = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        wrong = compare_statistics(program, folder) + compare_decays(program, folder)
    print("all within the stated tolerances" if wrong == 0 else f"{wrong} DIFFER")
    return 0 if wrong == 0 else 1


if __name__ == "__main__":
    sys.exit(main())
