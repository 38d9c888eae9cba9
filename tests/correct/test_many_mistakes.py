"""Plans with many mistakes: corrected soon, with no more edits than the damage took, or told not to be proved so."""

from __future__ import annotations

import random

import pytest

from ringcut.checking import check, read
from ringcut.correct.correcting import correct
from ringcut.correct.effort import Effort
from ringcut.correct.offering import badness
from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.fit.leftopen import judged
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook

LEAD: Job = {
    "work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "pressurized": "yes",
    "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "14 in", "water-in-hole": "no",
    "manhole-depth": "9 ft",
}  # fmt: skip
DAM: Job = {**LEAD, "work": "inter-sheath-dam", "sheath": "polyethylene", "construction": "double",
    "cable-diameter": "2.4 in", "opening-length": "7 in"}  # fmt: skip
REPAIR: Job = {**LEAD, "work": "sheath-repair", "sheath": "polyethylene", "core": "plastic", "opening-length": "4 in"}
LITTLE = 60_000


def _damaged(text: str, edits: int, draw: random.Random) -> str:
    """A plan of which some steps, each once, are taken out or put elsewhere."""
    lines = text.partition("\n#\n")[0].splitlines()
    first = lines.index("steps:") + 1
    head, steps = lines[:first], [line for line in lines[first:] if line.startswith("  - ")]
    chosen = draw.sample(range(len(steps)), edits)
    gone = [steps[at] for at in chosen]
    steps = [line for at, line in enumerate(steps) if at not in chosen]
    for step in gone:
        if draw.random() < 0.6:
            steps.insert(draw.randrange(len(steps) + 1), step)
    return "\n".join([*head, *steps]) + "\n"


def _report(text: str, book: Rulebook) -> Report:
    return judged(read(text.encode(), "plan.yaml", book), book, "plan.yaml")


@pytest.mark.parametrize(("edits", "seed"), [(3, 1), (4, 2), (5, 3), (6, 4), (7, 5), (8, 6)])
@pytest.mark.parametrize("job", [LEAD, DAM, REPAIR], ids=["lead", "dam", "repair"])
def test_no_more_edits_than_it_took_or_not_proved(
    edits: int, seed: int, job: Job, book: Rulebook, models: list[Model]
) -> None:
    text = _damaged(draft(job, book, models).text, edits, random.Random(seed))
    found = correct(text.encode(), "plan.yaml", book, models, effort=Effort(LITTLE))
    assert found.found
    assert found.in_place
    assert check(found.text.encode(), "plan.yaml", book).verdict == "conforms"
    assert found.at_least <= edits
    assert len(found.edits) <= edits or not found.smallest
    again = correct(found.text.encode(), "plan.yaml", book, models, effort=Effort(LITTLE))
    assert again.edits == ()
    assert again.text == found.text


def test_a_plan_of_a_few_steps_becomes_a_whole_one(book: Rulebook, models: list[Model]) -> None:
    """Somebody wrote down the middle of the work only."""
    lines = draft(LEAD, book, models).text.partition("\n#\n")[0].splitlines()
    first = lines.index("steps:") + 1
    kept = [line for line in lines[first:] if any(name in line for name in ("open-sheath", "shrink-sleeve", "-cond"))]
    text = "\n".join([*lines[:first], *kept]) + "\n"
    found = correct(text.encode(), "plan.yaml", book, models, effort=Effort(LITTLE))
    assert check(found.text.encode(), "plan.yaml", book).verdict == "conforms"
    assert not found.smallest
    assert all(line in found.text for line in kept)


def test_what_no_edit_mends_keeps_nothing_else_from_being_mended(book: Rulebook, models: list[Model]) -> None:
    """No sleeve of the stock list covers an opening of 60 in; it is wiped before it is scuffed too."""
    lines = draft(LEAD, book, models).text.partition("\n#\n")[0].replace("14 in", "60 in").splitlines()
    lines.remove("  - wipe-lead")
    lines.insert(lines.index("  - clean-lead"), "  - wipe-lead   # wet cloth")
    lines.remove("  - soap-test")
    text = "\n".join(lines) + "\n"
    found = correct(text.encode(), "plan.yaml", book, models, effort=Effort(LITTLE))
    assert {edit.kind for edit in found.edits} == {"moved", "added"}
    assert found.in_part
    assert found.conflicts
    assert not found.smallest
    before, after = _report(text, book), _report(found.text, book)
    assert badness(after) < badness(before)
    assert {each.rule for each in found.left} <= {each.rule for each in before.findings}
    assert "# wet cloth" in found.text
    again = correct(found.text.encode(), "plan.yaml", book, models, effort=Effort(LITTLE))
    assert (again.edits, again.text) == ((), found.text)
    assert again.left


def test_what_helps_is_kept_where_the_budget_ends_among_edits_that_do_not(book: Rulebook, models: list[Model]) -> None:
    """Of a plan with a group and many mistakes nothing was offered, though most of them had a mend of one step."""
    lines = draft(LEAD, book, models).text.partition("\n#\n")[0].splitlines()
    lines.remove("  - check-foreign-voltage")
    lines[lines.index("  - identify-cable")] = "  - any-order: [identify-cable, check-foreign-voltage]"
    text = _damaged("\n".join(lines), 12, random.Random(4))
    found = correct(text.encode(), "plan.yaml", book, models, effort=Effort(90_000))
    before, after = _report(text, book), _report(found.text, book)
    assert 2 * after.counts.nonconforming <= before.counts.nonconforming
    assert badness(after) < badness(before)


def test_what_is_to_be_asked_keeps_nothing_from_being_corrected(book: Rulebook, models: list[Model]) -> None:
    lines = draft(LEAD, book, models).text.partition("\n#\n")[0].splitlines()
    lines = [
        line for line in lines if not any(name in line for name in ("core:", "wipe-lead", "place-ladder", "-depth"))
    ]
    found = correct(("\n".join(lines) + "\n").encode(), "plan.yaml", book, models, effort=Effort(LITTLE))
    assert [edit.words.partition(" after")[0] for edit in found.edits] == ["add wipe-lead"]
    assert found.verdict == "undetermined"
    assert "the job does not say: manhole-depth" in found.asks
    assert "not covered: the job does not say: core" in found.asks


def test_the_same_plan_gets_the_same_correction_and_the_work_is_told(book: Rulebook, models: list[Model]) -> None:
    text = _damaged(draft(LEAD, book, models).text, 5, random.Random(9))
    heard: list[float] = []
    effort = Effort(LITTLE, lambda share, doing: heard.append(share))
    found = correct(text.encode(), "plan.yaml", book, models, effort=effort)
    assert correct(text.encode(), "plan.yaml", book, models, effort=Effort(LITTLE)) == found
    assert heard == sorted(heard)
    assert heard
    assert heard[-1] <= 1
