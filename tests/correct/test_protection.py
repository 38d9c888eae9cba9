"""A correction takes no protection from work that had it: a test, a bleed or a bond stays where something relies on it.

That work relies on a test which no rule ties it to is common practice, no source.
"""

from __future__ import annotations

import random

import msgspec
import pytest

from ringcut.checking import check
from ringcut.correct.correcting import correct
from ringcut.correct.effort import Effort
from ringcut.correct.protection import PROTECTION
from ringcut.correct.verdicts import Verdicts
from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import NOWHERE
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawStep

LEAD: Job = {
    "work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "pressurized": "yes",
    "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "14 in", "water-in-hole": "yes",
    "manhole-depth": "9 ft",
}  # fmt: skip
DAM: Job = {**LEAD, "work": "inter-sheath-dam", "sheath": "polyethylene", "construction": "double",
    "cable-diameter": "2.4 in", "opening-length": "7 in"}  # fmt: skip
HEAD = "procedure: plan\njob: {work: trouble-opening, sheath: lead, core: paper, location: manhole}\nsteps:\n"


def _lines(job: Job, book: Rulebook, models: list[Model]) -> list[str]:
    return draft(job, book, models).text.partition("\n#\n")[0].splitlines()


def _without_second_test(book: Rulebook, models: list[Model]) -> str:
    """The air was tested before the pump and not after it."""
    lines = _lines(LEAD, book, models)
    del lines[lines.index("  - pump-water") + 1]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("waiting", [False, True], ids=["a list", "with after"])
def test_a_missing_test_of_the_air_is_added_not_taken_from_in_front_of_the_pump(
    waiting: bool, book: Rulebook, models: list[Model]
) -> None:
    text = _without_second_test(book, models)
    if waiting:
        text = text.replace("  - mark-sheath\n", "  - {do: mark-sheath, after: [trim-channel]}\n")
    found = correct(text.encode(), "plan.yaml", book, models)
    assert [edit.kind for edit in found.edits] == ["added"]
    steps = [line.strip(" -") for line in found.text.splitlines()]
    assert steps.index("test-atmosphere") < steps.index("ventilate") < steps.index("pump-water")
    assert steps[steps.index("pump-water") + 1].partition(",")[0] in ("test-atmosphere", "{do: test-atmosphere")
    assert found.verdict == "conforms"


def test_a_test_that_protected_nothing_is_moved(book: Rulebook, models: list[Model]) -> None:
    """Zero was read before the air was let out: a second reading more would not make the first one any use."""
    lines = _lines(LEAD, book, models)
    zero = lines.pop(lines.index("  - {do: confirm-zero, volume: core}"))
    lines.insert(lines.index("  - bleed-pressure"), zero)
    found = correct(("\n".join(lines) + "\n").encode(), "plan.yaml", book, models)
    assert [edit.kind for edit in found.edits] == ["moved"]


def _unprotected(text: str, worker: str) -> list[int]:
    """Which doings of a step, in their order, come after the last test of the air that nothing has stirred since."""
    steps = [step.do.text for step in read_procedure(text.encode(), "plan.yaml").steps]  # type: ignore[union-attr]
    tested, bare, number = False, [], 0
    for step in steps:
        if step == worker:
            bare += [] if tested else [number]
            number += 1
        tested = step == "test-atmosphere" or tested and step not in ("pump-water", "open-manhole", "leave-manhole")
    return bare


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("job", [LEAD, DAM], ids=["lead", "dam"])
def test_whoever_had_a_test_has_one_after_random_damage_is_corrected(
    seed: int, job: Job, book: Rulebook, models: list[Model]
) -> None:
    lines, draw = _lines(job, book, models), random.Random(seed)
    tests = [at for at, line in enumerate(lines) if line == "  - test-atmosphere"]
    taken = lines.pop(draw.choice(tests))
    if seed % 2:
        lines.insert(draw.randrange(lines.index("steps:") + 1, len(lines)), taken)
    text = "\n".join(lines) + "\n"
    found = correct(text.encode(), "plan.yaml", book, models, effort=Effort(60_000))
    assert check(found.text.encode(), "plan.yaml", book).verdict == "conforms"
    for worker in ("ventilate", "pump-water", "enter-manhole", "repair-conductors"):
        assert set(_unprotected(found.text, worker)) <= set(_unprotected(text, worker))


