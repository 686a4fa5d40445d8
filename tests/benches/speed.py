"""Whole-process times of the program beside others, as ratios from one run.

    python tests/benches/speed.py PROGRAM [--quick]

Prints one table in Markdown. Processor time is user and system time of the process on all cores; elapsed times are the
least of several turns, taken in turns with what they are compared with. Ends with status 1 if a closure differs from
that of CLIPS, or the log's statistics from those of pandas.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))

from horn import Base

SIZES = (300, 3_000, 30_000, 100_000)
QUICK_SIZES = (300, 3_000)
TURNS = 5


class Run:
    """One process: seconds elapsed, seconds of processor, peak memory in MiB, and what it printed."""

    def __init__(self, command):
        began = time.perf_counter()
        with tempfile.TemporaryFile() as out:
            process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.DEVNULL)
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
            self.elapsed = time.perf_counter() - began
            out.seek(0)
            self.out = out.read().decode()
        self.processor = used.ru_utime + used.ru_stime
        self.peak = used.ru_maxrss / 1024
        if process.returncode != 0:
            raise SystemExit(f"`{' '.join(map(str, command))}` ended with status {process.returncode}")


def in_turns(*commands, turns=TURNS):
    """The quickest of several turns of each command, by processor time and by elapsed time."""
    runs = [[Run(command) for command in commands] for _ in range(turns)]
    return [
        (min(run.processor for run in of_one), min(run.elapsed for run in of_one), of_one[-1]) for of_one in zip(*runs)
    ]


def row(*cells):
    print("| " + " | ".join(cells) + " |", flush=True)


def milliseconds(seconds):
    return f"{seconds * 1000:,.1f} ms"


def start(program, case):
    """A diagnosis beside the least the program can do."""
    least, whole = in_turns([program, "--version"], [program, "diagnose", case], turns=20)
    row("`--version`, whole process", milliseconds(least[1]), "", "")
    row("`diagnose`, whole process", milliseconds(whole[1]), f"{whole[1] / least[1]:.2f} times `--version`", f"{whole[2].peak:.0f} MiB")


def horn(program, folder, sizes, scale):
    """Loading and chaining of Horn bases from text, beside CLIPS; false if a closure differs."""
    clips = shutil.which("clips")
    same = True
    before = None
    for size in sizes:
        base = Base(size)
        base.write_knowledge(folder / f"{size}", scale)
        base.write_case(folder / f"{size}.case.toml")
        base.write_clips(folder / f"{size}.clp", show_facts=False)
        base.write_clips(folder / f"{size}-shown.clp", show_facts=True)
        ours_command = [program, "--knowledge-only", folder / f"{size}", "diagnose", folder / f"{size}.case.toml", "--format", "json"]
        clips_command = [clips, "-f2", folder / f"{size}.clp"]
        turns = TURNS if size < 30_000 else 2 if size < 100_000 else 1
        if clips:
            ours, theirs = in_turns(ours_command, clips_command, turns=turns)
        else:
            (ours,) = in_turns(ours_command, turns=turns)
        derived = {base.head_of(step["rule"]) for step in json.loads(ours[2].out)["derived"]}
        beside = "CLIPS is not there"
        if clips:
            shown = Run([clips, "-f2", folder / f"{size}-shown.clp"]).out
            agree = derived == set(re.findall(r"\((f\d+)\)", shown))
            same &= agree
            beside = f"CLIPS {milliseconds(theirs[0])}, {theirs[0] / ours[0]:.1f} times as long; closure {'the same' if agree else 'NOT THE SAME'}"
        growth = ""
        if before:
            growth = f"; {ours[0] / before[1]:.1f} times for {size / before[0]:.1f} times the rules"
        before = (size, ours[0])
        row(
            f"{size:,} rules from text, {len(derived):,} facts derived",
            f"{milliseconds(ours[0])} of processor, {milliseconds(ours[1])} elapsed",
            beside + growth,
            f"{ours[2].peak:.0f} MiB" + (f", CLIPS {theirs[2].peak:.0f} MiB" if clips else ""),
        )
    return same


def batch(program, folder, cases, count):
    """Diagnoses a second, from the published cases over and over."""
    lines = []
    for path in sorted(cases.glob("*.toml")):
        case = tomllib.loads(path.read_text(encoding="utf-8"))
        kept = {key: case[key] for key in ("species", "stage", "setup", "people", "signs", "readings") if key in case}
        lines.append(json.dumps(kept, default=str))
    many = folder / "batch.jsonl"
    many.write_text("".join(lines[number % len(lines)] + "\n" for number in range(count)), encoding="utf-8")
    (run,) = in_turns([program, "diagnose", "--batch", many], turns=2)
    answers = run[2].out.count('"blockside.diagnosis/1"')
    row(
        f"`diagnose --batch`, {count:,} lines",
        f"{answers / run[1]:,.0f} diagnoses a second elapsed",
        f"{run[0] / count * 1e6:,.0f} µs of processor each, {os.cpu_count()} cores",
        f"{run[2].peak:.0f} MiB",
    )
    return answers == count


def main():
    program = os.path.abspath(sys.argv[1])
    quick = "--quick" in sys.argv[2:]
    root = pathlib.Path(__file__).resolve().parents[2]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        row("what", "time", "beside", "peak memory")
        row("---", "---", "---", "---")
        start(program, root / "fixtures" / "cases" / "algae.toml")
        right = horn(program, folder, QUICK_SIZES if quick else SIZES, root / "fixtures" / "small" / "scale.toml")
        right &= batch(program, folder, root / "fixtures" / "cases", 500 if quick else 5_000)
    log = [sys.executable, root / "tests" / "reference" / "log_speed.py", program]
    right &= subprocess.run(log + (["300000"] if quick else []), check=False).returncode == 0
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
