"""Jobs to look at a rulebook with: as many rules as can apply to one job, and facts with which they do."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.conflicts import Jobs
from ringcut.proof.solving import Found


class Scenario(msgspec.Struct, frozen=True):
    """A job, as far as it is settled, and the rules that apply to it."""

    rules: tuple[ir.Rule, ...]
    found: Found


def scenarios(book: ir.Rulebook, rules: Sequence[ir.Rule], jobs: Jobs) -> list[Scenario]:
    """For each kind of work and each ``when``, the most rules that apply together; newest layers first.

    Two rules that apply to one job are together in some scenario wherever nothing that comes before them in the
    rulebook keeps one of them out.
    """
    whens = list(dict.fromkeys(rule.when for rule in reversed(rules) if rule.when is not None))
    found: dict[frozenset[n.Node], Found] = {}
    for work in works(book):
        known = [] if work is None else [n.Is(n.Fact("work"), (work,))]
        covered: set[n.Node] = set()
        fitting = [when for when in whens if jobs.solver.possible([when, *known, *jobs.cannot_be])]
        for seed in [None, *fitting]:
            if seed in covered:
                continue
            grown = _grown([*known, *([] if seed is None else [seed])], fitting, jobs)
            if grown is not None:
                covered |= grown[0]
                found.setdefault(grown[0], grown[1])
    return [
        Scenario(tuple(rule for rule in rules if rule.when is None or rule.when in applying), model)
        for applying, model in found.items()
    ]


def works(book: ir.Rulebook) -> tuple[str | None, ...]:
    """The kinds of work a rulebook covers; one None where its vocabulary has none."""
    if "work" not in book.facts:
        return (None,)
    return book.covers.get("work") or book.facts["work"].choices


def _grown(demands: list[n.Node], whens: Sequence[n.Node], jobs: Jobs) -> tuple[frozenset[n.Node], Found] | None:
    """The seed and every ``when`` that still fits, with facts; None where the seed itself cannot be."""
    model = jobs.solver.model([*demands, *jobs.cannot_be])
    if not isinstance(model, dict):
        return None
    for when in whens:
        if when in demands:
            continue
        if jobs.solver.holds(when, model):
            demands.append(when)
            continue
        # what is settled may serve; else the new demand comes first, because it is what is likely to fail
        more = jobs.solver.model([when, *demands, *jobs.cannot_be], model)
        more = more or jobs.solver.model([when, *demands, *jobs.cannot_be])
        if isinstance(more, dict):
            model = more
            demands.append(when)
    return frozenset(demands), model
