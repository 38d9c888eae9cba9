"""Small sheets with their column files, audited on the base practice, and asked again with answers."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path

from ringcut.archive.answering import questions_file
from ringcut.archive.results import Item
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.rulebookfiles import builtin_rulebook

COLUMNS = """
contractor: Kestrel
columns: {WO: reference, Date: date, Time: time, By: by, Task: task, Remarks: note}
dates: year-first
clock: "24"
time-means: finished
records: milestones
job: {work: sheath-repair, sheath: polyethylene, construction: single, pressurized: no, location: building}
"""


class Small:
    """A folder with one sheet ``s.csv`` and its column file ``c.yaml``."""

    def __init__(self, folder: Path, cache: Path) -> None:
        self.folder, self.cache = folder, cache
        self.columns = COLUMNS

    def audited(self, rows: str, answers: Path | None = None) -> list[Item]:
        """The logs of some rows, under the heading of the column file."""
        (self.folder / "s.csv").write_text("WO,Date,Time,By,Task,Remarks\n" + rows.strip() + "\n")
        (self.folder / "c.yaml").write_text(self.columns)
        settings = Settings(
            builtin_rulebook(), "2026-06-01", columns=(self.folder / "c.yaml",), answers=answers, cache=self.cache
        )
        return list(Bench(settings).done(Piece(self.folder / "s.csv", "s.csv")).items)

    def answered(self, items: list[Item], answers: Mapping[str, str]) -> Path:
        """The file of questions with answers, each by words of its question."""
        asks = [ask for item in items for ask in item.asks]
        rows = list(csv.DictReader(io.StringIO(questions_file(asks).decode("utf-8-sig"))))
        for words, answer in answers.items():
            (row,) = [each for each in rows if words in each["question"]]
            row["answer"] = answer
        file = self.folder / "answers.csv"
        with file.open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, rows[0].keys())
            writer.writeheader()
            writer.writerows(rows)
        return file


def verdicts(items: list[Item]) -> dict[str, str]:
    """The verdict of each rule in the only log."""
    (report,) = [item.report for item in items if item.report]
    return {each.rule: each.verdict for each in report.rules}
