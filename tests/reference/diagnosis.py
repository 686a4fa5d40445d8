"""The diagnosis against general-purpose libraries: pgmpy for the weighing, clingo for the rules.

    python tests/reference/diagnosis.py PROGRAM [RANDOM]

Builds the network of every published case, and of cases in RANDOM small knowledge folders made here (64 if not given),
from the documentation; compares every probability beforehand and afterwards, leave-one-out weights, the joint information
of the checks, what follows from the rules with its degree, and which actions and cautions are due. Prints the greatest
difference of each; ends with status 1 where one is beyond TOLERANCE.
"""

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import derive
import folders
import network
from book import Book, Occasion, key, name, read_case

TOLERANCE = 1e-9
# In the large knowledge weights are compared for the likeliest causes: of the others pgmpy would be asked thousands of times.
LIKELIEST = 8
# Checks are valued over all sets of the causes in play up to this many; beyond, the program states a near value.
ALL_SETS = 8
# How far that near value may lie off, in bits.
NEAR = 0.02
# With more causes in play than this a joint table would be too large for a reference.
MOST_IN_PLAY = 14
# Random bases of derive rules.
RULE_BASES = 24


class Tally:
    """The greatest difference of each kind of number, and what is beyond the tolerance."""

    def __init__(self):
        self.worst, self.count, self.wrong, self.spread = {}, {}, [], {}

    def compare(self, kind, where, ours, theirs, allowed=TOLERANCE):
        apart = abs(ours - theirs)
        self.count[kind] = self.count.get(kind, 0) + 1
        self.worst[kind] = max(self.worst.get(kind, 0.0), apart)
        self.spread.setdefault(kind, []).append(apart)
        if not apart <= allowed:
            self.wrong.append(f"{where}: {kind}: the program has {ours!r}, the reference {theirs!r}")

    def same(self, kind, where, ours, theirs):
        self.count[kind] = self.count.get(kind, 0) + 1
        self.worst.setdefault(kind, 0.0)
        if ours != theirs:
            self.wrong.append(f"{where}: {kind}: only the program {sorted(map(str, ours - theirs))[:6]}, only the reference {sorted(map(str, theirs - ours))[:6]}")

    def show(self, title, took):
        print(f"{title} ({took:.0f} s); how many numbers, and the greatest difference:")
        for kind, worst in self.worst.items():
            print(f"  {kind:<44} {self.count[kind]:>7}  {worst:.2g}")
        for line in self.wrong[:40]:
            print(f"  DIFFERS {line}")


def diagnoses(program, cases, folder, options=()):
    """One diagnosis with all its numbers for each case."""
    path = Path(folder) / "cases.jsonl"
    path.write_text("".join(json.dumps({"schema": "blockside.case/1", **case}) + "\n" for case in cases), encoding="utf-8")
    away = os.environ | {"BLOCKSIDE_HOME": folder}
    command = [program, "diagnose", str(path), "--batch", "--format", "json", "--detail", *options]
    done = subprocess.run(command, capture_output=True, text=True, env=away)
    told = [json.loads(line) for line in done.stdout.splitlines()]
    if done.returncode != 0 or len(told) != len(cases):
        raise SystemExit(f"status {done.returncode}: {done.stderr} {[one['problems'] for one in told if one.get('problems')][:3]}")
    return told


def statements(told):
    """What follows, by the program: literals with their degrees."""
    found = {}
    for fact in told["weighing"]["facts"]:
        holds = "not" not in fact["holds"]
        found[(key(fact["holds"] if holds else fact["holds"]["not"]), holds)] = fact["degree"]
    return found


def measured(book, case, told, tally, where):
    """The readings of a case; those computed by physics are the program's own, which `run-chamber` compares elsewhere."""
    values = {one["id"]: (one["value"], one["tolerance"]) for one in told["weighing"]["readings"]}
    for reading, text in case.get("readings", {}).items():
        parts = str(text).split()
        entry = book.readings[reading]
        plain = len(parts) == 1 or (len(parts) == 2 and parts[1].strip("°").removesuffix("s") == entry["unit"].strip("°").removesuffix("s"))
        if plain:
            value = float(parts[0])
            tally.compare("readings", where, values[reading][0], value)
            tally.compare("their tolerances", where, values[reading][1], entry["tolerance"] + entry["tolerance_share"] * abs(value))
    return values


