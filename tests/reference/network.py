"""The network of one occasion built in pgmpy from the documentation, and what it answers.

A leaky noisy-OR with many parents is divorced into a chain of small ones (`y` is there if the step before it is, or if
its own cause brings it about), which is exact and keeps tables small. What is not there is entered at every step of its
chain: a disjunction that is false has no true part. Soft answers are virtual evidence: a child that was seen, with the
two likelihoods as its table.
"""

import itertools
import logging
import math

import numpy as np

logging.disable(logging.WARNING)

from pgmpy.factors.discrete import TabularCPD  # noqa: E402
from pgmpy.inference import VariableElimination  # noqa: E402
from pgmpy.models import DiscreteBayesianNetwork  # noqa: E402

UNKNOWN = "(unknown)"


class Evidence:
    """A finding: likelihoods if there and if not, leak, and the causes that show it with their strengths."""

    def __init__(self, finding, present, absent, leak, links):
        self.finding, self.present, self.absent = finding, present, absent
        self.leak, self.links = leak, links


class Net:
    """A pgmpy network with its evidence."""

    def __init__(self, width):
        self.model = DiscreteBayesianNetwork()
        self.seen, self.virtual = {}, []
        self.count, self.width = 0, width
        self.engine = None

    def cause(self, name, prior):
        self.model.add_node(name)
        self.model.add_cpds(TabularCPD(name, 2, [[1 - prior], [prior]]))

    def noisy_or(self, leak, links, absent=False, name=None):
        """A node that is there with a leaky noisy-OR; `absent` enters that it is not there."""
        links = list(links)
        blocks = [links[at : at + (1 if absent else self.width)] for at in range(0, len(links), 1 if absent else self.width)]
        before = None
        for at, block in enumerate(blocks or [[]]):
            self.count += 1
            node = name if name and at == len(blocks or [[]]) - 1 else f"y{self.count}"
            parents = ([before] if before else []) + [cause for cause, _ in block]
            fails = []
            for state in itertools.product([0, 1], repeat=len(parents)):
                rest = state
                fail = 1.0 - leak if before is None else 1.0 - state[0]
                rest = state if before is None else state[1:]
                for there, (_, strength) in zip(rest, block):
                    fail *= 1 - strength if there else 1
                fails.append(fail)
            self.model.add_node(node)
            self.model.add_edges_from((parent, node) for parent in parents)
            table = [fails, [1 - fail for fail in fails]]
            self.model.add_cpds(TabularCPD(node, 2, table, parents, [2] * len(parents)) if parents else TabularCPD(node, 2, [[fails[0]], [1 - fails[0]]]))
            if absent:
                self.seen[node] = 0
            before = node
        return before

    def likelihoods(self, node, present, absent):
        """Virtual evidence on a node."""
        most = max(present, absent)
        if present == absent:
            return
        if absent == 0:
            self.seen[node] = 1
        elif present == 0:
            self.seen[node] = 0
        else:
            self.virtual.append(TabularCPD(node, 2, [[absent / most], [present / most]]))

    def observe(self, evidence):
        if evidence.present == evidence.absent or evidence.present == evidence.absent == 0:
            return
        absent = evidence.present == 0
        node = self.noisy_or(evidence.leak, evidence.links, absent)
        if not absent:
            self.likelihoods(node, evidence.present, evidence.absent)

    def joint(self, names, given=None):
        """The joint table of these nodes given the evidence."""
        if self.engine is None:
            # Virtual evidence goes in once, as pgmpy itself does for a single query.
            engine = VariableElimination(self.model)
            if self.virtual:
                engine._virtual_evidence(self.virtual)
            self.engine = engine
            self.all_seen = dict(self.seen)
            self.all_seen |= {"__" + table.variables[0]: 0 for table in self.virtual}
        evidence = self.all_seen | (given or {})
        return self.engine.query(list(names), evidence=evidence, show_progress=False)

    def marginals(self, names, at_once=10, given=None):
        found = {}
        names = list(names)
        for start in range(0, len(names), at_once):
            group = names[start : start + at_once]
            table = self.joint(group, given)
            for one in group:
                values = table.marginalize([other for other in group if other != one], inplace=False).values if len(group) > 1 else table.values
                found[one] = float(values[1] / values.sum())
        return found


