"""What a sheet's words speak of: by whole words, their beginnings and slips of the pen; never by letters alone."""

from __future__ import annotations

import pytest

from ringcut.archive.interview.tasks import guess_steps
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.language.ir import Rulebook


@pytest.mark.parametrize("text", [
    "Pressure", "Cones up", "Cones out", "Torch away", "Told desk restored",
    "AIR", "Dia", "Cut", "Vent", "Sign", "Test", "Hot", "Rail", "Pole", "Box", "Pair", "Bled cable", "Heat", "Lead",
])  # fmt: skip
def test_words_that_may_be_anything_are_no_ground_for_a_step(text: str, book: Rulebook) -> None:
    """Symptom: Dia was offered as digging, AIR as restoring pressure, Cut as leaving the manhole, Pole as entering;
    cones that were taken away as set, a desk that was told of the end as told of the beginning, any sheath as lead."""
    assert guess_steps(text, RulebookLexicon(book)) == ("", "")


@pytest.mark.parametrize(("text", "step"), [
    ("Shrunk ok", "shrink-sleeve"), ("scufed lead", "scuff-lead"), ("vnetilate", "ventilate"),
    ("cleaned lead sheath", "clean-lead"), ("temp bond placed", "place-temporary-bond"), ("soap tested", "soap-test"),
    ("Cones away", "remove-guards"), ("Rail formed", "form-channel"),
    ("Cleaned outer sheath", "clean-sheath"), ("gas chk", "test-atmosphere"),
])  # fmt: skip
def test_its_words_tell_the_step(text: str, step: str, book: Rulebook) -> None:
    assert guess_steps(text, RulebookLexicon(book))[0] == step
