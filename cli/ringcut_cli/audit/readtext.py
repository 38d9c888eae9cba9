"""What was read of a file and what not: it comes first, because everything else rests on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ringcut.archive.ledger import Noted, NotTaken, ranges
from ringcut.archive.results import FileRead, UnreadLog
from ringcut.archive.spreadsheets import TableRead
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.problemtext import sentence

_NAMES = 4
"""Names of files with nothing to say of them that one line has."""


def file_page(page: Page, read: FileRead, close: bool = False, several: bool = False) -> None:
    """A file: what it is, and how much was read, assumed and not taken; ``close``: right under the one before;
    ``several``: with the column file of each table, where one of several was taken."""
    if not close:
        page.gap()
    if not read.tables:
        kind = "one log" if read.kind == "procedure" else f"JSON Lines, {count(read.logs, 'log')}"
        page.parts([(read.file, "bold"), (f"   {kind}", "")])
        return
    for table in read.tables:
        _table(page, read, table, several)
    unread = dict.fromkeys(
        f'{note.where} "{note.text}"'.strip() for note in read.noted if note.kind in ("column", "sheet")
    )
    said = [count(len(read.assumptions), "assumption") + ", none silent" if read.assumptions else "nothing assumed",
            f"not taken: {_cells(read.not_taken)}" if read.not_taken else "every cell taken"]  # fmt: skip
    said += [f"not read: {', '.join(unread)}"] if unread else []
    said += [count(len(read.problems), "bad place") + " in the text"] if read.problems else []
    page.text(f"{'; '.join(said)}.", 2)


_ALIKE = 6
"""Texts that were read alike, as times of one form, of which each is told."""


def read_page(page: Page, read: FileRead, named: bool = False) -> None:
    """Every assumption of a file, every cell that was not taken; ``named``: under its name, where there are several."""
    told = read.problems or read.assumptions or read.not_taken or any(note.of_the_file for note in read.noted)
    if named and told:
        page.heading(read.file)
    for problem in read.problems:
        page.text(f"{problem.line}: {problem.found}", 2)
    if read.assumptions:
        page.heading("READ AS", f"({count(len(read.assumptions), 'assumption')}, none silent)")
        for each in read.assumptions:
            page.row((_of_sheet(each.subject, each.file), f"{_first(each.says)}   [{_rows(each.rows)}]"), (20,), 2)
    if read.not_taken:
        page.heading("NOT TAKEN", f"({_cells(read.not_taken)})")
        for where, text, says in refused_alike(read):
            page.row((where, f'"{text}"', says), (6, 14), 2)
    if noted := noted_alike(read):
        page.heading("NOTED", "(no rule looks at what was not read)")
        for where, text, says in noted:
            page.row((where, f'"{text}"', says), (6, 14), 2)


def _first(says: str) -> str:
    """The first of what was read alike, where that would fill a screen."""
    told = says.split("), ")
    if len(told) <= _ALIKE:
        return says
    return f"{'), '.join(told[:_ALIKE])}), and {len(told) - _ALIKE} more; --format json has all"


def refused_alike(read: FileRead) -> list[tuple[str, str, str]]:
    """As ``noted_alike`` of the cells of one column that were not taken, since a blank column fills the screen."""
    alike: dict[tuple[str, str, str, str, str], list[NotTaken]] = {}
    for each in read.not_taken:
        alike.setdefault((each.place.file, each.place.letter, each.text, each.says, each.likelier), []).append(each)
    told = []
    for (file, _, text, says, likelier), cells in alike.items():
        said = f"{says.rstrip('.')}. {likelier}".strip() if likelier else says
        rows = f"   [rows {ranges([each.place.line for each in cells])}]" if len(cells) > 1 else ""
        told.append((_of_sheet(cells[0].where, file), text, said + rows))
    return told


def noted_alike(read: FileRead) -> list[tuple[str, str, str]]:
    """What is noted of a file: the first cell, its text and what is said, with the rows where it is so of several."""
    alike: dict[tuple[str, str, str], list[Noted]] = {}
    for note in read.noted:
        if note.of_the_file:
            alike.setdefault((note.place.file, note.text, note.says), []).append(note)
    return [
        (
            _of_sheet(notes[0].where, file),
            text,
            says + (f"   [{_rows(tuple(note.place.line for note in notes))}]" if len(notes) > 1 else ""),
        )
        for (file, text, says), notes in alike.items()
    ]


def _of_sheet(said: str, file: str) -> str:
    """With the sheet in front, where a workbook has several."""
    sheet = file.partition("#")[2]
    return f"{sheet} {said}".strip()


def by_file(table: TableRead) -> str:
    """The column file of a table, where there were several."""
    return f"by {table.column_file}" if table.column_file else "no column file fits"


def _table(page: Page, read: FileRead, table: TableRead, several: bool) -> None:
    how = [
        by_file(table) if several else "",
        table.encoding,
        table.separator,
        f"heading in line {table.heading_line}",
        f"{count(table.below, 'line')} below it",
    ]
    name = f"{read.file} {table.sheet}".strip()
    page.parts([(name, "bold"), (f"   {', '.join(part for part in how if part)}", "")], 0, 2)
    left = ", ".join(f"{each.line} ({each.because})" for each in table.left_out[:12])
    more = f" and {len(table.left_out) - 12} more" if len(table.left_out) > 12 else ""
    told = f"{count(table.step_rows, 'step row')} in {count(read.logs, 'log')}"
    page.text(told + (f"; left out: {left}{more}" if left else ""), 2)


def _rows(rows: tuple[int, ...]) -> str:
    return f"{len(rows)} rows" if len(rows) > 4 else f"row {ranges(rows)}" if len(rows) == 1 else f"rows {ranges(rows)}"


def _cells(refused: tuple[NotTaken, ...]) -> str:
    ends = sum(each.kind == "row-end" for each in refused)
    said = [count(len(refused) - ends, "cell")] if len(refused) > ends else []
    return ", ".join([*said, *([f"{count(ends, 'row')}' end" if ends > 1 else "1 row's end"] if ends else [])])


def unread_line(found: UnreadLog) -> Iterator[str]:
    """What could not be read, one text a problem."""
    for each in found.problems:
        place = f"{each.file or found.file}:{each.line}" if each.line else each.file or found.file
        place += f":{each.letter or each.column}" if each.letter or each.column else ""
        first, more = each.found.rstrip("."), " ".join(sentence(part) for part in (each.expected, each.hint) if part)
        said = f"{first}. {more}" if more else first
        yield "  ".join(part for part in (place, found.reference, said) if part)


def quiet_page(page: Page, files: Sequence[FileRead]) -> None:
    """Files with one log each and nothing to say of them: one line."""
    names = [read.file for read in files]
    named = ", ".join(names) if len(names) <= _NAMES else f"{names[0]} to {names[-1]}"
    page.gap()
    page.parts([(count(len(names), "file"), "bold"), (f"   one log each: {named}", "")], 0, 2)


def count(number: int, word: str, several: str = "") -> str:
    """A number with its word, as ``3 logs``; ``several``: the words for other numbers, where an s is not enough."""
    return f"{number:,} {word if number == 1 else several or word + 's'}"


_SAID = {
    "nonconforming": ("{} does not conform", "{} do not conform"),
    "undetermined": ("of {} we cannot say", "of {} we cannot say"),
    "under concession": ("{} is under concession", "{} are under concession"),
    "conforms": ("{} conforms", "{} conform"),
    "not applicable": ("to {} no rule applies", "to {} no rule applies"),
}


def verdicts_said(verdicts: Mapping[str, int]) -> str:
    """Verdicts of many logs in words, the gravest first: ``3 do not conform, of 1 we cannot say, 26 conform``."""
    told = [(verdicts[name], said) for name, said in _SAID.items() if verdicts.get(name)]
    return ", ".join((one if number == 1 else several).format(f"{number:,}") for number, (one, several) in told)