def entropy(share):
    return sum(-p * math.log2(p) for p in (share, 1 - share) if p > 0)


def many(shares):
    return float(sum(-p * math.log2(p) for p in shares if p > 0))


def decibans(probability):
    held = min(max(probability, 1e-15), 1 - 1e-15)
    return 10 * math.log10(held / (1 - held))


def odds_times(probability, times):
    return probability * times / (1 - probability + probability * times)


def damped(pairs, rate):
    """The copy model: a later member that agrees with the first repeats it with this probability."""
    first, out = None, []
    for present, absent in pairs:
        if present == absent:
            out.append((present, absent))
        elif first is None:
            first = present > absent
            out.append((present, absent))
        elif first != (present > absent):
            out.append((present, absent))
        elif first:
            out.append((present, rate * present + (1 - rate) * absent))
        else:
            out.append((rate * absent + (1 - rate) * present, absent))
    return out


def yardstick(priors, evidence):
    """What a finding tells by itself of the single cause of which it tells most: it orders the members of a family."""
    absent = (1 - evidence.leak) * math.prod(1 - priors[cause] * strength for cause, strength in evidence.links)
    most = 0.0
    for cause, strength in evidence.links:
        prior = priors[cause]
        others = absent / (1 - prior * strength)
        told = entropy(absent) - prior * entropy(others * (1 - strength)) - (1 - prior) * entropy(others)
        most = max(most, told)
    return most


def damp_families(occasion, priors, collected):
    families = {}
    for evidence in collected:
        finding = evidence.finding
        entries = {"sign": occasion.book.signs, "fact": occasion.book.facts}
        family = finding[:3] if finding[0] == "reading" else entries[finding[0]][finding[1]]["family"]
        if family:
            families.setdefault(family, []).append(evidence)
    for members in families.values():
        order = sorted(members, key=lambda one: -yardstick(priors, one))
        pairs = damped([(one.present, one.absent) for one in order], occasion.book.numbers["copy-rate"])
        for one, pair in zip(order, pairs):
            one.present, one.absent = pair


class Roots:
    """The roots behind one condition or group."""

    def __init__(self, occasion, cause, base_rate, width):
        book = occasion.book
        lines = [line for line in cause["roots"] if occasion.in_force(book.causes[line["cause"]]["only_if"])]
        self.names = [line["cause"] for line in lines]
        usual = {name: book.causes[name]["base_rate"] for name in self.names}
        self.priors = {name: odds_times(usual[name], occasion.raised(book.causes[name])) for name in self.names}
        self.brings = [(line["cause"], line["brings"]) for line in lines]
        alone = math.prod(1 - usual[name] * brings for name, brings in self.brings)
        self.leak = max(0.0, 1 - (1 - base_rate) / alone) if alone > 0 else 0.0
        self.evidence = []
        shown = {finding: dict(occasion.shown_by(finding)) for finding in book.links}
        links = {finding: [(name, by[name]) for name in self.names if name in by] for finding, by in shown.items()}
        links = {finding: by for finding, by in links.items() if by}
        self.open = {finding: shown for finding, shown in links.items() if not occasion.known(finding)}
        for finding, shown in links.items():
            pair = occasion.likelihoods(finding)
            if pair:
                self.evidence.append(Evidence(finding, *pair, occasion.anyway(finding), shown))
        damp_families(occasion, self.priors, self.evidence)
        # Most occasions say nothing of most roots, and then all is as it was.
        told = [(one.finding, one.present, one.absent, one.leak, tuple(one.links)) for one in self.evidence]
        same = repr((self.priors, self.brings, self.leak, told))
        if same not in book.roots_met:
            net = self.built(width)
            there, missing = (net.marginals(self.names, given={"(condition)": state}) for state in (1, 0))
            book.roots_met[same] = net, net.marginals(["(condition)"])["(condition)"], there, missing
        self.net, self.beforehand, self.there, self.missing = book.roots_met[same]

    def built(self, width, without=None):
        net = Net(width)
        self.into(net, without)
        net.noisy_or(self.leak, self.brings, name="(condition)")
        return net

    def into(self, net, without=None):
        for name in self.names:
            net.cause(name, self.priors[name])
        for evidence in self.evidence:
            if evidence is not without:
                net.observe(evidence)

    def afterwards(self, condition):
        """P(r | M) P(M) + P(r | not M) (1 - P(M))."""
        return {name: self.there[name] * condition + self.missing[name] * (1 - condition) for name in self.names}


