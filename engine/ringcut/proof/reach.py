"""Which steps can be done at all under some rules, each done once.

A relaxation: a condition that could be true stays possible, whatever ends it later. So a step that cannot be done here
cannot be done by any procedure that does each step once; a step that can be done here may still fail for other reasons.
"""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.solving import Found, Solver

Values = dict[str, tuple[bool, ...]]


class Reach:
    """Steps and conditions that some rules let come about, for a job as far as ``job`` settles it."""

    def __init__(self, book: ir.Rulebook, job: Found | None = None) -> None:
        self.book = book
        self._known: dict[tuple[tuple[n.Node, ...], tuple[tuple[bool, ...], ...]], bool] = {}
        self._atoms: dict[n.Node, frozenset[str]] = {}
        solver = Solver(book)
        self.start: Values = {}
        for name, state in book.conditions.items():
            if state.means is None:
                said = solver.holds(state.at_start, job or {})
                self.start[name] = (False, True) if said is None else (said,)
        for name, state in book.conditions.items():
            if state.lapses is not None:
                self.start[name] = (False, True) if True in self.start[name] else (False,)
        self.effects = {name: self._effects(step, solver) for name, step in book.steps.items()}

    def _effects(self, step: ir.Step, solver: Solver) -> list[tuple[str, bool]]:
        found = []
        for effect in step.effects:
            for value in (True, False):
                demand = effect.to if value else n.Not(effect.to)
                if solver.possible([demand] if effect.where is None else [demand, effect.where]):
                    found.append((effect.condition, value))
        return found

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
        left = [name for name in self.book.steps if name not in forbidden]
        while True:
            now = [name for name in left if self._can(name, asked.get(name), done, values)]
            if not now:
                return done
            done |= set(now)
            left = [name for name in left if name not in done]
            for name in now:
                for condition, value in self.effects[name]:
                    values[condition].add(value)

    def _can(
        self,
        name: str,
        asked: tuple[list[frozenset[str]], list[n.Node]] | None,
        done: set[str],
        values: dict[str, set[bool]],
    ) -> bool:
        if asked is None:
            return True
        before, demands = asked
        if any(not (each - {name}) & done for each in before):
            return False
        if not demands:
            return True
        named = sorted({atom for demand in demands for atom in self._conditions(demand)})
        now = {condition: tuple(sorted(values[condition])) for condition in named}
        key = (tuple(demands), tuple(now.values()))
        if key not in self._known:
            self._known[key] = Solver(self.book, now).possible(demands)
        return self._known[key]

    def _conditions(self, node: n.Node) -> frozenset[str]:
        """The conditions that steps set, of an expression; what derived ones stand for included."""
        if node not in self._atoms:
            found: set[str] = set()
            for each in n.walk(node):
                if isinstance(each, n.Condition):
                    means = self.book.conditions[each.name].means
                    found |= {each.name} if means is None else self._conditions(means)
            self._atoms[node] = frozenset(found)
        return self._atoms[node]

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
                    more |= {one for demand in demands for c in self._conditions(demand) for one in makers.get(c, ())}
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
