"""Random small knowledge folders in blockside's own format, and random cases for them.

Nothing in them means anything: causes, roots behind conditions, a group with its own roots, signs of families and of shared
questions, signs that cannot be there without something, readings with limits, derive rules with denials, guards, risk
factors, and the numbers of the scale drawn at random.
"""

import json
import shutil

SCALE = "fixtures/small/scale.toml"
STAGES = ["fruiting", "resting"]
UNSURE = "unknown"


def toml(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {toml(one)}" for name, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value) if isinstance(value, str) else repr(value)


def table(kind, entry):
    return f"[[{kind}]]\n" + "".join(f"{name} = {toml(value)}\n" for name, value in entry.items()) + "\n"


def share(chance, low=0.02, high=0.97):
    return round(chance.uniform(low, high), 3)


class Maker:
    """One folder in the making."""

    def __init__(self, chance):
        self.chance = chance
        self.setup = [f"setup-{n}" for n in range(3)]
        self.signs = [f"sign-{n:02}" for n in range(chance.randint(10, 16))]
        self.facts = [f"fact-{n}" for n in range(3)]
        self.readings = ["air", "gas"]
        self.main = [f"cause-{n}" for n in range(chance.randint(3, 7))]
        # Root signs are shown by roots alone.
        self.root_signs = [f"root-sign-{n}" for n in range(4)]
        # The last signs belong to shared questions, the first two may be missing for want of something.
        self.asked = {"question-many": self.signs[-6:-3], "question-one": self.signs[-3:]}

    def comparison(self):
        if self.chance.random() < 0.5:
            return {"reading": {"of": self.chance.choice(self.readings), self.chance.choice(["above", "below"]): "species"}}
        reading = self.chance.choice(self.readings)
        limit = float(self.chance.randint(20, 80)) if reading == "air" else float(self.chance.randint(500, 2000))
        return {"reading": {"of": reading, self.chance.choice(["above", "below"]): limit}}

    def literal(self, deep=True):
        kinds = ["sign", "sign", "setup", "reading", "species", "stage", "trait"] + (["fact"] if deep else [])
        kind = self.chance.choice(kinds)
        if kind == "reading":
            found = self.comparison()
        elif kind == "species":
            found = {"species": ["one"]}
        elif kind == "stage":
            found = {"stage": [self.chance.choice(STAGES)]}
        elif kind == "trait":
            found = {"trait": "fast"}
        else:
            found = {kind: self.chance.choice({"sign": self.signs, "setup": self.setup, "fact": self.facts}[kind])}
        return {"not": found} if self.chance.random() < 0.35 else found

    def condition(self, deep=True, depth=2):
        if depth == 0 or self.chance.random() < 0.4:
            return self.literal(deep)
        parts = [self.condition(deep, depth - 1) for _ in range(self.chance.randint(2, 3))]
        return {self.chance.choice(["all", "any"]): parts}

    def guard(self):
        return {"setup": self.chance.choice(self.setup)} if self.chance.random() < 0.5 else {"not": {"setup": self.chance.choice(self.setup)}}

    def lines(self, findings, least):
        lines, met = [], set()
        for finding in self.chance.sample(findings, min(len(findings), self.chance.randint(least, least + 3))):
            if json.dumps(finding) in met:
                continue
            met.add(json.dumps(finding))
            line = {"when": finding, "shows": share(self.chance), "judgement": "Made up."}
            if self.chance.random() < 0.15:
                # One line for each circumstance; where it is not known which holds, both are in force.
                guard = {"setup": self.chance.choice(self.setup)}
                for only_if in (guard, {"not": guard}):
                    lines.append({"when": finding, "shows": share(self.chance), "only-if": only_if, "judgement": "Made up."})
                continue
            if self.chance.random() < 0.2:
                line = {"when": finding, "shows": line["shows"], "only-if": self.guard(), "judgement": "Made up."}
            lines.append(line)
        return lines

    def cause(self, name, kind, findings, least=2, **more):
        entry = {"id": name, "name": name, "kind": kind, "summary": "Made up."}
        if kind != "root" and self.chance.random() < 0.2 and not more.get("plain"):
            entry["only-if"] = self.guard()
        more.pop("plain", None)
        entry |= {"base-rate": round(self.chance.uniform(0.01, 0.2), 4)} | {what: value for what, value in more.items() if what == "hazard"}
        entry |= {"look-alikes": [], "actions": ["do-it"], "cautions": ["mind-it"], "rules": self.lines(findings, least)}
        if self.chance.random() < 0.3:
            entry["raised-by"] = [{"when": self.guard(), "times": round(self.chance.uniform(0.5, 6), 2), "judgement": "Made up."}]
        if "roots" in more:
            entry["roots"] = more["roots"]
        return entry | {"judgement": "Made up."}

    def write(self, folder):
        chance = self.chance
        folder.mkdir()
        files = {name: [] for name in ["signs", "causes", "derive", "setup", "readings", "advice"]}
        shutil.copy(SCALE, folder / "scale.toml")
        self.scale(folder / "scale.toml")
        for name in self.setup:
            files["setup"].append(table("setup", {"id": name, "statement": name, "question": "Is it so?", "words": [name], "judgement": "Made up."}))
        for name in self.asked:
            entry = {"id": name, "ask": "Which?", "look": "Look.", "effort": "glance"}
            files["signs"].append(table("question", entry | ({"one-of": True} if name == "question-one" else {})))
        families = {"family-a": self.signs[:3], "family-b": self.signs[3:5] + self.asked["question-many"][:1], "family-c": self.asked["question-one"]}
        for name in self.root_signs + self.signs:
            asked = next((question for question, signs in self.asked.items() if name in signs), None)
            family = next((one for one, members in families.items() if name in members), None)
            entry = {"id": name, "statement": name}
            entry |= {"asked-by": asked, "option": name} if asked else {"question": "Is it there?"}
            entry |= {"look": "Look.", "words": [name], "anyway": share(chance, 0.005, 0.3)}
            entry |= {"family": family} if family else {}
            entry |= {} if asked else {"effort": "glance"}
            entry |= {"asked-if": {"setup": self.setup[0]}} if name in self.signs[:2] else {}
            files["signs"].append(table("sign", entry | {"judgement": "Made up."}))
        for name, unit, believable, tolerance in [("air", "%", [0, 100], 3.0), ("gas", "ppm", [0, 100000], 75.0)]:
            entry = {"id": name, "name": name, "unit": unit, "believable": believable, "tolerance": tolerance}
            entry |= {"broken-gauge": round(chance.uniform(0.001, 0.1), 3), "anyway": share(chance, 0.02, 0.3), "effort": "measure"}
            files["readings"].append(table("reading", entry | {"question": "What does it read?", "look": "Look.", "words": [name], "judgement": "Made up."}))

        findings = [{"sign": sign} for sign in self.signs] * 3 + [{"fact": fact} for fact in self.facts]
        findings += [self.comparison() for _ in range(4)]
        grouped = self.main[:2]
        conditions = self.main[2:4] if len(self.main) > 4 else self.main[2:3]
        roots, links = [], {}
        signs = list(self.root_signs)
        for at, name in enumerate([*conditions, "group"]):
            links[name] = []
            for n in range(chance.randint(1, 3)):
                root = f"root-{at}-{n}"
                own = [{"sign": signs[(at + n) % 4]}] if n == 0 else []
                roots.append((root, own))
                links[name].append({"cause": root, "brings": share(chance, 0.1, 0.9), "judgement": "Made up."})
        # A sign is shown by the roots of one condition alone: others take their own.
        own_signs = iter(signs)
        entries = []
        for name in self.main:
            kind = "condition" if name in conditions else "contaminant"
            more = {"roots": links[name]} if name in conditions else {}
            if name == self.main[0]:
                more["hazard"] = "health"
            entry = self.cause(name, kind, findings, plain=name in grouped, **more)
            # The roots alone must not bring it about more often than it is met.
            entry["base-rate"] = max(entry["base-rate"], 0.12 if name in conditions else 0)
            entries.append(entry)
        entries.append({"id": "group", "name": "group", "kind": "condition", "summary": "Made up.", "any-of": grouped, "look-alikes": [], "actions": ["do-it-too"], "cautions": [], "roots": links["group"], "judgement": "Made up."})
        for root, own in roots:
            own = [{"sign": next(own_signs)}] if own else []
            entry = self.cause(root, "root", own, least=1)
            entry["base-rate"] = round(chance.uniform(0.002, 0.02), 4)
            entries.append(entry)
        for line in {"cause": self.unused(entries)}.values():
            entries[0]["rules"] += line
        for entry in sorted(entries, key=lambda one: one["id"]):
            entry["rules"] = sorted(entry["rules"], key=lambda line: json.dumps(line["when"])) if "rules" in entry else None
            files["causes"].append(table("cause", {name: value for name, value in entry.items() if value is not None}))

        for at, fact in enumerate(self.facts):
            family = {"family": "family-a"} if at == 0 else {}
            files["derive"].append(table("fact", {"id": fact, "statement": fact, "anyway": share(chance, 0.01, 0.3), **family, "judgement": "Made up."}))
        for at in range(chance.randint(4, 8)):
            # A rule asks for nothing that comes after what it derives, so that there is no way round.
            fact = chance.randrange(3)
            if at < 3:
                fact = at
            holds = {"fact": self.facts[fact]}
            when = self.condition(deep=False)
            if fact and chance.random() < 0.5:
                when = {"all": [when, {"fact": self.facts[fact - 1]}]}
            then = {"not": holds} if at >= 3 and chance.random() < 0.3 else holds
            files["derive"].append(table("rule", {"id": f"rule-{at}", "when": when, "then": then, "text": "Made up.", "judgement": "Made up."}))
        for name in ["do-it", "do-it-too"]:
            action = {"id": name, "purpose": "fix", "when-to-do": "now", "text": "Do it.", "effort": "minute", "shows-in": "a day", "watch": "it", "disturbs": [], "if-failed": "Look again."}
            files["advice"].append(table("action", action | {"rules": [{"when": self.condition(), "judgement": "Made up."}], "judgement": "Made up."}))
        caution = {"id": "mind-it", "severity": "care", "text": "Mind it.", "special-risk": "Stay out."}
        files["advice"].append(table("caution", caution | {"rules": [{"when": self.condition(), "judgement": "Made up."}], "defer-to": "a doctor", "judgement": "Made up."}))
        for name, tables in files.items():
            (folder / f"{name}.toml").write_text("".join(tables), encoding="utf-8")
        for name, default in [("one", False), ("two", False), (UNSURE, True)]:
            self.species(folder / f"species-{name}.toml", name, default)

    def unused(self, entries):
        """Lines for signs and facts that nothing shows yet."""
        shown = {json.dumps(line["when"]) for entry in entries for line in entry.get("rules", [])}
        missing = [one for one in [{"sign": sign} for sign in self.signs] + [{"fact": fact} for fact in self.facts] if json.dumps(one) not in shown]
        lines = [{"when": one, "shows": share(self.chance), "judgement": "Made up."} for one in missing]
        free = [{"sign": sign} for sign in self.root_signs if json.dumps({"sign": sign}) not in shown]
        return lines + [line for line in ({"when": one, "shows": share(self.chance), "judgement": "Made up."} for one in free) if line not in lines]

    def scale(self, path):
        text = path.read_text(encoding="utf-8")
        drawn = {"copy-rate": (0, 1), "probably": (0.75, 0.95), "unsure": (0.5, 0.7), "unknown-base-rate": (0.01, 0.1), "unknown-strength": (0.1, 0.4), "unknown-lift": (2, 10), "stop-gain": (0.001, 0.002), "turn-gain": (0, 0.0001), "root-turn-gain": (0, 0.001), "reading-true-at": (0.7, 0.9)}
        for name, (low, high) in drawn.items():
            before, after = text.split(f'id = "{name}"\nvalue = ')
            text = f'{before}id = "{name}"\nvalue = {round(self.chance.uniform(low, high), 4)}\n{after.split(chr(10), 1)[1]}'
        path.write_text(text, encoding="utf-8")

    def species(self, path, name, default):
        chance = self.chance
        head = {"id": name, "name": name, "latin": f"{name} latin", "also": [], "summary": "Made up.", "traits": ["fast"] if name == "one" else [], "harvest-sign": "Now."}
        text = table("species", head | ({"default": True} if default else {}) | {"judgement": "Made up."}).replace("[[species]]", "[species]")
        for stage in STAGES if default else STAGES[: chance.randint(1, 2)]:
            for reading, low, high in [("air", 30, 70), ("gas", 400, 1500)]:
                limit = {"stage": stage, "reading": reading, "min": low + chance.randint(0, 9), "max": high + chance.randint(0, 9)}
                text += table("limit", limit | {"judgement": "Made up."})
        if not default:
            for sign in sorted(chance.sample(self.signs[5:], 2)):
                text += table("normal", {"sign": sign, "anyway": share(chance, 0.1, 0.6), "note": "Made up.", "judgement": "Made up."})
            text += table("response", {"to": self.main[-1], "sign": self.signs[4], "shows": share(chance), "note": "Made up.", "judgement": "Made up."})
        path.write_text(text, encoding="utf-8")

    def case(self):
        chance = self.chance
        case = {"signs": {}, "readings": {}, "setup": []}
        if chance.random() < 0.7:
            case["species"] = chance.choice(["one", "two", UNSURE])
        if chance.random() < 0.7:
            case["stage"] = chance.choice(STAGES)
        for item in self.setup:
            if chance.random() < 0.5:
                case["setup"].append(item + chance.choice(["", "=no"]))
        many = chance.random() < 0.3
        yes = False
        for sign in self.signs + self.root_signs:
            if chance.random() < (0.7 if many else 0.35):
                answer = chance.choice(["yes", "yes", "no", "no", "unsure", "probably"])
                if sign in self.asked["question-one"] and answer == "yes":
                    if yes:
                        continue
                    yes = True
                case["signs"][sign] = answer
        if chance.random() < 0.6:
            case["readings"]["air"] = f"{chance.randint(20, 80)} %"
        if chance.random() < 0.6:
            case["readings"]["gas"] = f"{chance.randint(300, 2200)} ppm"
        return case


def make_rules(chance, folder, cases=4):
    """Writes a folder with a large random base of derive rules, and gives cases for it. Facts are derived in layers; denials
    are derived too, and what is at odds is."""
    maker = Maker(chance)
    maker.facts = [f"fact-{n:03}" for n in range(120)]
    maker.write(folder)
    derive = [table("fact", {"id": fact, "statement": fact, "anyway": 0.1, "judgement": "Made up."}) for fact in maker.facts]
    for at in range(360):
        head = at if at < len(maker.facts) else chance.randrange(len(maker.facts))
        below = maker.facts[: head // 20 * 20]
        parts = []
        for _ in range(chance.randint(1, 3)):
            if below and chance.random() < 0.6:
                fact = {"fact": chance.choice(below)}
                parts.append({"not": fact} if chance.random() < 0.25 else fact)
            else:
                parts.append(maker.condition(deep=False, depth=1))
        then = {"fact": maker.facts[head]}
        then = {"not": then} if at >= len(maker.facts) and chance.random() < 0.3 else then
        when = {chance.choice(["all", "all", "any"]): parts} if len(parts) > 1 else parts[0]
        derive.append(table("rule", {"id": f"rule-{at:03}", "when": when, "then": then, "text": "Made up.", "judgement": "Made up."}))
    (folder / "derive.toml").write_text("".join(derive), encoding="utf-8")
    return [maker.case() for _ in range(cases)]


def make(chance, folder, cases=8):
    """Writes a folder and gives cases for it."""
    maker = Maker(chance)
    maker.write(folder)
    return [maker.case() for _ in range(cases)]