class Reference:
    """The network of one occasion with every answer worked out by pgmpy."""

    def __init__(self, occasion, width=4):
        book, self.occasion, self.width = occasion.book, occasion, width
        numbers = book.numbers
        main = [name for name, cause in book.causes.items() if cause["kind"] != "root" and not cause["any_of"]]
        self.causes = [name for name in main if occasion.in_force(book.causes[name]["only_if"])]
        self.groups = {name: [one for one in cause["any_of"] if one in set(self.causes)] for name, cause in book.causes.items() if cause["any_of"]}
        before = {name: book.causes[name]["base_rate"] for name in self.causes}
        self.roots = {}
        for name, cause in book.causes.items():
            if cause["roots"] and name in before:
                self.roots[name] = Roots(occasion, cause, before[name], width)
            elif cause["roots"] and name in self.groups:
                overall = 1 - math.prod(1 - before[one] for one in self.groups[name])
                self.roots[name] = Roots(occasion, cause, overall, width)
        self.priors = {}
        for name in self.causes:
            prior = self.roots[name].beforehand if name in self.roots else before[name]
            self.priors[name] = odds_times(prior, occasion.raised(book.causes[name]))
        self.priors[UNKNOWN] = numbers["unknown-base-rate"]

        self.evidence = []
        findings = dict.fromkeys(book.links) | dict.fromkeys(("sign", sign) for sign in book.signs if sign in occasion.signs)
        for finding in findings:
            lines = book.links.get(finding, [])
            pair = occasion.likelihoods(finding)
            if not pair or any(book.causes[cause]["kind"] == "root" for cause, _ in lines):
                continue
            links = [(cause, share) for cause, share in occasion.shown_by(finding) if cause in self.priors]
            leak = occasion.anyway(finding)
            if finding[0] == "sign":
                links.append((UNKNOWN, min(numbers["unknown-strength"], leak * numbers["unknown-lift"])))
            self.evidence.append(Evidence(finding, *pair, leak, links))
        damp_families(occasion, self.priors, self.evidence)

    def net(self, without=None, only=None, groups=()):
        """The network with one finding left out, or of some causes alone."""
        evidence = [one for one in self.evidence if one is not without]
        kept = set(self.priors) if only is None else set(only)
        touched = {cause for one in evidence for cause, _ in one.links if one.present != one.absent} | set(only or ())
        touched |= {member for name in groups for member in self.groups[name]}
        net = Net(self.width)
        net.causes = [name for name in self.priors if name in kept and name in touched]
        for name in net.causes:
            net.cause(name, self.priors[name])
        for one in evidence:
            links = [(cause, strength) for cause, strength in one.links if cause in kept]
            net.observe(Evidence(one.finding, one.present, one.absent, one.leak, links))
        for name in groups:
            if self.groups[name]:
                net.noisy_or(0.0, [(member, 1.0) for member in self.groups[name]], name=name)
        return net

    def weigh(self):
        """Every confidence, the unknown cause, groups and roots included."""
        net = self.net()
        self.confidence = dict(self.priors) | net.marginals(net.causes)
        for name, members in self.groups.items():
            if members:
                with_group = self.net(groups=[name])
                self.confidence |= with_group.marginals([name])
            else:
                self.confidence[name] = 0.0
        for name, roots in self.roots.items():
            self.confidence |= roots.afterwards(self.confidence[name])
        return self.confidence

    def whole(self):
        """Causes and roots in one large network, which the two steps must come to; risk factors of a condition are virtual
        evidence for it. Groups are left out: their roots are no part of one network."""
        net = Net(self.width)
        names = []
        for name in self.priors:
            if name in self.roots:
                roots = self.roots[name]
                roots.into(net)
                net.noisy_or(roots.leak, roots.brings, name=name)
                net.likelihoods(name, self.occasion.raised(self.occasion.book.causes[name]), 1.0)
                names += roots.names
            else:
                net.cause(name, self.priors[name])
            names.append(name)
        for one in self.evidence:
            net.observe(one)
        return net.marginals(names)

    def weights(self, left_out, names):
        """Leave-one-out weights of one finding for some causes, in decibans."""
        net = self.net(without=left_out)
        touched = [name for name in names if name in net.causes]
        without = dict(self.priors) | net.marginals(touched)
        return {name: (self.confidence[name], without[name]) for name in names}

    def spoken_for(self, cause):
        return any(one.present > one.absent and dict(one.links).get(cause, 0) > 0 for one in self.evidence)

    def in_play(self):
        least = self.occasion.book.numbers["hazard-floor"]
        spoken = [name for name in self.causes if self.confidence[name] >= least and self.spoken_for(name)]
        return spoken or list(self.causes)

    def can_be_asked(self, finding):
        occasion = self.occasion
        if finding[0] == "fact" or occasion.known(finding):
            return False
        if finding[0] == "sign":
            return finding[1] not in occasion.signs and occasion.can_be_there(finding)
        if occasion.book.readings[finding[1]]["computed"]:
            return False
        if finding[3] != "species":
            return True
        limits = occasion.book.limits(occasion.species_told, occasion.stage, finding[1])
        return bool(limits) and limits["max" if finding[2] == "above" else "min"] is not None

    def open_findings(self, in_play):
        """What could still be found out of the causes in play; the others are part of the leak."""
        found = {}
        for finding in self.occasion.book.links:
            if not self.can_be_asked(finding):
                continue
            kept, fails = [], 1 - self.occasion.anyway(finding)
            for cause, strength in self.occasion.shown_by(finding):
                if cause in in_play:
                    kept.append((cause, strength))
                elif cause in self.priors:
                    fails *= 1 - self.confidence[cause] * strength
            if kept:
                found[finding] = (1 - fails, kept)
        return found

    def belief(self, in_play):
        """The joint table of the causes in play, the others set aside."""
        return Belief(self.net(only=in_play).joint(in_play), in_play)


