"""The words of questions to a crew: of cells that were not taken, of what may be answered, and of several at once."""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.archive.asksides import which_end
from ringcut.archive.columns import fold
from ringcut.archive.ledger import NotTaken, ranges
from ringcut.language import ir

_NO_STEP = "no step is called that"
ORDER = "Answer in this order, with ; between."


def choices_of(word: ir.Word | None) -> str:
    """What may be answered, behind the name of a reading or a fact; nothing where that is a measure."""
    if word is not None and word.kind == "yes-no":
        return ": yes or no"
    if word is not None and word.kind == "count":
        return ": how many, 0 for none"
    return f": {', '.join(word.choices)}" if word is not None and word.choices else ""


def of_cells(cells: Sequence[NotTaken], sides: Sequence[str]) -> str:
    """The question of cells that are asked for together."""
    said = [_of_cell(each, sides) for each in cells]
    if len(cells) > 1 and len({(each.place.letter, fold(each.text)) for each in cells}) == 1:
        rows = ranges([each.place.line for each in cells])
        return f"{said[0]}{'' if said[0].endswith('?') else '.'} (rows {rows}; one answer counts for all)"
    if len(said) == 1:
        return said[0] if said[0].endswith("?") else f"{said[0]}. What should stand here?"
    told = ". ".join(f"{each.place.letter}: {text}" for each, text in zip(cells, said, strict=True))
    return f"{told}{'' if told.endswith('?') else '.'} What should stand here? {ORDER}"


def _of_cell(refused: NotTaken, sides: Sequence[str]) -> str:
    """In words for the crew, which has never seen a column file."""
    if refused.kind == "side":
        return which_end(refused, sides)
    if refused.kind == "mark":
        return f'What does "{refused.text}" mean: done, not done, not applicable or not recorded?'
    if refused.says.startswith(_NO_STEP):
        near = refused.likelier.rstrip("?")
        return f"{_NO_STEP}. {f'{near}, or what' if near else 'What'} was done?"
    # where the likelier text stands in the reason already, to ask it again would say nothing new
    likelier = "" if refused.likelier.rstrip("?") in refused.says else refused.likelier
    return ". ".join(part.rstrip(".") for part in (refused.says, likelier) if part)


def listed(words: Sequence[str]) -> str:
    """Several things, numbered, and how to answer them; one alone as it is."""
    if len(words) == 1:
        return f"{words[0]}?"
    return "; ".join(f"({number}) {each}" for number, each in enumerate(words, start=1)) + f"? {ORDER}"
