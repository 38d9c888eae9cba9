"""Cells of job facts, in a column or beside a label above the heading: with the words and the unit of their heading.

A number without a unit, or a word that is none of the fact's, is told and not taken; so is a fact that the jobs file
says otherwise.
"""

from __future__ import annotations

from ringcut.archive.cells import Cell
from ringcut.archive.columns import ColumnFile
from ringcut.archive.headings import Heading
from ringcut.archive.ledger import Ledger
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.templates import fill, match
from ringcut.archive.values import Context, take_value, unit_of
from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, read_measure
from ringcut.reading.phrase import Phrase
from ringcut.reading.suggest import canonical


def read_fact(cell: Cell, heading: Heading, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger) -> Phrase | None:
    """What a cell says of the fact of its heading, as a procedure would write it; None where that is not known,
    which is told."""
    column = heading.spec
    found = ((means, match(said, cell.text)) for said, means in column.words.items())
    said = next((fill(means, texts) for means, texts in found if texts is not None), "")
    if column.words and not said:
        ledger.refuse("fact", cell, f"the column file does not say which {column.fact} this is")
        return None
    word = lexicon.fact(column.fact)
    if word is None or word.kind not in (*KINDS, "choice", "yes-no"):
        return cell.phrase(ledger.file, said or None)
    unit = unit_of(column, heading.unit, spec.units, column.fact)
    taken = take_value(cell, word, Context(column, heading.text, unit, spec.dates), ledger, said)
    return None if taken is None else cell.phrase(ledger.file, taken)


def same_fact(one: str, other: str, word: ir.Word | None) -> bool:
    """Two texts say the same: in the same words, or measures that are equal."""
    if canonical(one) == canonical(other):
        return True
    if word is None or word.kind not in KINDS:
        known = word.reads_as if word is not None else {}
        return bool(known) and known.get(canonical(one), canonical(one)) == known.get(
            canonical(other), canonical(other)
        )
    read = [read_measure(text, word.kind) for text in (one, other)]
    spans = [(each.low, each.high) for each in read if isinstance(each, Measure)]
    return len(spans) == 2 and spans[0] == spans[1]
