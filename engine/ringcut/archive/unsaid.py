"""What a column file leaves out although the sheet needs it, told as an assumption: how records are kept, and what the
times and the order of columns mean."""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.archive.columns import ColumnFile
from ringcut.archive.ledger import Ledger
from ringcut.archive.sheets import Sheet


def tell_unsaid(sheet: Sheet, spec: ColumnFile, ledger: Ledger) -> None:
    """Tell what is taken where the column file says nothing; am and pm are told with the times, dates with theirs."""
    for key, taken in _unsaid(sheet, spec):
        ledger.assume("not-said", sheet.heading_line, f"{key} is not said: {taken}", key)


def _unsaid(sheet: Sheet, spec: ColumnFile) -> Iterator[tuple[str, str]]:
    roles = {heading.spec.role for heading in sheet.headings}
    if not spec.records:
        yield "records", "taken as milestones, so that what is missing counts as not recorded"
    timed = "time" in roles or "step" in roles and _times_in_ticks(sheet)
    if not spec.time_means and timed and "started" not in roles:
        yield "time-means", "a time is taken as when the step was finished"
    if spec.sorted is None and spec.shape == "ticks":
        yield "sorted", "the columns are taken as in the order of the work"


def _times_in_ticks(sheet: Sheet) -> bool:
    columns = [heading.column for heading in sheet.headings if heading.spec.role == "step"]
    cells = (line.cells[column] for line in sheet.lines for column in columns)
    return any(cell.moment is not None or any(map(str.isdigit, cell.text)) for cell in cells)