class Belief:
    """A joint table of causes, and what a check would tell about them."""

    def __init__(self, table, names):
        self.names = names
        axes = [table.variables.index(name) for name in names]
        values = np.moveaxis(table.values, axes, range(len(names)))
        self.masses = (values / values.sum()).reshape(-1)
        self.states = np.array(list(itertools.product([0, 1], repeat=len(names))), dtype=bool).reshape(len(self.masses), len(names))

    def fails(self, leak, links):
        """Probability that a sign is missing, for every state of the causes."""
        fails = np.full(len(self.masses), 1 - leak)
        for cause, strength in links:
            fails = fails * np.where(self.states[:, self.names.index(cause)], 1 - strength, 1.0)
        return fails

    def information(self, answers):
        """Joint information of an answer and the causes, from the probability of each answer in each state."""
        answers = np.array(answers)
        logs = np.where(answers > 0, -answers * np.log2(np.where(answers > 0, answers, 1)), 0).sum(axis=0)
        return many(answers @ self.masses) - float(logs @ self.masses)

    def sign(self, leak, links):
        fails = self.fails(leak, links)
        return self.information([1 - fails, fails])

    def pair(self, one, other):
        p, q = 1 - self.fails(*one), 1 - self.fails(*other)
        return self.information([p * q, p * (1 - q), (1 - p) * q, (1 - p) * (1 - q)])

    def one_of(self, signs):
        """Signs of which at most one holds: each alone, or none, made to sum to 1."""
        fails = [self.fails(*sign) for sign in signs]
        only = [(1 - own) * math.prod([q for other, q in enumerate(fails) if other != at]) for at, own in enumerate(fails)]
        answers = np.array(only + [math.prod(fails)])
        return self.information(answers / answers.sum(axis=0))


def gain(book, belief, found, check):
    """The joint information of a check in bits, as the program's documentation says it is reckoned."""
    if check["reading"]:
        signs = [sign for finding, sign in found.items() if finding[0] == "reading" and finding[1] == check["reading"]]
        return max(belief.sign(*sign) for sign in signs)
    signs = [sign for finding, sign in found.items() if finding[0] == "sign" and finding[1] in check["signs"]]
    if not check["asks"]:
        return belief.sign(*signs[0])
    if book.questions[check["asks"]]["one_of"]:
        return belief.one_of(signs)
    ranked = sorted(signs, key=lambda sign: -belief.sign(*sign))
    return belief.sign(*ranked[0]) if len(ranked) == 1 else belief.pair(*ranked[:2])
