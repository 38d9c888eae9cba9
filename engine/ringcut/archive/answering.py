"""Answers of a crew, read back from the file of questions: a cell said again, a reading, a job fact.

An answer to a cell takes the cell's place before the sheet is read, so it is checked like any other cell. An answer to
a missing reading goes into the step of its row (:mod:`ringcut.archive.putting`). An answer that does not fit costs that
answer: it is told, and asked for again; an empty one, or "not known", changes nothing.

A question that asks for several things has them in order, with semicolons between: ``21; 27`` under row, ``bar-length;
sleeve-length`` under reading. What is equal for all stands once. Its answer has as many parts in the same order, or
each part begins with its number or the name of its reading.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

import msgspec

from ringcut.archive.jobs import key_of
from ringcut.archive.logs import Answered, ReadLog
from ringcut.archive.parts import alike_of, answered, between, taken_apart
from ringcut.archive.putting import Putting
from ringcut.archive.results import Ask, Wanted
from ringcut.archive.tables import read_table
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.raw import RawReading
from ringcut.reading.suggest import canonical
from ringcut.report.spreadsheet import defused, plain

HEADINGS = (
    "no", "file", "sheet", "work order", "row", "column", "their text", "question", "answer", "step", "reading", "side",
)  # fmt: skip
"""The columns of a file of questions. The crew writes into ``answer``; nothing else is to be changed."""


def questions_file(asks: Iterable[Ask]) -> bytes:
    """The file of questions, UTF-8 with a mark that spreadsheets know it by, one row a question."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for number, each in enumerate(asks, start=1):
        wants = each.wants
        row = (
            str(number), each.file, each.sheet, each.reference, between(str(one.row or "") for one in wants),
            between(one.column for one in wants), between(one.text for one in wants), each.question, each.answer,
            between(one.step for one in wants), between(one.reading for one in wants),
            between(one.side for one in wants),
        )  # fmt: skip
        writer.writerow([defused(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")


class Answer(msgspec.Struct, frozen=True):
    """One thing that was asked for, with its answer, and where the answer stands."""

    file: str
    sheet: str
    reference: str
    wanted: Wanted
    said: Phrase
    says: str = ""
    """Why it cannot be taken, whatever the log is; empty where it can."""


class Answers:
    """The answers of a file. ``kept``: its rows with an answer, so that the next file of questions has them too.

    ``problems``: the rows that could not be taken, each of which costs its own answer.
    """

    def __init__(
        self, answers: Iterable[Answer] = (), kept: Iterable[Ask] = (), problems: Iterable[Problem] = ()
    ) -> None:
        self.answers, self.kept, self.problems = tuple(answers), tuple(kept), tuple(problems)

    def cells(self, file: str) -> dict[tuple[str, int, int], str]:
        """(sheet, row, column) of the cells of a spreadsheet that were said again, with the new text."""
        return {
            (each.sheet, each.wanted.row, _column(each.wanted.column)): each.said.text
            for each in self.answers
            if each.file == file and each.wanted.column and not each.wanted.reading and not each.says
        }

    def given(self, log: ReadLog, book: ir.Rulebook, spoiled: Mapping[Place, str] = MappingProxyType({})) -> ReadLog:
        """The log with the readings and facts that were answered for it; ``spoiled``: the answers, by place, that are
        none, and why."""
        file, _, sheet = log.raw.place.file.partition("#")
        told = [
            msgspec.structs.replace(each, says=each.says or spoiled.get(each.said.place, ""))
            for each in self.answers
            if each.file == file and _is_of(each, log, sheet)
        ]
        if not told:
            return log
        mine = [each for each in told if each.wanted.reading and not each.says]
        facts = tuple(
            RawReading(Phrase(each.wanted.reading, each.said.place), each.said) for each in mine if not each.wanted.step
        )
        putting = Putting(log.raw.steps, book)
        unfit = {each.said: putting.put(each.wanted, each.said) for each in mine if each.wanted.step}
        raw = msgspec.structs.replace(log.raw, job=(*log.raw.job, *facts), steps=putting.steps)
        answered = []
        for each in told:
            one, says = each.wanted, each.says or unfit.get(each.said, "")
            answered.append(Answered(one.row, one.column, one.step, one.reading, one.side, each.said, says))
        changed: ReadLog = msgspec.structs.replace(log, raw=raw, answered=tuple(answered))
        return changed


def _is_of(answer: Answer, log: ReadLog, sheet: str) -> bool:
    """Whether an answer is of a log: by the row where it takes the place of a cell, else by the reference."""
    if not answer.wanted.reading and answer.wanted.column:
        return answer.wanted.row in log.lines and sheet in ("", answer.sheet)
    return key_of(answer.reference) == key_of(log.reference)


def _column(letters: str) -> int:
    number = 0
    for letter in letters.strip().upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def read_answers(source: Path | bytes, name: str) -> Answers:
    """Read a file of questions with answers. Raises Unreadable where it is none; a row that does not fit is told."""
    table = read_table(source, name)
    heading = next((row for row in table.rows if {"question", "answer"} <= {_word(c.text) for c in row.cells}), None)
    if heading is None:
        found = "no heading with question and answer"
        raise Unreadable([Problem(Place(name), found, "The file that --questions wrote", "Fill in its column answer")])
    columns = {_word(cell.text): cell.column for cell in heading.cells if cell}
    lost = [each for each in HEADINGS if _word(each) not in columns]
    if lost:
        raise Unreadable([Problem(Place(name, heading.line), f"columns are missing: {', '.join(lost)}")])
    problems: list[Problem] = []
    answers, kept = [], []
    for row in table.rows[heading.line :]:
        texts = {key: plain(row[column].text.strip()) for key, column in columns.items()}
        if row.blank or not texts["answer"]:
            continue
        wants = taken_apart(texts)
        if not wants or any(not each.row and not each.reading for each in wants):
            found = f"row {texts['row']!r} is no number, so this answer is not taken"
            problems.append(Problem(Place(name, row.line), found, "the row as it was asked"))
            continue
        place = row[columns["answer"]].place(name)
        said, why = answered(texts["answer"], wants, alike_of(wants)), ""
        if isinstance(said, str):
            why, said = said, (texts["answer"],) * len(wants)
            expected = "the answers in the order asked, with ; between"
            problems.append(Problem(place, f"{why}; this answer is not taken", expected))
        else:
            kept.append(_as_asked(texts, wants))
        # each part has a place of its own: what is wrong with one is not said of another
        apart = len(wants) > 1 and not why and not alike_of(wants)
        answers += [
            Answer(
                texts["file"], texts["sheet"], texts["work-order"], wanted,
                Phrase(text, msgspec.structs.replace(place, letter=f"{place.letter}({part})") if apart else place), why,
            )
            for part, (wanted, text) in enumerate(zip(wants, said, strict=True), start=1)
            if text
        ]  # fmt: skip
    return Answers(answers, kept, problems)


def _as_asked(texts: Mapping[str, str], wants: Sequence[Wanted]) -> Ask:
    """The question of a row with its answer."""
    first = wants[0]
    return Ask(
        texts["file"], texts["sheet"], texts["work-order"], first.row, first.column, first.text,
        texts["question"], first.step, first.reading, first.side, texts["answer"],
        tuple(wants[1:]),
    )  # fmt: skip


def _word(text: str) -> str:
    return canonical(text)
