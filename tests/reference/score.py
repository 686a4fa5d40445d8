"""`blockside knowledge score` against scikit-learn, SciPy and an independent bootstrap in numpy.

    python tests/reference/score.py PROGRAM

Takes the single statements of `--detail` and works out from them what the program states: the Brier score of statements
(brier_score_loss), the reliability table (calibration_curve), the expected calibration error, the share that chance leaves
in each bin (scipy.stats.binom), shares of cases, and the ends of the bootstrap intervals, which may differ by as much as
other seeds of the same bootstrap do. Ends with status 1 where anything differs.
"""

import json
import subprocess
import sys

import numpy as np
from scipy import stats
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss

BINS = 10
# The program prints six decimals.
ROUNDED = 0.6e-6
RESAMPLES = 1000
SEEDS = 20
# Ends of intervals lie within so many standard deviations of what other seeds give.
DEVIATIONS = 5

RUNS = {
    "the published cases": [],
    "the published cases, strengths of the book off by up to two": ["--off-by", "2", "--seed", "3"],
    "2000 simulated cases": ["--simulated", "2000"],
    "2000 simulated cases, strengths off by up to two": ["--simulated", "2000", "--off-by", "2"],
}


class Cases:
    """What was stated case by case, as arrays; drawn anew by whole cases."""

    def __init__(self, cases):
        count = len(cases)
        self.leads, self.three, self.brier = np.zeros(count), np.zeros(count), np.zeros(count)
        rows = []
        for at, case in enumerate(cases):
            stated = case["stated"]
            places = [place for place, one in enumerate(stated) if one["so"]]
            silent = not case["wanted"] and not stated
            self.leads[at] = silent or (bool(places) and places[0] == 0)
            self.three[at] = silent or (bool(places) and places[0] < 3)
            self.brier[at] = sum((one["confidence"] - one["so"]) ** 2 for one in stated)
            self.brier[at] += bool(case["wanted"]) and not places
            rows += [(at, one["confidence"], one["so"]) for one in stated]
        self.case, self.stated, self.so = (np.array(column) for column in zip(*rows))
        self.stated, self.so = self.stated.astype(float), self.so.astype(float)
        self.bin = np.minimum((self.stated * BINS).astype(int), BINS - 1)

    def measures(self, weights):
        """Every measure with each case counted so many times."""
        each = weights[self.case]
        apart = np.bincount(self.bin, each * (self.stated - self.so), BINS)
        return {
            "leads": np.average(self.leads, weights=weights),
            "first_three": np.average(self.three, weights=weights),
            "brier": np.average(self.brier, weights=weights),
            "brier_each": np.average((self.stated - self.so) ** 2, weights=each),
            "expected_calibration_error": np.abs(apart).sum() / each.sum(),
        }

    def intervals(self, seed):
        random = np.random.default_rng(seed)
        count = len(self.leads)
        drawn = [self.measures(np.bincount(random.integers(0, count, count), minlength=count)) for _ in range(RESAMPLES)]
        return {which: np.quantile([one[which] for one in drawn], [0.025, 0.975]) for which in drawn[0]}


def compare(program, title, options):
    command = [program, "knowledge", "score", "--format", "json", "--detail", *options]
    told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    cases = Cases(told["statements"])
    worst, wrong = {}, []

    def check(kind, ours, theirs, allowed=ROUNDED):
        worst[kind] = max(worst.get(kind, 0.0), abs(ours - theirs))
        if not abs(ours - theirs) <= allowed:
            wrong.append(f"{kind}: the program has {ours}, the reference {theirs}")

    whole = cases.measures(np.ones(len(cases.leads)))
    for which, value in whole.items():
        check("shares and scores", told[which]["value"], value)
    check("brier_score_loss", told["brier_each"]["value"], brier_score_loss(cases.so, cases.stated))

    filled = [one for one in told["reliability"] if one["count"]]
    observed, stated = calibration_curve(cases.so, cases.stated, n_bins=BINS, strategy="uniform")
    counts = np.histogram(cases.stated, BINS, (0, 1))[0]
    if [one["count"] for one in told["reliability"]] != counts.tolist() or len(filled) != len(observed):
        wrong.append(f"counts of the bins: {[one['count'] for one in told['reliability']]} and {counts}")
    for one, so, said in zip(filled, observed, stated):
        check("calibration_curve", one["observed"], so)
        check("calibration_curve", one["stated"], said)
        low, high = stats.binom.ppf([0.005, 0.995], one["count"], said) / one["count"]
        check("what chance leaves", one["expected_low"], low)
        check("what chance leaves", one["expected_high"], high)
    error = np.abs(observed - stated) @ counts[counts > 0] / counts.sum()
    check("expected calibration error from the curve", told["expected_calibration_error"]["value"], error)

    others = [cases.intervals(seed) for seed in range(SEEDS)]
    for which in whole:
        for end, at in (("low", 0), ("high", 1)):
            ends = np.array([one[which][at] for one in others])
            room = DEVIATIONS * ends.std() + ROUNDED + 1 / len(cases.leads) * (which in ("leads", "first_three"))
            check("ends of intervals", told[which][end], ends.mean(), room)
    print(f"{title}: {told['cases']} cases, {len(cases.stated)} statements; the greatest differences:")
    for kind, apart in worst.items():
        print(f"  {kind:<44} {apart:.2g}")
    for which in ("leads", "brier", "brier_each", "expected_calibration_error"):
        one = told[which]
        print(f"  {which:<44} {one['value']:.3f} ({one['low']:.3f} to {one['high']:.3f})")
    for line in wrong:
        print(f"  DIFFERS {line}")
    return len(wrong)


def main():
    wrong = sum(compare(sys.argv[1], title, options) for title, options in RUNS.items())
    print("all within the stated tolerances" if wrong == 0 else f"{wrong} DIFFER")
    return 0 if wrong == 0 else 1


if __name__ == "__main__":
    sys.exit(main())
