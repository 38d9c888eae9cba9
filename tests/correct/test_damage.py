"""Random damage of plans whose order is more than a list is corrected with no more edits than it took."""

from __future__ import annotations

import random

import pytest

from ringcut.checking import check
from ringcut.correct.correcting import correct
from ringcut.correct.correction import Correction
from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

REPAIR: Job = {
    "work": "sheath-repair", "sheath": "polyethylene", "construction": "single", "core": "plastic",
    "pressurized": "no", "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "4 in",
}  # fmt: skip
LEAD: Job = {**REPAIR, "work": "trouble-opening", "sheath": "lead", "core": "paper", "opening-length": "14 in"}
EARLY = ("identify-cable", "check-foreign-voltage")
LATE = ("leave-manhole", "stop-ventilation", "close-manhole", "remove-guards", "bag-scrap", "wash-hands")
TOGETHER = [("identify-cable", "check-foreign-voltage"), ("trim-sleeve", "trim-channel"), ("form-channel", "bag-scrap")]


class Written:
    """A plan as lines: a head, and for each step what it says, how ``after`` calls it and what it waits for."""

    def __init__(self, text: str) -> None:
        lines = text.partition("\n#\n")[0].splitlines()
        first = lines.index("steps:") + 1
        self.head = lines[:first]
        steps = [line[4:].partition("   #")[0] for line in lines[first:] if line.startswith("  - ")]
        self.inner = [step[1:-1] if step.startswith("{") else f"do: {step}" for step in steps]
        self.names = [inner.removeprefix("do: ").partition(",")[0] for inner in self.inner]
        self.ids = [
            name if self.names.count(name) == 1 else f"{name}-{self.names[:at].count(name) + 1}"
            for at, name in enumerate(self.names)
        ]

    def listed(self, steps: list[str]) -> str:
        """The file with other lines as steps."""
        return "\n".join([*self.head, *steps]) + "\n"


def waiting(plan: Written, share: float, draw: random.Random) -> list[tuple[str, str, list[str] | None]]:
    """(what a step says, its id, what it waits for), a share of the steps with ``after``."""
    return [
        (inner, plan.ids[at], [plan.ids[at - 1]] if at and draw.random() < share else None)
        for at, inner in enumerate(plan.inner)
    ]


def line(inner: str, label: str, after: list[str] | None) -> str:
    """A step with id and ``after``."""
    waits = "" if after is None else f", after: [{', '.join(after)}]"
    return f"  - {{{inner}, id: {label}{waits}}}"


def broken_apart(
    steps: list[tuple[str, str, list[str] | None]], edits: int, draw: random.Random
) -> list[tuple[str, str, list[str] | None]]:
    """Steps taken out, put elsewhere in the list, or made to wait for another."""
    for _ in range(edits):
        at = draw.randrange(1, len(steps))
        inner, label, after = steps[at]
        kind = draw.choice(["wait", "take out", "move"])
        if kind == "wait":
            steps[at] = (inner, label, [draw.choice([each for _, each, _ in steps if each != label])])
            continue
        del steps[at]
        if kind == "move":
            steps.insert(draw.randrange(len(steps) + 1), (inner, label, after))
            continue
        instead = [steps[at - 1][1]] if after is None else after
        steps = [(i, one, None if a is None else _without(a, label, instead)) for i, one, a in steps]
    return steps


def _without(after: list[str], label: str, instead: list[str]) -> list[str]:
    return list(dict.fromkeys(each for one in after for each in (instead if one == label else [one])))


def agrees(found: Correction, edits: int, book: Rulebook, models: list[Model]) -> None:
    """Corrected with at most so many edits, in the file, once and for all."""
    assert found.why == ""
    assert len(found.edits) <= edits, [edit.words for edit in found.edits]
    assert found.in_place
    assert check(found.text.encode(), "plan.yaml", book).verdict == "conforms"
    assert correct(found.text.encode(), "plan.yaml", book, models).edits == ()


@pytest.mark.parametrize(("edits", "seed"), [(1, 1), (1, 2), (1, 3), (1, 4), (1, 5), (2, 6)])
@pytest.mark.parametrize("share", [0.3, 1.0])
def test_where_steps_wait(edits: int, seed: int, share: float, book: Rulebook, models: list[Model]) -> None:
    plan = Written(draft(REPAIR, book, models).text)
    draw = random.Random(seed)
    steps = waiting(plan, share, draw)
    assert check(plan.listed([line(*each) for each in steps]).encode(), "plan.yaml", book).verdict == "conforms"
    text = plan.listed([line(*each) for each in broken_apart(steps, edits, draw)])
    try:
        found = correct(text.encode(), "plan.yaml", book, models)
    except Unreadable:
        assert "wait for each other" in str(_problems(text, book))
        return
    agrees(found, edits, book, models)


