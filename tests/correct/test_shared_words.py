"""A plan with a word that several steps share is corrected as the plan with the step's own name."""

from __future__ import annotations

import pytest

from ringcut.checking import check
from ringcut.correct.correcting import correct
from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook

REPAIR: Job = {
    "work": "sheath-repair", "sheath": "polyethylene", "construction": "single", "core": "plastic",
    "pressurized": "yes", "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "4 in",
}  # fmt: skip


@pytest.fixture(scope="module")
def damaged(book: Rulebook, models: list[Model]) -> str:
    """Scuffed before it is cleaned."""
    text = draft(REPAIR, book, models).text.partition("\n#\n")[0] + "\n"
    assert not check(text.encode(), "p.yaml", book).counts.nonconforming
    lines = text.splitlines(keepends=True)
    scuffing = lines.pop(next(at for at, line in enumerate(lines) if "scuff-polyethylene" in line))
    cleaning = next(at for at, line in enumerate(lines) if "clean-polyethylene" in line)
    lines.insert(cleaning, scuffing)
    return "".join(lines)


def test_the_step_that_is_meant_goes_back_to_its_place(damaged: str, book: Rulebook, models: list[Model]) -> None:
    """Symptom: «scuffed» was moved as the scuffing of lead, and nothing was found."""
    typed = damaged.replace("scuff-polyethylene", "scuffed")
    assert check(typed.encode(), "p.yaml", book).counts.nonconforming
    named, shared = (correct(text.encode(), "p.yaml", book, models) for text in (damaged, typed))
    assert len(shared.edits) == len(named.edits) == 1
    assert not check(shared.text.encode(), "p.yaml", book).counts.nonconforming
    assert shared.text == named.text.replace("scuff-polyethylene", "scuffed")
