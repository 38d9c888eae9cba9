"""Rows that say everything was done, and name no step: "all steps per practice" proves none, and is asked about."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ringcut.archive.cells import Cell
from ringcut.forms.pattern import proves_nothing

_CLAIM = re.compile(
    r"\b(?:all|every) (?:the )?(?:\w+ )?(?:steps?|work|tasks?|items?|points?)\b"
    r"|\beverything\b"
    r"|\b(?:per|to) (?:the )?(?:\w+ )?(?:practice|procedure|method|spec\w*|standards?)\b",
    re.IGNORECASE,
)
"""Words of such a row; common practice, no source. A note beside a step is looked at more narrowly."""

CLAIMED = "Which step was done, and what was read? These words name no step and prove none."


def claims_all(text: str) -> bool:
    """Whether the words of a row without a step say that the work was done, without saying what."""
    said = " ".join(text.split())
    return proves_nothing(said) or bool(_CLAIM.search(said))


def claim_of(cells: Iterable[Cell]) -> Cell | None:
    """The first cell of a row without a step that claims all of them."""
    return next((cell for cell in cells if cell and claims_all(cell.text)), None)