def _problems(text: str, book: Rulebook) -> list[str]:
    with pytest.raises(Unreadable) as refused:
        check(text.encode(), "plan.yaml", book)
    return [problem.found for problem in refused.value.problems]


def in_groups(plan: Written) -> list[str]:
    """The lines with some neighbours in any order; the last group has a branch of two."""
    lines: list[str] = []
    skip: set[str] = set()
    for inner, name in zip(plan.inner, plan.names, strict=True):
        pair = next((pair for pair in TOGETHER if name in pair), None)
        if name in skip:
            continue
        if pair is None:
            lines.append(f"  - {{{inner}}}")
            continue
        members = [each for each, one in zip(plan.inner, plan.names, strict=True) if one in pair]
        skip |= set(pair)
        lines.append("  - any-order:\n" + "\n".join(f"      - {{{each}}}" for each in members))
    return lines


@pytest.mark.parametrize(("edits", "seed"), [(1, 1), (1, 2), (1, 3), (1, 4), (2, 5)])
def test_where_branches_may_come_in_any_order(edits: int, seed: int, book: Rulebook, models: list[Model]) -> None:
    plan = Written(draft(LEAD, book, models).text)
    lines = in_groups(plan)
    assert "any-order" in plan.listed(lines)
    assert check(plan.listed(lines).encode(), "plan.yaml", book).verdict == "conforms"
    draw = random.Random(seed)
    for _ in range(edits):
        step = lines.pop(draw.choice([at for at, each in enumerate(lines) if "any-order" not in each]))
        if draw.random() < 0.6:
            at = draw.choice([at for at, each in enumerate(lines) if "any-order" in each])
            lines[at] += "\n    " + step if draw.random() < 0.5 else ""
            if step not in lines[at]:
                lines.insert(draw.randrange(len(lines) + 1), step)
    found = correct(plan.listed(lines).encode(), "plan.yaml", book, models)
    agrees(found, edits, book, models)
    assert found.smallest


def for_two(plan: Written, book: Rulebook) -> list[str]:
    """The lines of two closures on one order: what is for the site once, all else for each."""
    before = [f"  - {{{i}}}" for i, n in zip(plan.inner, plan.names, strict=True) if n in EARLY]
    between: dict[str, list[str]] = {"north": [], "south": []}
    start: list[str] = []
    end: list[str] = []
    for inner, name in zip(plan.inner, plan.names, strict=True):
        site = book.steps[name].site
        if name in LATE:
            end.append(f"  - {{{inner}}}")
        elif name not in EARLY and site and not between["north"]:
            start.append(f"  - {{{inner}}}")
        elif name not in EARLY:
            for closure, lines in between.items():
                lines.append(f"  - {{{inner}}}" if site else f"  - {{{inner}, closure: {closure}}}")
    return [*start, *before, *between["north"], *between["south"], *end]


@pytest.mark.parametrize(("edits", "seed"), [(1, 1), (1, 4), (1, 5), (1, 6), (1, 8), (2, 12)])
def test_where_there_are_two_closures(edits: int, seed: int, book: Rulebook, models: list[Model]) -> None:
    plan = Written(draft(REPAIR, book, models).text)
    lines = for_two(plan, book)
    assert check(plan.listed(lines).encode(), "plan.yaml", book).verdict == "conforms"
    draw = random.Random(seed)
    for _ in range(edits):
        step = lines.pop(draw.randrange(len(lines)))
        if draw.random() < 0.6:
            lines.insert(draw.randrange(len(lines) + 1), step)
    agrees(correct(plan.listed(lines).encode(), "plan.yaml", book, models), edits, book, models)


def test_a_step_is_added_to_the_closure_that_lacks_it(book: Rulebook, models: list[Model]) -> None:
    plan = Written(draft(REPAIR, book, models).text)
    lines = for_two(plan, book)
    lines.remove("  - {do: mark-sheath, closure: south}")
    found = correct(plan.listed(lines).encode(), "plan.yaml", book, models)
    assert [edit.words.partition(" after")[0] for edit in found.edits] == ["add mark-sheath for south"]
    assert "{do: mark-sheath, closure: south}" in found.text


