"""The knowledge as `blockside knowledge list KIND --format json` gives it, and what holds on one occasion.

Written from the design (a fact is told, measured or derived; what nobody answered changes nothing) and not from the
engine: conditions are looked at in Kleene's three-valued logic, Horn rules are closed by clingo (see `derive.py`), readings
become likelihoods by the normal distribution of the standard library.
"""

import json
import math
import subprocess
import tomllib

import derive

ANSWERS = {"yes": 1.0, "no": 0.0}


def listed(program, kind, options=()):
    command = [program, "knowledge", "list", kind, "--format", "json", *options]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)["entries"]


def number(value):
    """A number as the program writes it in ids."""
    return str(int(value)) if value == int(value) else str(value)


def key(statement):
    """A statement as something hashable: (kind, id) or (reading, id, side, limit, times)."""
    ((kind, what),) = statement.items()
    if kind == "reading":
        side = "above" if "above" in what else "below"
        return (kind, what["of"], side, what[side], what.get("times", 1.0))
    return (kind, what[0] if isinstance(what, list) else what)


def name(finding):
    """The id of a finding in the program's JSON."""
    if finding[0] != "reading":
        return finding[1]
    _, of, side, limit, times = finding
    if limit != "species":
        return f"{of}-{side}-{number(limit)}"
    return f"{of}-{side}-species" if times == 1.0 else f"{of}-{side}-{number(times)}-times-species"


class Book:
    """All that is known, by id."""

    def __init__(self, program, options=()):
        kinds = ["species", "signs", "causes", "readings", "facts", "questions", "rules", "stages", "numbers", "actions", "cautions"]
        for kind in kinds:
            setattr(self, kind, {entry["id"]: entry for entry in listed(program, kind, options)})
        self.numbers = {which: entry["value"] for which, entry in self.numbers.items()}
        self.rules = {which: rule for which, rule in self.rules.items() if rule["sort"] == "derive"}
        self.default_species = next((i for i, one in self.species.items() if one["default"]), None)
        self.default_stage = next((i for i, one in self.stages.items() if one["default"]), None)
        self.links, self.roots_met = {}, {}
        for which, cause in self.causes.items():
            for line in cause["shows"]:
                self.links.setdefault(key(line["when"]), []).append((which, line))
        self.called = {}
        for which, one in self.species.items():
            for called in [which, one["name"], one["latin"], *one["also"]]:
                self.called.setdefault(called.lower(), which)

    def limits(self, species, stage, reading):
        stage = stage or self.default_stage
        for which in (species or self.default_species, self.default_species):
            for limit in self.species.get(which, {"limits": []})["limits"]:
                if limit["stage"] == stage and limit["reading"] == reading:
                    return limit
        return None


