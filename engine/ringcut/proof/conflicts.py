"""Sets of rules that cannot be met together, made as small as they can be, and the jobs for which all of them count.

Rules whose ``when`` never hold for one job are no conflict; then other small sets are looked for, within a budget.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from ringcut.fit.answers import GaveUp
from ringcut.fit.conflict import minimal_conflict
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.solving import Found, Solver, facts_of

MOST_LOOKED_AT = 24


class Conflict(msgspec.Struct, frozen=True):
    """Rules that cannot be met together, none of which can be spared; ``job``: facts of a job they all apply to."""

    rules: tuple[ir.Rule, ...]
    job: dict[str, str]

    @property
    def ids(self) -> tuple[str, ...]:
        """The rules' ids, in the order of the rulebook."""
        return tuple(dict.fromkeys(rule.id for rule in self.rules))


def conflicts(
    rules: Sequence[ir.Rule],
    can_be_met: Callable[[Sequence[ir.Rule]], bool],
    jobs: Jobs,
    known: Sequence[n.Node] = (),
) -> list[Conflict]:
    """Small conflicts among rules for jobs of which ``known`` holds. ``can_be_met``: of fewer rules, never worse."""
    found: dict[tuple[str, ...], Conflict] = {}
    waiting: list[frozenset[int]] = [frozenset()]
    seen: set[frozenset[int]] = set()
    while waiting and len(seen) < MOST_LOOKED_AT:
        spared = waiting.pop(0)
        if spared in seen:
            continue
        seen.add(spared)
        left = [number for number in range(len(rules)) if number not in spared]
        if can_be_met([rules[number] for number in left]):
            continue
        smallest = minimal_conflict(left, lambda part: can_be_met([rules[number] for number in part]))
        if isinstance(smallest, GaveUp) or not smallest:
            continue
        chosen = tuple(rules[number] for number in smallest)
        job = jobs.with_rules(chosen, known)
        if job is not None:
            conflict = Conflict(chosen, job)
            found.setdefault(conflict.ids, conflict)
        waiting += [spared | {number} for number in smallest]
    return list(found.values())


class Jobs:
    """Which jobs there can be: facts that do not stand together are left out."""

    def __init__(self, book: ir.Rulebook) -> None:
        self.book = book
        self.solver = Solver(book)
        self.cannot_be = [n.Not(each.when) for each in book.impossible]

    def with_rules(self, rules: Sequence[ir.Rule], known: Sequence[n.Node] = ()) -> dict[str, str] | None:
        """Facts of a job to which all these rules apply; None where there is none; empty where any job will do."""
        demands = [rule.when for rule in rules if rule.when is not None]
        return self.where([*demands, *known])

    def where(self, demands: Sequence[n.Node]) -> dict[str, str] | None:
        """Facts with which the demands hold; None where there are none."""
        found: Found | str | None = self.solver.model([*demands, *self._touched(demands)])
        if isinstance(found, str):
            found = self.solver.model(list(demands))
        return None if found is None else {} if isinstance(found, str) else facts_of(found)

    def _touched(self, demands: Sequence[n.Node]) -> list[n.Node]:
        """The impossible combinations that share a fact with what is asked."""
        named = {node.name for each in demands for node in n.walk(each) if isinstance(node, n.Fact)}
        return [
            each
            for each in self.cannot_be
            if any(isinstance(node, n.Fact) and node.name in named for node in n.walk(each))
        ]
