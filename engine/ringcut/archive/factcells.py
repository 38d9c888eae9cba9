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
from ringcut.archive.likelier import inside
from ringcut.archive.templates import fill, match
from ringcut.archive.values import Context, take_value, unit_of
from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, Refusal, read_measure, read_yes_no, show
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.reading.suggest import canonical, near


def read_fact(cell: Cell, heading: Heading, spec: ColumnFile, lexicon: Lexicon, ledger: Ledger) -> Phrase | None:
    """What a cell says of the fact of its heading, as a procedure would write it; None where that is not known,
    which is told."""
    column = heading.spec
    found = ((means, match(said, cell.text)) for said, means in column.words.items())
    said = next((fill(means, texts) for means, texts in found if texts is not None), "")
    known = lexicon.fact(column.fact)
    itself = known is not None and known.choices and fact_problem(Phrase(cell.text.strip()), known) is None
    if column.words and not said and not itself:
        says = f"the column file does not say which {column.fact} this is"
        ledger.refuse("fact", cell, says, reading=canonical(column.fact))
        return None
    word = lexicon.fact(column.fact)
    if word is None or word.kind not in (*KINDS, "choice", "yes-no"):
        return cell.phrase(ledger.file, said or None)
    unit = unit_of(column, heading.unit, spec.units, column.fact)
    context = Context(column, heading.text, unit, spec.dates, reading=word.name)
    taken = take_value(cell, word, context, ledger, said)
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


def fact_problem(said: Phrase, word: ir.Word) -> Problem | None:
    """What is wrong with the value of a fact that a jobs file or a column file gives, at its place."""
    name = canonical(said.text)
    if word.kind == "yes-no":
        return (
            None
            if read_yes_no(said.text) is not None
            else Problem(said.place, f"{word.name}: {said.text}", "yes or no")
        )
    if word.kind in ("choice", "list") and word.choices:
        if name in {canonical(choice) for choice in word.choices} or name in word.reads_as:
            return None
        close = near(name, word.choices, word.reads_as)
        hint = f"did you mean {close}?" if close else ""
        return Problem(said.place, f"{word.name}: {said.text}", f"one of {', '.join(word.choices)}", hint)
    found = read_measure(said.text, word.kind) if word.kind in KINDS else None
    if isinstance(found, Refusal):
        return Problem(said.place, f"{word.name}: {found.found}", found.expected, found.hint)
    if found is not None and word.possible and not inside(found, word.possible):
        least, most = (show(each, word.kind, word.unit) for each in word.possible)
        return Problem(said.place, f"{word.name}: {said.text} cannot be", f"{least} to {most}")
    return None
