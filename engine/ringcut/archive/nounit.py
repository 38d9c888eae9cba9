"""Columns of bare numbers whose unit nobody has said: that is for the author of the column file, once a column, and no
question to each crew."""

from __future__ import annotations

import msgspec

from ringcut.archive.cells import Cell, letter
from ringcut.archive.headings import Heading
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.readingcells import target_of
from ringcut.archive.sheets import Sheet
from ringcut.archive.values import is_nothing


def tell_units(sheet: Sheet, lexicon: Lexicon, ledger: Ledger, own_form: bool) -> None:
    """Tell every column in which no number has a unit; where some have one, the others are for the crew to say."""
    for heading in sheet.headings:
        if heading.spec.role not in ("reading", "fact"):
            continue
        bare = [
            number for number, each in enumerate(ledger.not_taken)
            if each.kind == "no-unit" and (each.place.file, each.place.letter) == (ledger.file, letter(heading.column))
        ]  # fmt: skip
        unit = _unit(heading, lexicon)
        if bare and len(bare) == _numbers(sheet, heading):
            for number in bare:
                ledger.not_taken[number] = msgspec.structs.replace(ledger.not_taken[number], kind="column-unit")
            where = "the heading" if own_form else "the column file"
            how = f"{heading.text} ({unit})" if own_form else f"unit: {unit}"
            many = "1 number" if len(bare) == 1 else f"{len(bare)} numbers"
            says = f"{many} and no unit: not taken. Say it in {where}, as {how}"
            ledger.note("column", Cell(heading.text, sheet.heading_line, heading.column), says)


def _unit(heading: Heading, lexicon: Lexicon) -> str:
    """The unit in which the vocabulary shows what stands there."""
    step, names = target_of(heading.spec.reading[0]) if heading.spec.reading else ("", ())
    word = lexicon.word(step, names[0]) if names else lexicon.fact(heading.spec.fact)
    return word.unit if word is not None and word.unit else "in"


def _numbers(sheet: Sheet, heading: Heading) -> int:
    cells = (line.cells[heading.column] for line in sheet.lines if heading.column not in line.filled)
    return sum(not is_nothing(cell) and any(map(str.isdigit, cell.text)) for cell in cells)