def compare(book, case, told, tally, where, width, every):
    """One case: every number of the weighing."""
    weighing = told["weighing"]
    occasion = Occasion(book, case, measured(book, case, told, tally, where))
    closed = statements(told)
    reference = {literal: degree for literal, degree in occasion.closure.items() if literal[0][0] not in ("action", "caution")}
    tally.same("statements that follow", where, set(closed), set(reference))
    for literal in closed.keys() & reference.keys():
        tally.compare("their degrees", where, closed[literal], reference[literal])

    ref = network.Reference(occasion, width)
    confidence = ref.weigh()
    ours = {cause["id"]: cause for cause in weighing["causes"]}
    wanted = set(confidence) - {network.UNKNOWN}
    tally.same("causes considered", where, set(ours), wanted)
    before = dict(ref.priors)
    for roots in ref.roots.values():
        before |= roots.priors
    for cause in wanted & set(ours):
        if ours[cause]["beforehand"] is not None:
            tally.compare("probability beforehand", where, ours[cause]["beforehand"], before[cause])
        kind = "root" if book.causes[cause]["kind"] == "root" else "group" if book.causes[cause]["any_of"] else "cause"
        tally.compare(f"probability of a {kind} afterwards", f"{where} {cause}", ours[cause]["confidence"], confidence[cause])
    tally.compare("probability of the unknown cause", where, weighing["unknown"], confidence[network.UNKNOWN])

    if every:
        for cause, sure in ref.whole().items():
            if cause in ours:
                tally.compare("two steps against one large network", f"{where} {cause}", ours[cause]["confidence"], sure)

    found = {one["fact"]: one for one in weighing["findings"]}
    of_roots = [one for roots in ref.roots.values() for one in roots.evidence]
    tally.same("findings weighed", where, set(found), {name(one.finding) for one in ref.evidence + of_roots})
    for one in ref.evidence + of_roots:
        if name(one.finding) in found:
            theirs = found[name(one.finding)]
            # Only the ratio counts.
            tally.compare("likelihoods of a finding", f"{where} {name(one.finding)}", theirs["if_present"] * one.absent, theirs["if_absent"] * one.present)
    for one in ref.evidence:
        line = found.get(name(one.finding))
        if line is None:
            continue
        names = sorted(ref.causes, key=lambda cause: -confidence[cause])[: None if every else LIKELIEST]
        for cause, (with_it, without) in ref.weights(one, names).items():
            # Near certainty the odds magnify the last digits of a probability; what is compared is never finer than these.
            certain = [1 / min(p, 1 - p) for p in (with_it, without) if 0 < p < 1]
            weight = network.decibans(with_it) - network.decibans(without)
            kind = "leave-one-out weight, dB"
            kind += ", probability beyond 1e-4" if max(certain, default=0) > 1e4 else ""
            allowed = TOLERANCE + 1e-13 * sum(certain)
            tally.compare(kind, f"{where} {name(one.finding)} {cause}", line["weights_db"].get(cause, 0.0), weight, allowed)

    conclusions(book, occasion, ref, told, tally, where)
    gains(book, ref, weighing["checks"], tally, where)


def conclusions(book, occasion, ref, told, tally, where):
    """Conclusions are facts too: which actions and cautions follow from them."""
    numbers = book.numbers
    heard = {cause: ref.confidence[cause] for cause in ref.causes if ref.spoken_for(cause)}
    for group, members in ref.groups.items():
        spoken = [member for member in members if member in heard]
        if spoken:
            kept = ref.groups[group]
            ref.groups[group] = spoken
            heard |= ref.net(groups=[group]).marginals([group])
            ref.groups[group] = kept
    for roots in ref.roots.values():
        for root in roots.names:
            told_of = any(one.present > one.absent and dict(one.links).get(root) for one in roots.evidence)
            if told_of or occasion.raised(book.causes[root]) > 1:
                heard[root] = ref.confidence[root]
    near = [sure for sure in heard.values() if min(abs(sure - numbers[at]) for at in ("conclude-at", "suspect-at")) < TOLERANCE]
    if near:
        return
    literals = []
    for kind, at in (("cause", "conclude-at"), ("suspect", "suspect-at")):
        for cause in book.causes:
            literals.append(((kind, cause), heard.get(cause, 0.0) >= numbers[at]))
    closed = derive.close(book, occasion, literals)
    for kind, listed in (("action", "actions"), ("caution", "cautions")):
        due = {statement[1] for (statement, _) in closed if statement[0] == kind}
        tally.same(f"{listed} due", where, {one["id"] for one in told[listed]}, due)


