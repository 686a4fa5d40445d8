"""Random Horn bases of any size, as a knowledge folder with a case and as a CLIPS program, with the same rules."""

import pathlib
import random

JUDGED = 'judgement = "Drawn by lot."\n'
SIGNS = 100
TOLD = 60
PARTS = 10


class Base:
    """Rules from one to three premises to a fact. Premises are signs or one of the fifty facts before the head."""

    def __init__(self, count, seed=1):
        lot = random.Random(seed)
        self.signs = [f"s{number:03}" for number in range(SIGNS)]
        self.facts = [f"f{number:06}" for number in range(max(20, count // 4))]
        self.rules = []
        for number in range(count):
            head = number if number < len(self.facts) else lot.randrange(len(self.facts))
            wanted = lot.choice((1, 2, 2, 3))
            premises = set()
            while len(premises) < wanted:
                if head == 0 or lot.random() < 0.3:
                    premises.add(lot.choice(self.signs))
                else:
                    premises.add(self.facts[lot.randrange(max(0, head - 50), head)])
            self.rules.append((sorted(premises), self.facts[head]))
        self.told = lot.sample(self.signs, TOLD)

    def head_of(self, rule):
        """The fact that a rule of this id leads to."""
        return self.rules[int(rule[1:])][1]

    def write_knowledge(self, folder, scale):
        """The folder of ten files of rules, the signs, and an action for what no rule asks for."""
        folder = pathlib.Path(folder)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "scale.toml").write_bytes(pathlib.Path(scale).read_bytes())
        for part in range(PARTS):
            with open(folder / f"derive-{part}.toml", "w", encoding="utf-8") as out:
                for fact in self.facts[part * len(self.facts) // PARTS : (part + 1) * len(self.facts) // PARTS]:
                    out.write(f'[[fact]]\nid = "{fact}"\nstatement = "{fact} holds"\nanyway = "almost never"\n{JUDGED}')
                first, last = part * len(self.rules) // PARTS, (part + 1) * len(self.rules) // PARTS
                for number, (premises, head) in enumerate(self.rules[first:last], first):
                    listed = ", ".join(map(literal, premises))
                    when = listed if len(premises) == 1 else f"{{ all = [{listed}] }}"
                    out.write(
                        f'[[rule]]\nid = "r{number:06}"\nwhen = {when}\nthen = {{ fact = "{head}" }}\n'
                        f'text = "r{number}"\n{JUDGED}'
                    )
        used = {premise for premises, _ in self.rules for premise in premises}
        rest = ", ".join(literal(one) for one in self.facts + self.signs if one not in used)
        (folder / "actions.toml").write_text(
            '[[action]]\nid = "look-on"\npurpose = "watch"\nwhen-to-do = "now"\ntext = "Look on."\neffort = "minute"\n'
            'shows-in = "a day"\nwatch = "it"\ndisturbs = []\nif-failed = "Look again."\n'
            + JUDGED
            + f"rules = [{{ when = {{ any = [{rest}] }}, {JUDGED.strip()} }}]\n",
            encoding="utf-8",
        )
        (folder / "signs.toml").write_text(
            "".join(
                f'[[sign]]\nid = "{sign}"\nstatement = "{sign} is seen"\nquestion = "Is {sign} seen?"\nlook = "Look"\n'
                f'yes = "seen"\nmistaken-for = "nothing"\nanyway = "seldom"\neffort = "glance"\nwords = ["{sign}"]\n{JUDGED}'
                for sign in self.signs
            ),
            encoding="utf-8",
        )

    def write_case(self, path):
        """What is told, as a case."""
        told = "".join(f'{sign} = "yes"\n' for sign in self.told)
        pathlib.Path(path).write_text(f'schema = "blockside.case/1"\n[signs]\n{told}', encoding="utf-8")

    def write_clips(self, path, show_facts):
        """The same as a program for CLIPS; shows every fact at the end if wanted."""
        with open(path, "w", encoding="utf-8") as out:
            for number, (premises, head) in enumerate(self.rules):
                asked = " ".join(f"({premise})" for premise in premises)
                out.write(f"(defrule r{number} {asked} => (assert ({head})))\n")
            told = " ".join(f"({sign})" for sign in self.told)
            shown = "(facts)\n" if show_facts else ""
            out.write(f"(deffacts told {told})\n(reset)\n(run)\n{shown}(exit)\n")


def literal(premise):
    """A sign or fact as a condition of a knowledge file."""
    kind = "sign" if premise.startswith("s") else "fact"
    return f'{{ {kind} = "{premise}" }}'
