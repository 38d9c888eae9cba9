"""What a search for a correction found: the corrected text, the edits, what is left, and how sure that is."""

from __future__ import annotations

import msgspec

from ringcut.correct.telling import Told
from ringcut.fit.bindingwords import Conflict
from ringcut.judge.findings import NONCONFORMING, Finding, Report


class Correction(msgspec.Struct, frozen=True, rename="kebab"):
    """What was found. ``text`` is the corrected file, the same as before where nothing was to be done or found."""

    verdict: str
    """Of the corrected text, judged again."""
    text: str
    edits: tuple[Told, ...] = ()
    smallest: bool = True
    """Proved that fewer edits will not do; False where something is left."""
    at_least: int = 0
    """So many edits of steps are known to be needed."""
    changed_readings: int = 0
    """Edits that change a reading: they are the fewest for the steps as they stand then."""
    why: str = ""
    """Where there is no correction, or only one in part: why."""
    conflicts: tuple[Conflict, ...] = ()
    """Limits that no values keep together."""
    against: tuple[Finding, ...] = ()
    """Choices that cannot be made together, as ``check`` tells them, of which no correction was found."""
    asks: tuple[str, ...] = ()
    """What only people can say: facts that are not known, readings that are not there."""
    report: Report | None = None
    in_place: bool = True
    """Whether the edits could be made in the text."""
    before: str = ""
    """The file as it was."""

    @property
    def found(self) -> bool:
        """Whether there is something to offer."""
        return bool(self.edits)

    @property
    def in_part(self) -> bool:
        """Whether the plan does not conform after the edits either."""
        return self.found and self.verdict == NONCONFORMING

    @property
    def left(self) -> tuple[Finding, ...]:
        """What is still wrong, each cause once."""
        found = self.report.findings if self.report is not None else ()
        return tuple(each for each in found if each.verdict == NONCONFORMING and not each.told_under)
