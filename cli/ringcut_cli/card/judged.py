"""The plan of a card, judged: the rulebook of the day, the user's own stock list, concessions."""

from __future__ import annotations

from pathlib import Path

from ringcut.checking import read
from ringcut.fit import leftopen
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook
from ringcut_cli.rulebooks import rulebook


def judged(
    data: bytes, file: str, folder: Path | None, day: str, stock: Path | None, concessions: Path | None
) -> tuple[Rulebook, Report, list[str]]:
    """The rulebook, the report, and what is said of concessions that were not used; raises Unreadable."""
    book = rulebook(folder, day)
    if stock is not None:
        from ringcut.draft.stock import read_stock, with_stock

        book = with_stock(book, read_stock(stock.read_bytes(), str(stock)))
    report = leftopen.judged(read(data, file, book), book, file, day)
    if concessions is None:
        return book, report, []
    from ringcut.judge.concessions import conceded, read_concessions

    given = read_concessions(concessions.read_bytes(), str(concessions), book)
    report, used = conceded(report, given, day)
    left = [each for number, each in enumerate(given.usable) if number not in used]
    here = [f"{each.place}: the concession on {each.rule} for {each.job} was not used." for each in left
        if each.job.text == report.reference]  # fmt: skip
    return book, report, [*given.aloud, *here]
