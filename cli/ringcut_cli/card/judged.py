"""The plan of a card, judged: the rulebook of the day, the user's own stock list, concessions."""

from __future__ import annotations

from pathlib import Path

import msgspec

from ringcut.checking import read
from ringcut.draft.metric import in_units_of
from ringcut.fit import leftopen
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook
from ringcut_cli.rulebooks import rulebook


def judged(
    data: bytes, file: str, folder: Path | None, day: str, stock: Path | None, concessions: Path | None
) -> tuple[Rulebook, Report, list[str]]:
    """The rulebook in the unit of the job, the report, and what is said of concessions that were not used.

    Raises Unreadable.
    """
    book = rulebook(folder, day)
    if stock is not None:
        from ringcut.draft.stock import read_stock, with_stock

        book = with_stock(book, read_stock(stock.read_bytes(), str(stock)))
    procedure = read(data, file, book)
    report = leftopen.judged(procedure, book, file, day)
    if (metric := in_units_of(procedure.job_texts, book)) is not book:
        book, told = metric, leftopen.judged(procedure, metric, file, day)
        report = (
            msgspec.structs.replace(report, to_measure=told.to_measure) if told.verdict == report.verdict else report
        )
    if concessions is None:
        return book, report, []
    from ringcut.judge.concessions import conceded, read_concessions

    given = read_concessions(concessions.read_bytes(), str(concessions), book)
    report, used = conceded(report, given, day)
    left = [each for number, each in enumerate(given.usable) if number not in used]
    here = [f"{each.place}: the concession on {each.rule} for {each.job} was not used." for each in left
        if each.job.text == report.reference]  # fmt: skip
    return book, report, [*given.aloud, *here]
