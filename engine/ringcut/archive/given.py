"""A log beside what its sheet says of its rows: its cells, what was not taken of them, what was noted."""

from __future__ import annotations

import msgspec

from ringcut.archive.ledger import Noted, NotTaken
from ringcut.archive.logs import ReadLog
from ringcut.archive.spreadsheets import Known


class Given(msgspec.Struct, frozen=True):
    """A log as it was given. Apart from ``log`` everything is empty where it is no spreadsheet's."""

    log: ReadLog
    cells: dict[str, str]
    """``row:letter``: the text of the cell."""
    not_taken: tuple[NotTaken, ...] = ()
    noted: tuple[Noted, ...] = ()
    columns: tuple[Known, ...] = ()

    @property
    def sheet(self) -> str:
        """The sheet of a workbook with several; the file's name has it behind a number sign."""
        return self.log.raw.place.file.partition("#")[2]

    @property
    def file(self) -> str:
        """The file."""
        return self.log.raw.place.file.partition("#")[0]

    def letter(self, step: str, reading: str, side: str) -> str:
        """The letter of the column that may hold a reading."""
        name = f"{step}.{reading}"
        found = [each for each in self.columns if name in each.readings and each.side in ("", side)]
        return found[0].letter if found else ""