def _lost(before: str, after: str, book: Rulebook) -> bool:
    """Whether a version, with the steps of the plan in its own lines, has lost a protection."""
    raw = read_procedure((HEAD + before).encode(), "plan.yaml")
    steps: dict[str, list[RawStep]] = {}
    for step in raw.steps:
        assert isinstance(step, RawStep)
        steps.setdefault(step.do.text, []).append(step)
    new = read_procedure((HEAD + after).encode(), "plan.yaml").steps
    items = []
    for step in new:
        assert isinstance(step, RawStep)
        there = steps.get(step.do.text)
        items.append(there.pop(0) if there else msgspec.structs.replace(step, place=NOWHERE))
    return PROTECTION in Verdicts(raw, book).broken(tuple(items))


@pytest.mark.parametrize(
    ("before", "after", "lost"),
    [
        (["test-atmosphere", "pump-water"], ["pump-water", "test-atmosphere"], True),
        (["test-atmosphere", "pump-water"], ["test-atmosphere", "pump-water", "ventilate"], False),
        (["open-manhole", "test-atmosphere", "pump-water"], ["test-atmosphere", "open-manhole", "pump-water"], True),
        # what comes to stand between was behind the work before, or not there: the rules say whether it may
        (["test-atmosphere", "enter-manhole", "pump-water"], ["test-atmosphere", "pump-water", "enter-manhole"], False),
        (["test-atmosphere", "enter-manhole"], ["test-atmosphere", "open-manhole", "enter-manhole"], False),
        # work that is itself put elsewhere: it stood behind a reading of zero that was not for it
        (
            ["confirm-zero", "ring-cut", "check-bond", "clean-lead", "confirm-zero", "remove-shield"],
            ["confirm-zero", "ring-cut", "remove-shield", "check-bond", "clean-lead", "confirm-zero"],
            False,
        ),
        (["test-atmosphere", "ventilate", "pump-water"], ["pump-water", "test-atmosphere", "ventilate"], True),
        # what a bond undoes where it is fitted protects nobody
        (
            ["place-pads", "place-permanent-bond", "remove-temporary-bond"],
            ["place-permanent-bond", "place-pads", "remove-temporary-bond"],
            False,
        ),
        (["light-torch", "shut-torch", "leave-manhole"], ["light-torch", "leave-manhole", "shut-torch"], True),
        # a bond taken off earlier than it was: the bond itself is where it was
        (
            ["place-temporary-bond", "open-sheath", "remove-temporary-bond"],
            ["place-temporary-bond", "remove-temporary-bond", "open-sheath"],
            False,
        ),
        (["place-temporary-bond", "open-sheath"], ["open-sheath", "place-temporary-bond"], True),
    ],
)
def test_what_has_lost_a_protection(before: list[str], after: list[str], lost: bool, book: Rulebook) -> None:
    assert _lost("".join(f"  - {s}\n" for s in before), "".join(f"  - {s}\n" for s in after), book) is lost


def test_in_a_group_it_is_lost_where_some_order_loses_it(book: Rulebook) -> None:
    raw = read_procedure((HEAD + "  - test-atmosphere\n  - pump-water\n  - ventilate\n").encode(), "plan.yaml")
    apart = read_procedure(f"{HEAD}  - any-order: [a, b]\n  - c\n".encode(), "plan.yaml").steps
    test, pump, fan = raw.steps
    grouped = msgspec.structs.replace(apart[0], branches=((test,), (pump,)))
    verdicts = Verdicts(raw, book)
    assert PROTECTION in verdicts.broken((grouped, fan))
    grouped = msgspec.structs.replace(apart[0], branches=((pump,), (fan,)))
    assert PROTECTION not in verdicts.broken((test, grouped))
