"""Entries without a row: what is said holds at every place where they can stand, and what holds at all is said.

The oracle writes the entries into rows of the list, at every place in turn, and judges each of these logs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from random import Random

import msgspec
import pytest

from ringcut.judge.findings import CONFORMS, NONCONFORMING, NOT_APPLICABLE
from ringcut.judge.judge import judge_procedure
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawProcedure, RawReading, RawStep
from ringcut.relations.resolve import resolve

POOL: tuple[tuple[str, Mapping[str, str]], ...] = (
    ("test-atmosphere", {"combustible-gas": "0 %LFL", "oxygen": "20.9 %"}),
    ("test-atmosphere", {"combustible-gas": "40 %LFL", "oxygen": "20.9 %"}),
    ("enter-manhole", {}), ("ventilate", {}), ("light-torch", {}), ("shut-off-torch", {}),
    ("read-pressure", {"pressure": "0 psi"}), ("bleed-pressure", {}), ("open-sheath", {"opening-length": "14 in"}),
    ("place-temporary-bond", {}), ("remove-temporary-bond", {}), ("place-permanent-bond", {}),
    ("measure-diameters", {"largest": "2.5 in", "smallest": "2.1 in"}),
    ("measure-diameters", {"largest": "2.1 in", "smallest": "2.5 in"}),
    ("select-sleeve", {"size": "S-4"}), ("trim-sleeve", {"sleeve-length": "26 in"}), ("scuff-lead", {}),
    ("assemble-sleeve", {"bond-length": "5 in"}), ("shrink-sleeve", {}), ("cool-closure", {"by-hand": "yes"}),
    ("move-cable", {}), ("restore-pressure", {"pressure": "6 psi"}), ("clean-lead", {}), ("preheat", {}),
)  # fmt: skip
JOB = {
    "work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "jacket": "none",
    "pressurized": "yes", "location": "manhole", "cable-diameter": "2 in", "date": "2026-05-04",
}  # fmt: skip


def word(text: str) -> Phrase:
    return Phrase(text, Place("log", 1))


def step(
    book: ir.Rulebook, line: int, at: str = "", started: str = "", *, random: Random, unlisted: bool = False
) -> RawStep:
    name, readings = random.choice([each for each in POOL if each[0] in book.steps])
    given = tuple(
        RawReading(word(key), word(said)) for key, said in readings.items() if key in book.steps[name].readings
    )
    return RawStep(
        word(name), at=word(at) if at else None, started=word(started) if started else None, readings=given,
        place=Place("log", line), unlisted=unlisted,
    )  # fmt: skip


def clock(minutes: int) -> str:
    return f"{8 + minutes // 60:02d}:{minutes % 60:02d}"


def log(steps: Sequence[RawStep], records: str) -> RawProcedure:
    job = tuple(RawReading(word(name), word(said)) for name, said in JOB.items())
    return RawProcedure("log", job, tuple(steps), {"records": word(records)}, Place("log", 1))


def verdicts(book: ir.Rulebook, raw: RawProcedure) -> dict[str, str]:
    problems: list[object] = []
    procedure = resolve(raw, book, problems)  # type: ignore[arg-type]
    assert not problems
    return {each.rule: each.verdict for each in judge_procedure(procedure, book).rules}


def in_rows(rows: Sequence[RawStep], told: Sequence[RawStep]) -> Iterator[list[RawStep]]:
    """The lists with the entries in rows, at every place."""
    if not told:
        yield list(rows)
        return
    listed = msgspec.structs.replace(told[0], unlisted=False)
    for place in range(len(rows) + 1):
        yield from in_rows([*rows[:place], listed, *rows[place:]], told[1:])


@pytest.mark.parametrize("seed", range(30))
def test_every_place_is_looked_at(seed: int, book: ir.Rulebook) -> None:
    random = Random(seed)
    minutes = sorted(random.choices(range(0, 240, 10), k=random.randint(3, 9)))
    untimed = 0.3 if seed % 3 == 0 else 0
    rows = [
        step(book, 2 + number, "" if random.random() < untimed else clock(minute), random=random)
        for number, minute in enumerate(minutes)
    ]
    told = [step(book, 50 + number, random=random, unlisted=True) for number in range(1 + seed % 2)]
    records = random.choice(["every-step", "milestones"])
    found = verdicts(book, log([*rows, *told], records))
    places = [verdicts(book, log(each, records)) for each in in_rows(rows, told)]
    for rule, said in found.items():
        here = {place[rule] for place in places} - {NOT_APPLICABLE} or {NOT_APPLICABLE}
        expected = here.pop() if len(here) == 1 else "undetermined"
        assert (rule, said) == (rule, expected)


@pytest.mark.parametrize("seed", range(30))
def test_a_time_that_was_told_leaves_the_places_that_agree_with_it(seed: int, book: ir.Rulebook) -> None:
    random = Random(1000 + seed)
    minutes = sorted(random.choices(range(0, 240, 10), k=random.randint(3, 9)))
    rows = [step(book, 2 + number, clock(minute), random=random) for number, minute in enumerate(minutes)]
    if seed % 2:
        rows[1] = msgspec.structs.replace(rows[1], at=None)
        minutes[1] = minutes[0]
    when = random.choice(range(0, 240, 10))
    told = step(book, 50, clock(when), random=random, unlisted=True)
    found = verdicts(book, log([*rows, told], "every-step"))
    agreed = [
        place
        for place in range(len(rows) + 1)
        if all(before <= when for each, before in zip(rows[:place], minutes, strict=False) if each.at)
        and all(after >= when for each, after in zip(rows[place:], minutes[place:], strict=True) if each.at)
    ]
    listed = msgspec.structs.replace(told, unlisted=False)
    places = [verdicts(book, log([*rows[:each], listed, *rows[each:]], "every-step")) for each in agreed]
    for rule, said in found.items():
        here = {place[rule] for place in places} - {NOT_APPLICABLE} or {NOT_APPLICABLE}
        assert (rule, said) == (rule, here.pop() if len(here) == 1 else "undetermined")


@pytest.mark.parametrize("seed", range(30))
def test_among_steps_that_last_nothing_is_said_that_a_place_contradicts(seed: int, book: ir.Rulebook) -> None:
    """An entry may lie within a step that lasts: written into rows at an instant of their own.

    The oracle may know less, as the other rows get their time from one that has none.
    """
    random = Random(2000 + seed)
    rows, minute = [], 0
    bounds: list[int] = [0]
    for number in range(random.randint(3, 8)):
        start = minute + random.choice([0, 10])
        minute = start + random.choice([0, 20, 40])
        bounds += [start, minute]
        rows.append(step(book, 2 + number, clock(minute), clock(start), random=random))
    told = step(book, 50, random=random, unlisted=True)
    found = verdicts(book, log([*rows, told], "every-step"))
    places = [verdicts(book, log(each, "every-step")) for each in in_rows(rows, [told])]
    for before, after in pairwise(sorted({*bounds})):
        at = msgspec.structs.replace(told, unlisted=False, at=word(clock((before + after) // 2)))
        above = sum(minute <= before for minute in bounds[2::2])
        places.append(verdicts(book, log([*rows[:above], at, *rows[above:]], "every-step")))
    for rule, said in found.items():
        here = {place[rule] for place in places}
        if rule == "times-backwards":
            continue  # a row that the oracle put between two others that overlap may stand against one of them
        assert said != CONFORMS or NONCONFORMING not in here, rule
        assert said != NONCONFORMING or here.isdisjoint({CONFORMS, NOT_APPLICABLE}), rule