class Occasion:
    """What was told, measured and derived on one occasion."""

    def __init__(self, book, case, values):
        self.book = book
        species = case.get("species")
        species = book.called[species.lower()] if species else None
        self.species_told = species
        self.species = species if species != book.default_species else None
        self.stage = case.get("stage")
        self.setup = {item.removesuffix("=no"): not item.endswith("=no") for item in case.get("setup", [])}
        self.people = {who: holds in ("yes", True) for who, holds in case.get("people", {}).items()}
        self.signs = dict(case.get("signs", {}))
        self.values = values
        self.ruled_out = set()
        for question in book.questions.values():
            if question["one_of"] and any(self.signs.get(sign) == "yes" for sign in question["signs"]):
                self.ruled_out |= {sign for sign in question["signs"] if sign not in self.signs}
        self.closure = derive.close(book, self)

    def comparison(self, statement):
        """Probability that a reading lies beyond a limit: normal error, pulled towards one half by a broken gauge."""
        _, reading, side, limit, times = statement
        if reading not in self.values:
            return None
        if limit == "species":
            limits = self.book.limits(self.species_told, self.stage, reading)
            limit = limits and limits["max" if side == "above" else "min"]
            if limit is None:
                return None
            limit *= times
        value, tolerance = self.values[reading]
        if value == limit:
            above = 0.5
        elif tolerance == 0:
            above = float(value > limit)
        else:
            above = 0.5 * math.erfc((limit - value) / tolerance / math.sqrt(2))
        broken = self.book.readings[reading]["broken_gauge"]
        above = broken / 2 + (1 - broken) * above
        return above if side == "above" else 1 - above

    def told(self, statement):
        """Probability of a statement from what was told or measured; none where nobody said anything."""
        kind, what = statement[0], statement[1]
        if kind == "reading":
            return self.comparison(statement)
        if kind == "sign":
            if what in self.signs:
                answer = self.signs[what]
                return ANSWERS[answer] if answer in ANSWERS else self.book.numbers[answer]
            return 0.0 if what in self.ruled_out else None
        if kind in ("setup", "person"):
            known = self.setup if kind == "setup" else self.people
            return float(known[what]) if what in known else None
        if kind == "species":
            return float(self.species == what) if self.species else None
        if kind == "stage":
            return float(self.stage == what) if self.stage else None
        if kind == "trait":
            return float(what in self.book.species[self.species]["traits"]) if self.species else None
        return None

    def truth(self, statement):
        """True, false, or none for not known."""
        sure = self.book.numbers["reading-true-at"]
        told = self.told(statement)
        if told is not None:
            return True if told >= sure else False if 1 - told >= sure else None
        holds, denied = self.closure.get((statement, True), 0), self.closure.get((statement, False), 0)
        return None if holds == denied else holds > denied

    def condition(self, condition):
        if "all" in condition:
            parts = [self.condition(part) for part in condition["all"]]
            return False if False in parts else None if None in parts else True
        if "any" in condition:
            parts = [self.condition(part) for part in condition["any"]]
            return True if True in parts else None if None in parts else False
        if "not" in condition:
            truth = self.condition(condition["not"])
            return None if truth is None else not truth
        return self.truth(key(condition))

    def in_force(self, guard):
        return guard is None or self.condition(guard) is not False

    def speaks(self, line):
        fits = line["response_of"] in (None, self.species) and self.species not in (line["not_in"] or ["-"])
        return fits and self.in_force(line["only_if"])

    def shown_by(self, finding):
        """The causes that show a finding; of several lines of one cause, which are alternatives, the strongest in force."""
        strengths = {}
        for cause, line in self.book.links.get(finding, []):
            if self.speaks(line):
                strengths[cause] = max(strengths.get(cause, 0.0), line["shows"])
        return list(strengths.items())

    def can_be_there(self, finding):
        return finding[0] != "sign" or self.in_force(self.book.signs[finding[1]]["asked_if"])

    def anyway(self, finding):
        kind, what = finding[0], finding[1]
        if kind == "sign" and self.species:
            for look in self.book.species[self.species]["normal"]:
                if look["sign"] == what:
                    return look["anyway"]
        return {"sign": self.book.signs, "fact": self.book.facts, "reading": self.book.readings}[kind][what]["anyway"]

    def known(self, finding):
        """Whether anything is known of a finding, even what says nothing."""
        return self.likelihoods(finding, True) is not None

    def likelihoods(self, finding, whatever=False):
        """How well what is known fits the presence and the absence of a finding; none where nothing is known, or where what
        is said to be missing cannot be there."""
        probability = self.told(finding)
        if probability is None:
            holds, denied = self.closure.get((finding, True), 0), self.closure.get((finding, False), 0)
            if holds == denied:
                return None
            probability = holds if holds > denied else 1 - denied
        if not whatever and probability <= 0.5 and not self.can_be_there(finding):
            return None
        return probability, 1 - probability

    def raised(self, cause):
        """What the odds of a cause are multiplied by."""
        return math.prod(one["times"] for one in cause["raised_by"] if self.condition(one["when"]) is True)


def read_case(path):
    case = tomllib.loads(path.read_text(encoding="utf-8"))
    return {what: case[what] for what in ("species", "stage", "setup", "signs", "readings", "people") if what in case}
