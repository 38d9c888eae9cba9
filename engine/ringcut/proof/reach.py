"""Which steps can be done at all under some rules, each done once.

A relaxation: a condition that could be true stays possible, whatever ends it later. So a step that cannot be done here
cannot be done by any procedure that does each step once; a step that can be done here may still fail for other reasons.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.solving import Found, Solver

Values = dict[str, tuple[bool, ...]]


_VALUES = {(1, True): (True,), (1, False): (False,), (2, True): (False, True)}
"""What a condition may be, by how many values and whether yes is one of them."""


class Question(msgspec.Struct, frozen=True):
    """Demands, the conditions that decide them, and by what those may be: whether the demands can hold together."""

    demands: tuple[n.Node, ...]
    conditions: tuple[str, ...]
    answers: dict[tuple[tuple[bool, ...], ...], bool]


class _Asked(msgspec.Struct, frozen=True):
    """What a step waits for: of each set one step before it, and demands that hold just before it."""

    before: frozenset[frozenset[str]]
    question: Question

    def touched(self, steps: Iterable[str], conditions: set[str]) -> bool:
        """Whether these steps or conditions are among what it asks for."""
        return not conditions.isdisjoint(self.question.conditions) or any(
            not each.isdisjoint(steps) for each in self.before
        )


_FREE = _Asked(frozenset(), Question((), (), {}))


class Known:
    """What is true of a rulebook whatever the job is, found once: what steps may do, and which demands can be met."""

    def __init__(self, book: ir.Rulebook) -> None:
        self.book = book
        self.solver = Solver(book)
        self.effects = {name: self._effects(step) for name, step in book.steps.items()}
        self._met: dict[tuple[n.Node, ...], Question] = {}
        self._atoms: dict[n.Node, frozenset[str]] = {}

    def _effects(self, step: ir.Step) -> list[tuple[str, bool]]:
        found = []
        for effect in step.effects:
            for value in (True, False):
                demand = effect.to if value else n.Not(effect.to)
                if self.solver.possible([demand] if effect.where is None else [demand, effect.where]):
                    found.append((effect.condition, value))
        return found

    def question(self, demands: Sequence[n.Node]) -> Question:
        """The question whether these demands can hold together, with the answers known so far."""
        asked = tuple(demands)
        if asked not in self._met:
            named = {atom for demand in demands for atom in self.conditions(demand)}
            self._met[asked] = Question(asked, tuple(sorted(named)), {})
        return self._met[asked]

    def can_be_met(self, question: Question, values: Mapping[str, set[bool]]) -> bool:
        """Whether the demands can hold together where conditions have some of these values."""
        now = tuple(_VALUES[len(each), True in each] for each in map(values.__getitem__, question.conditions))
        if now not in question.answers:
            alone = [self.question([demand]) for demand in question.demands] if len(question.demands) > 1 else []
            # a demand that fails by itself is shared by many steps, and is quickly told
            question.answers[now] = all(self.can_be_met(each, values) for each in alone) and Solver(
                self.book, dict(zip(question.conditions, now, strict=True))
            ).possible(question.demands)
        return question.answers[now]

    def conditions(self, node: n.Node) -> frozenset[str]:
        """The conditions that steps set, of an expression; what derived ones stand for included."""
        if node not in self._atoms:
            self._atoms[node] = self.book.conditions_in(node)
        return self._atoms[node]


class Reach:
    """Steps and conditions that some rules let come about, for a job as far as ``job`` settles it."""

    def __init__(self, known: Known, job: Found | None = None) -> None:
        self.known, self.book, self.effects = known, known.book, known.effects
        self.start: Values = {}
        for name, state in self.book.conditions.items():
            if state.means is None:
                said = known.solver.holds(state.at_start, job or {})
                self.start[name] = (False, True) if said is None else (said,)
        for name, state in self.book.conditions.items():
            if state.lapses is not None:
                self.start[name] = (False, True) if True in self.start[name] else (False,)

    def steps(self, rules: Sequence[ir.Rule]) -> set[str]:
        """The steps that can be done where all these rules are met."""
        asked = _asked(rules)
        forbidden = {
            name
            for rule in rules
            if isinstance(rule.form, ir.Exclude) and rule.form.after is None and rule.form.before is None
            for name in rule.form.what.names
        }
        done: set[str] = set()
        values = {name: set(each) for name, each in self.start.items()}
        left = {
            name: _Asked(frozenset(asked[name][0]), self.known.question(asked[name][1])) if name in asked else _FREE
            for name in self.book.steps
            if name not in forbidden
        }
        looked_at = list(left)
        while True:
            now = [name for name in looked_at if self._can(name, left[name], done, values)]
            if not now:
                return done
            done |= set(now)
            changed = {(condition, value) for name in now for condition, value in self.effects[name]}
            changed = {(condition, value) for condition, value in changed if value not in values[condition]}
            for condition, value in changed:
                values[condition].add(value)
            left = {name: each for name, each in left.items() if name not in done}
            names = {condition for condition, _ in changed}
            # what nothing touched that it asks for still cannot be done
            looked_at = [name for name, each in left.items() if each.touched(now, names)]

    def _can(self, name: str, asked: _Asked, done: set[str], values: dict[str, set[bool]]) -> bool:
        if any(not (each - {name}) & done for each in asked.before):
            return False
        return not asked.question.demands or self.known.can_be_met(asked.question, values)

    def behind(self, step: str, rules: Sequence[ir.Rule], lost: set[str]) -> list[ir.Rule]:
        """The rules that may keep a lost step from being done: about it, or about lost steps it hangs on."""
        asked = {step}
        waiting = [step]
        kept: set[int] = set()
        makers: dict[str, set[str]] = {}
        for name, effects in self.effects.items():
            for condition, _ in effects:
                makers.setdefault(condition, set()).add(name)
        while waiting:
            name = waiting.pop()
            for number, rule in enumerate(rules):
                for before, demands in [each] if (each := _asked([rule]).get(name)) else []:
                    kept.add(number)
                    more = {one for names in before for one in names}
                    more |= {
                        one for demand in demands for c in self.known.conditions(demand) for one in makers.get(c, ())
                    }
                    waiting += sorted((more & lost) - asked)
                    asked |= more & lost
        return [rules[number] for number in sorted(kept)]


def _asked(rules: Sequence[ir.Rule]) -> dict[str, tuple[list[frozenset[str]], list[n.Node]]]:
    """Step: sets of which one must come before it, and expressions that must hold just before it."""
    found: dict[str, tuple[list[frozenset[str]], list[n.Node]]] = {}
    for rule in rules:
        match rule.form:
            case ir.Order(links):
                for number, link in enumerate(links[1:], 1):
                    for name in link.names:
                        found.setdefault(name, ([], []))[0].append(_before(links[:number]))
            case ir.Need(what, before, None):
                for name in before.names:
                    found.setdefault(name, ([], []))[1].append(what)
    return found


def _before(links: Sequence[ir.StepSet]) -> frozenset[str]:
    """The steps one of which must come first: the last link, and past links that may be skipped the one before."""
    names: set[str] = set()
    for link in reversed(links):
        names |= set(link.names)
        if not link.optional:
            break
    return frozenset(names)
