"""The number of edits of a plan with ``after`` is the least there is, by looking at every small plan they can make."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import combinations, product

import msgspec
import pytest

from ringcut.correct.correcting import correct
from ringcut.correct.finders import GraphFinder
from ringcut.correct.graphsearch import Ordering
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.models import Model
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.phrase import Phrase
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure, RawReading, RawStep
from ringcut.relations.resolve import resolve

SMALL = [
    ("lead-clean-before-scuff", "lead-scuffed", "lead-wiped", "lead-preheated"),
    ("assembled-before-shrinking", "turned-before-shrinking", "sleeve-trimmed", "channel-formed"),
    ("pairs-clear-before-closing", "muslin-on-paper", "desiccant-on-paper", "opening-taped"),
]
NAMES = [
    ["clean-lead", "scuff-lead", "wipe-lead", "preheat-lead", "assemble-sleeve"],
    ["trim-sleeve", "assemble-sleeve", "turn-channel", "shrink-sleeve", "form-channel"],
    ["clear-with-test-desk", "place-desiccant", "wrap-muslin", "wrap-rubber-tape", "assemble-sleeve"],
]
Waits = tuple[frozenset[int], ...]
Plan = tuple[tuple[str, ...], Waits]
"""Names, and for each step those that it waits for."""


FEW = [
    (("lead-wiped", "lead-scuffed"), ["scuff-lead", "wipe-lead", "assemble-sleeve"]),
    (("channel-formed", "assembled-before-shrinking"), ["assemble-sleeve", "shrink-sleeve", "form-channel"]),
]
"""Few enough that every pair of edits can be looked at."""


def text_of(plan: Plan) -> str:
    """The plan with an ``after`` at every step."""
    text = "procedure: plan\njob: {work: trouble-opening, sheath: lead, core: paper}\nsteps:\n"
    for at, (name, waits) in enumerate(zip(*plan, strict=True)):
        text += f"  - {{do: {name}, id: s{at}, after: [{', '.join(f's{each}' for each in sorted(waits))}]}}\n"
    return text


def raw_of(plan: Plan) -> RawProcedure:
    """The same plan as it is when read."""
    steps = tuple(
        RawStep(Phrase(name), id=Phrase(f"s{at}"), after=tuple(Phrase(f"s{each}") for each in sorted(waits)))
        for at, (name, waits) in enumerate(zip(*plan, strict=True))
    )
    facts = {"work": "trouble-opening", "sheath": "lead", "core": "paper"}
    job = tuple(RawReading(Phrase(name), Phrase(text)) for name, text in facts.items())
    return RawProcedure("plan", job, steps)


def closed(waits: Waits) -> Waits | None:
    """All that come before each step; None where steps wait for each other."""
    found = list(waits)
    for _ in found:
        found = [each.union(*(found[one] for one in each)) for each in found]
    return None if any(at in each for at, each in enumerate(found)) else tuple(found)


def waiting(plan: Plan) -> Iterator[Plan]:
    """Every plan in which one step waits for others."""
    names, waits = plan
    for at in range(len(names)):
        others = [each for each in range(len(names)) if each != at]
        for count in range(len(others) + 1):
            for chosen in combinations(others, count):
                yield names, (*waits[:at], frozenset(chosen), *waits[at + 1 :])


def placed(plan: Plan, at: int) -> Iterator[Plan]:
    """Every place for a step that nothing waits for and that waits for nothing, with nothing else changed."""
    names, waits = plan
    before = closed(waits)
    assert before is not None
    others = [each for each in range(len(names)) if each != at]
    for choice in product("<> ", repeat=len(others)):
        signs = dict(zip(others, choice, strict=True))
        earlier = frozenset(each for each in others if signs[each] == "<")
        later = [each for each in others if signs[each] == ">"]
        if all(one in before[two] for one in earlier for two in later):
            yield (
                names,
                tuple(
                    earlier if each == at else waits[each] | {at} if each in later else waits[each]
                    for each in range(len(names))
                ),
            )


def neighbours(plan: Plan, able: list[str]) -> Iterator[Plan]:
    """Every plan that one edit makes."""
    names, waits = plan
    yield from waiting(plan)
    for at in range(len(names)):
        out = tuple(
            frozenset() if each == at else (mine - {at}) | waits[at] if at in mine else mine
            for each, mine in enumerate(waits)
        )
        yield from placed((names, out), at)
    for name in able:
        yield from placed(((*names, name), (*waits, frozenset())), len(names))


def least(plan: Plan, book: Rulebook, able: list[str], most: int) -> int | None:
    """The fewest edits, by looking at all plans."""
    known: dict[Plan, bool] = {}

    def holds(each: Plan) -> bool:
        if each not in known:
            known[each] = judge_procedure(resolve(raw_of(each), book, []), book).counts.nonconforming == 0
        return known[each]

    wave = {plan}
    for count in range(most + 1):
        if any(holds(each) for each in wave):
            return count
        wave = {
            (names, order)
            for each in wave if count < most
            for names, waits in neighbours(each, able) if (order := closed(waits)) is not None
        }  # fmt: skip
    return None


def some(draw: random.Random, able: list[str], count: int) -> Plan:
    """A plan of some steps, each waiting for some that are listed before it."""
    names = tuple(draw.sample(able, count))
    return names, tuple(frozenset(each for each in range(at) if draw.random() < 0.5) for at in range(count))


def looking_at(book: Rulebook, rules: tuple[str, ...]) -> Rulebook:
    """A rulebook of a few rules."""
    kept = tuple(rule for rule in book.rules if rule.id in rules)
    assert len(kept) == len(rules)
    return msgspec.structs.replace(book, rules=kept, covers={}, gaps=(), subjects={}, warnings=())


@pytest.mark.parametrize("seed", range(6))
def test_one_edit_is_found_where_one_will_do(seed: int, book: Rulebook, models: list[Model]) -> None:
    small, able = looking_at(book, SMALL[seed % 3]), NAMES[seed % 3]
    plan = some(random.Random(seed), able, 4)
    _agrees(plan, small, able, 1, models)


@pytest.mark.parametrize("seed", range(4))
def test_two_edits_are_found_where_two_are_needed(seed: int, book: Rulebook, models: list[Model]) -> None:
    rules, able = FEW[seed % 2]
    plan = some(random.Random(seed), able, 3)
    _agrees(plan, looking_at(book, rules), able, 2, models)


def _agrees(plan: Plan, book: Rulebook, able: list[str], most: int, models: list[Model]) -> None:
    fewest = least(plan, book, able, most)
    found = correct(text_of(plan).encode(), "plan.yaml", book, models)
    if fewest is None:
        assert len(found.edits) > most
    else:
        assert len(found.edits) == fewest, (text_of(plan), [edit.words for edit in found.edits])
        assert found.smallest
        assert found.in_place


def test_needless_edits_are_taken_back(book: Rulebook) -> None:
    """Of edits found one after the other some do nothing once the last is made: a move, a wait, a step more."""
    names = ("clean-lead", "scuff-lead", "wipe-lead", "assemble-sleeve")
    text = text_of((names, (frozenset(), frozenset({0}), frozenset({1}), frozenset({2}))))
    raw = read_procedure(text.encode(), "plan.yaml")
    finder = GraphFinder(Verdicts(raw, book), raw.steps, lambda name: [RawStep(Phrase(name))], [])
    search, graph = finder.search, finder.graph
    broken = search.verdicts.broken(graph)
    without = graph.without(2)
    moved = without.put(2, next(gap for gap in without.gaps() if gap.earlier == without.present))
    found = Ordering(graph).then("move", 2, moved, [])
    waiting = moved.waiting(0, moved.free_to_precede(0))
    found = found.then("wait", 0, waiting, [])
    step = finder._steps("solvent-dry", 0)[0]
    more = waiting.with_step(step)
    found = found.then("add", 4, more.put(4, next(iter(more.gaps()))), [])
    fewer = search.fewer(graph, found, broken)
    assert fewer.edits == ()
    assert fewer.graph.before()[:4] == graph.before()
    assert search.verdicts.broken(fewer.graph) == broken
    assert search.fewer(graph, Ordering(graph), broken) == Ordering(graph)