def gains(book, ref, checks, tally, where):
    """The joint information of every check offered."""
    beliefs = {}
    for check in checks:
        about = check["about_roots_of"]
        if about not in beliefs:
            if about:
                roots = ref.roots[about]
                table = roots.net.joint(roots.names, {"(condition)": 1})
                opened = {finding: (ref.occasion.anyway(finding), links) for finding, links in roots.open.items() if ref.can_be_asked(finding)}
                beliefs[about] = network.Belief(table, roots.names), opened, ref.confidence[about]
            else:
                in_play = ref.in_play()
                if len(in_play) > MOST_IN_PLAY:
                    beliefs[about] = None, None, 0.0
                else:
                    beliefs[about] = ref.belief(in_play), ref.open_findings(in_play), 1.0
        belief, opened, times = beliefs[about]
        asked = f"{where} {check['asks'] or check['reading'] or check['signs'][0]}"
        if belief is None:
            tally.count["checks with too many causes in play to compare"] = tally.count.get("checks with too many causes in play to compare", 0) + 1
            tally.worst["checks with too many causes in play to compare"] = float("nan")
            continue
        bits = network.gain(book, belief, opened, check) * times
        if len(belief.names) <= ALL_SETS:
            tally.compare("joint information of a check, bits", asked, check["gain_bits"], bits)
        else:
            tally.compare(f"the same, more than {ALL_SETS} causes in play (near)", asked, check["gain_bits"], bits, NEAR)


def published(program, folder):
    tally, began = Tally(), time.time()
    book = Book(program)
    paths = sorted(Path("fixtures/cases/published").glob("*.toml"))
    cases = [read_case(path) for path in paths]
    for path, case, told in zip(paths, cases, diagnoses(program, cases, folder)):
        compare(book, case, told, tally, path.stem, 4, False)
    tally.show(f"{len(paths)} published cases with the built-in knowledge", time.time() - began)
    return len(tally.wrong)


def made(program, folder, count):
    tally, began = Tally(), time.time()
    told_cases = 0
    for number in range(count):
        chance = random.Random(20261125 + number)
        where = Path(folder) / f"book-{number}"
        cases = folders.make(chance, where)
        options = ["--knowledge-only", str(where)]
        book = Book(program, options)
        for at, (case, told) in enumerate(zip(cases, diagnoses(program, cases, folder, options))):
            compare(book, case, told, tally, f"folder {number} case {at}", 8, True)
            told_cases += 1
    tally.show(f"{told_cases} cases in {count} random knowledge folders", time.time() - began)
    return len(tally.wrong)


def rules(program, folder, count):
    """Larger random bases of rules: the closure alone."""
    tally, began = Tally(), time.time()
    derived = 0
    for number in range(count):
        where = Path(folder) / f"rules-{number}"
        cases = folders.make_rules(random.Random(4_000 + number), where)
        options = ["--knowledge-only", str(where)]
        book = Book(program, options)
        for at, (case, told) in enumerate(zip(cases, diagnoses(program, cases, folder, options))):
            here = f"rules {number} case {at}"
            occasion = Occasion(book, case, measured(book, case, told, tally, here))
            closed = statements(told)
            reference = {literal: degree for literal, degree in occasion.closure.items() if literal[0][0] not in ("action", "caution")}
            tally.same("statements that follow", here, set(closed), set(reference))
            for literal in closed.keys() & reference.keys():
                tally.compare("their degrees", here, closed[literal], reference[literal])
            derived += sum(statement[0] == "fact" for statement, _ in closed)
    tally.show(f"{count} bases of 360 random rules, {derived} facts and denials derived", time.time() - began)
    return len(tally.wrong)


def main():
    program, count = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 64
    with tempfile.TemporaryDirectory() as folder:
        wrong = published(program, folder) + made(program, folder, count) + rules(program, folder, RULE_BASES)
    print("all within the stated tolerance" if wrong == 0 else f"{wrong} DIFFER")
    return 0 if wrong == 0 else 1


if __name__ == "__main__":
    sys.exit(main())
