"""Horn rules closed by the answer set solver clingo.

Statements and their denials are atoms of their own. Each degree that something was told with is a level; an atom holds at
a level where all its premises do, and is as sure as the highest level at which it holds. So clingo knows nothing of
minima and maxima, and the degrees are checked as well as the closure.
"""

import clingo


def literals(condition):
    if "all" in condition or "any" in condition:
        for part in condition.get("all", condition.get("any")):
            yield from literals(part)
    else:
        yield condition


class Program:
    """Rules as a logic program; conditions keep their shape, every part being an atom of its own."""

    def __init__(self):
        self.atoms = {}
        self.lines = []
        self.parts = 0

    def atom(self, literal):
        return f"a({self.atoms.setdefault(literal, len(self.atoms))},L)"

    def part(self, condition, key):
        if "all" in condition or "any" in condition:
            self.parts += 1
            head = f"p({self.parts},L)"
            bodies = [self.part(part, key) for part in condition.get("all", condition.get("any"))]
            for body in [bodies] if "all" in condition else [[body] for body in bodies]:
                self.lines.append(f"{head} :- level(L), {', '.join(body)}.")
            return head
        holds = "not" not in condition
        return self.atom((key(condition if holds else condition["not"]), holds))

    def rule(self, condition, head, key):
        self.lines.append(f"{self.atom(head)} :- level(L), {self.part(condition, key)}.")


def solve(program, given):
    """The degree of every atom that follows, from the degrees of those given."""
    degrees = sorted({min(degree, 1.0) for degree in given.values()} | {1.0})
    control = clingo.Control(["--warn=none"])
    lines = [f"level(1..{len(degrees)})."] + program.lines
    for literal, degree in given.items():
        if literal in program.atoms:
            highest = degrees.index(min(degree, 1.0)) + 1
            lines.append(f"a({program.atoms[literal]},1..{highest}).")
    control.add("base", [], "\n".join(lines))
    control.ground([("base", [])])
    names = {number: literal for literal, number in program.atoms.items()}
    found = {}

    def keep(model):
        for symbol in model.symbols(atoms=True):
            if symbol.name == "a":
                which, level = (argument.number for argument in symbol.arguments)
                degree = degrees[level - 1]
                found[names[which]] = max(found.get(names[which], 0.0), degree)

    control.solve(on_model=keep)
    return found


def program_of(book, key):
    """The derive rules, and what brings up actions and cautions, as one program."""
    program = Program()
    for rule in book.rules.values():
        holds = "not" not in rule["then"]
        program.rule(rule["when"], (key(rule["then"] if holds else rule["then"]["not"]), holds), key)
    for which, cause in book.causes.items():
        for action in cause["actions"]:
            program.rule({"cause": which}, (("action", action), True), key)
        for caution in cause["cautions"]:
            program.rule({"suspect": which}, (("caution", caution), True), key)
    for kind, entries in (("action", book.actions), ("caution", book.cautions)):
        for which, entry in entries.items():
            for line in entry["rules"]:
                program.rule(line["when"], ((kind, which), True), key)
    return program


def close(book, occasion, conclusions=()):
    """Everything that follows on an occasion: literals with their degrees. `conclusions` are further literals."""
    from book import key

    if not hasattr(book, "program"):
        book.program = program_of(book, key)
    sure = book.numbers["reading-true-at"]
    given = {literal: 1.0 for literal in conclusions}
    for statement, holds in book.program.atoms:
        told = occasion.told(statement)
        if told is not None:
            degree = told if holds else 1 - told
            if degree >= sure:
                given[(statement, holds)] = degree
    return solve(book.program, given)
