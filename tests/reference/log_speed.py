"""Whole-process time of `blockside log` against pandas on the same file, in one run.

    python tests/reference/log_speed.py PROGRAM [ROWS]

Writes a log of so many rows (ten million if not said) into a temporary folder, then runs, in turns and each as a process
of its own, `PROGRAM log FILE --format json` and this script with `--pandas FILE`, which reads the same file with pandas
and computes the same statistics: time-weighted mean, least, greatest, the three quantiles, and hours below and above the
limits, of four columns. Prints the times, the peak memory of each, and how far the statistics lie apart. Ends with
status 1 if ours was not the faster or the statistics differ.

Needs pandas and numpy; tests/reference/run sets up a virtual environment with them.
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time

COLUMNS = {
    "temperature": "Temperature (C)",
    "humidity": "Humidity (%)",
    "co2": "CO2 (ppm)",
    "light": "Light (lux)",
}
STEP_SECONDS = 3
ROUNDS = 3


def write_log(path, rows):
    """A log with a row every three seconds: days, hunting of the humidity, openings, noise."""
    import numpy as np
    import pandas as pd

    random = np.random.default_rng(20260301)
    chunk = 500_000
    with open(path, "w", encoding="utf-8") as file:
        file.write("Time," + ",".join(COLUMNS.values()) + "\n")
        for start in range(0, rows, chunk):
            n = np.arange(start, min(start + chunk, rows))
            seconds = n * STEP_SECONDS
            hours = seconds / 3600.0
            frame = pd.DataFrame(
                {
                    "time": pd.Timestamp("2025-01-01") + pd.to_timedelta(seconds, unit="s"),
                    "t": (19 + 2 * np.sin(2 * np.pi * (hours - 9) / 24) + random.normal(0, 0.1, n.size)).round(2),
                    "rh": (88 + 4 * np.abs((seconds % 1080) / 270 - 2) - 4 + random.normal(0, 0.3, n.size))
                    .clip(0, 100)
                    .round(1),
                    "co2": (
                        420
                        + np.where(
                            seconds % 21600 < 3600,
                            2400 * (seconds % 21600) / 3600,
                            2400 * np.exp(-4 * ((seconds % 21600) - 3600) / 3600.0),
                        )
                        + random.normal(0, 8, n.size)
                    )
                    .round()
                    .astype(int),
                    "lux": np.where((hours % 24 >= 8) & (hours % 24 < 20), 500, 0) + random.integers(0, 3, n.size),
                }
            )
            frame["time"] = frame["time"].dt.strftime("%Y-%m-%d %H:%M:%S")
            file.write(frame.to_csv(header=False, index=False, lineterminator="\n"))


def with_pandas(path, limits, gap_seconds):
    """The same statistics with pandas: what a careful person would write, without loops over rows."""
    import numpy as np
    import pandas as pd

    frame = pd.read_csv(path)
    stamps = pd.to_datetime(frame["Time"], format="%Y-%m-%d %H:%M:%S")
    result = {}
    for reading, column in COLUMNS.items():
        known = frame[column].notna()
        values = frame.loc[known, column].to_numpy(dtype=float)
        steps = stamps[known].diff().dt.total_seconds().to_numpy()[1:]
        steps = np.where(steps <= gap_seconds, steps, 0.0)
        # Each value stands for half of the time to its neighbours on either side.
        weights = np.zeros(values.size)
        weights[:-1] += steps / 2
        weights[1:] += steps / 2
        order = np.argsort(values, kind="stable")
        cumulated = np.cumsum(weights[order])
        total = cumulated[-1]
        quantile = lambda share: float(values[order][np.searchsorted(cumulated, share * total)])
        low, high = limits[reading]
        counted = weights
        below = None
        if low is not None:
            # Light counts as too little with the lamp on only.
            lit = values >= 5 if reading == "light" else True
            below = float(counted[(values < low) & lit].sum() / 3600)
        result[reading] = {
            "mean": float((values * weights).sum() / weights.sum()),
            "min": float(values.min()),
            "max": float(values.max()),
            "p05": quantile(0.05),
            "p50": quantile(0.50),
            "p95": quantile(0.95),
            "hours_below": below,
            "hours_above": None if high is None else float(counted[values > high].sum() / 3600),
        }
    return result


def timed(command):
    """Seconds and what was printed; the whole process."""
    began = time.perf_counter()
    done = subprocess.run(command, capture_output=True, check=True)
    return time.perf_counter() - began, done.stdout


def main():
    if len(sys.argv) > 2 and sys.argv[1] == "--pandas":
        told = json.loads(sys.argv[3])
        result = with_pandas(sys.argv[2], told["limits"], told["gap_seconds"])
        result["peak_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(json.dumps(result))
        return 0
    program = sys.argv[1]
    rows = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000_000
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "log.csv")
        write_log(path, rows)
        print(f"{rows:,} rows, {os.path.getsize(path) / 2**20:,.0f} MiB")
        ours_command = [program, "log", path, "--format", "json"]
        # Once for each, unmeasured, so that both find the file in memory.
        _, ours_text = timed(ours_command)
        ours = json.loads(ours_text)
        limits = {key: (one["limit_min"], one["limit_max"]) for key, one in ours["readings"].items()}
        told = json.dumps({"limits": limits, "gap_seconds": 300})
        theirs_command = [sys.executable, os.path.abspath(__file__), "--pandas", path, told]
        times = {"ours": [], "pandas": []}
        for _ in range(ROUNDS):
            seconds, ours_text = timed(ours_command)
            times["ours"].append(seconds)
            seconds, theirs_text = timed(theirs_command)
            times["pandas"].append(seconds)
        theirs = json.loads(theirs_text)
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        small = subprocess.run(
            [sys.executable, "-c", SMALL, *ours_command], capture_output=True, check=True, text=True
        )
    for name, seconds in times.items():
        print(f"{name:>7}: " + ", ".join(f"{one:.2f} s" for one in seconds))
    print(f"peak memory: ours {float(small.stdout):.0f} MiB, pandas {theirs['peak_mib']:.0f} MiB (most of all {peak:.0f})")
    worst = compare(ours, theirs)
    faster = max(times["ours"]) < min(times["pandas"])
    print("ours is faster in every round" if faster else "OURS IS NOT FASTER")
    return 0 if faster and worst == 0 else 1


SMALL = (
    "import resource, subprocess, sys; subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True); "
    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024)"
)


def compare(ours, theirs):
    """How many statistics differ by more than is stated."""
    wrong = 0
    for reading in COLUMNS:
        one, other = ours["readings"][reading], theirs[reading]
        half = one["resolution"] / 2 + 1e-9
        tolerances = {"p05": half, "p50": half, "p95": half, "mean": 1e-7, "min": 0, "max": 0}
        for key, value in other.items():
            if value is None:
                continue
            apart = abs(one[key] - value)
            if apart > tolerances.get(key, 1e-6):
                wrong += 1
                print(f"{reading} {key}: ours {one[key]}, pandas {value}")
    return wrong


if __name__ == "__main__":
    sys.exit(main())