def test_a_reading_of_one_closure_is_mended_there(book: Rulebook, models: list[Model]) -> None:
    plan = Written(draft(REPAIR, book, models).text)
    text = plan.listed(for_two(plan, book))
    at = text.rindex("bond-length: 5-1/2 in")
    short = text[:at] + "bond-length: 4 in" + text[at + len("bond-length: 5-1/2 in") :]
    found = correct(short.encode(), "plan.yaml", book, models)
    assert [edit.kind for edit in found.edits] == ["changed"]
    assert found.text == short.replace("bond-length: 4 in", "bond-length: 5 in")


GRAPH = """# Thursday
procedure: plan
job: {work: sheath-repair, sheath: lead, construction: single, core: paper, pressurized: no, location: building,
      cable-diameter: 2.05 in, opening-length: 4 in}
steps:
  - identify-cable
  - check-foreign-voltage
  - clean-lead      # jacket off first
  - {do: scuff-lead, after: [clean-lead], scuffed-length: 7 in}   # by hand
  - wipe-lead
  - do: measure-diameters
    # with the caliper
    after: [clean-lead]
  - {do: select-sleeve, size: S-4}
  - {do: trim-sleeve, sleeve-length: 16 in}
  - {do: trim-channel, channel-length: 16 in}
  - mark-sheath
  - {do: light-torch, after: [mark-sheath, wipe-lead]}
  - preheat-lead
  - {do: assemble-sleeve, bond-length: 5-1/2 in}
  - {do: turn-channel, channel-angle: 6 o'clock}
  - shrink-sleeve
  - shut-torch
  - form-channel
  - inspect-sleeve
  - cool-closure
  - bag-scrap
  - wash-hands
"""


def test_comments_and_all_other_lines_stay(book: Rulebook, models: list[Model]) -> None:
    assert check(GRAPH.encode(), "plan.yaml", book).verdict == "conforms"
    text = GRAPH.replace("after: [mark-sheath, wipe-lead]", "after: [mark-sheath]")
    found = correct(text.encode(), "plan.yaml", book, models)
    assert [edit.kind for edit in found.edits] == ["moved"]
    assert "lead-wiped" in found.edits[0].rules
    changed = set(found.text.splitlines()) ^ set(text.splitlines())
    assert len(changed) <= 2
    for comment in ("# Thursday", "# jacket off first", "# by hand", "# with the caliper"):
        assert comment in found.text


def test_a_step_done_twice_gets_an_id_where_it_is_waited_for(book: Rulebook, models: list[Model]) -> None:
    text = GRAPH.replace("  - wash-hands\n", "  - identify-cable\n  - wash-hands\n").replace(
        "after: [mark-sheath, wipe-lead]", "after: [mark-sheath, check-foreign-voltage]"
    )
    found = correct(text.encode(), "plan.yaml", book, models)
    agrees(found, 1, book, models)


def test_nothing_measured_is_invented(book: Rulebook, models: list[Model]) -> None:
    """Diameters are read on the cable: a step to read them may be added, what it reads may not."""
    text = GRAPH.replace("  - do: measure-diameters\n    # with the caliper\n    after: [clean-lead]\n", "")
    found = correct(text.encode(), "plan.yaml", book, models)
    agrees(found, 1, book, models)
    assert "measure-diameters" in found.text
    assert "smallest" not in found.text


@pytest.mark.parametrize("waits", ["", ", after: [mark-sheath, wipe-lead]"])
def test_a_step_that_is_needed_is_optional_no_more(waits: str, book: Rulebook, models: list[Model]) -> None:
    """A second doing beside one that may be left out would mend too, and nobody would write it."""
    text = GRAPH.replace("after: [clean-lead], ", "").replace("\n    after: [clean-lead]\n", "\n")
    text = text.replace("{do: light-torch, after: [mark-sheath, wipe-lead]}", f"{{do: light-torch{waits}}}")
    assert check(text.encode(), "plan.yaml", book).verdict == "conforms"
    text = text.replace("  - wash-hands\n", "  - {do: wash-hands, optional: yes}\n")
    text = text.replace(
        "  - wipe-lead\n", "  - do: wipe-lead\n    optional: yes   # the foreman says so\n    note: damp\n"
    )
    found = correct(text.encode(), "plan.yaml", book, models)
    agrees(found, 2, book, models)
    assert {edit.words.split(" (")[0] for edit in found.edits} == {"do wash-hands", "do wipe-lead"}
    assert "optional" not in found.text
    assert "- {do: wash-hands}" in found.text
    assert "note: damp" in found.text
    assert "# the foreman says so" in found.text
