"""Findings put to the row and cell of the sheet they speak of, with the cell's own text as evidence.

A judge knows steps; a crew knows rows. What was not done is told where the row says so, a missing reading in the row
of its step, and every place that has a column letter is quoted.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import msgspec

from ringcut.archive.ledger import Noted, NotTaken
from ringcut.archive.logs import ReadLog
from ringcut.archive.remarked import may_tell
from ringcut.archive.spreadsheets import Known
from ringcut.forms.pattern import claimed
from ringcut.judge.causes import BACKWARDS
from ringcut.judge.findings import UNDETERMINED, Finding
from ringcut.language import ir
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawReading, RawStep
from ringcut.relations.procedure import NotDone, Occurrence, Procedure

Cells = dict[str, str]
"""``row:letter``: the text of the cell."""

_MISSING = re.compile(r"reading (?P<step>\S+)\.(?P<name>\S+) #(?P<at>\d+)(?: (?P<side>\S+))? missing")

_REFUSED = re.compile(r'not taken: (?P<where>\S+) "')
_SWAPPED = re.compile(r"#(?P<one>\d+) before #(?P<other>\d+)")


class MissingReading(msgspec.Struct, frozen=True):
    """What a cause says of a reading that is not there; ``at`` is the number of the entry."""

    step: str
    name: str
    side: str
    at: int


def missing_reading(cause: str) -> MissingReading | None:
    """The reading that the cause of a finding misses, if it is that."""
    found = _MISSING.fullmatch(cause)
    return MissingReading(found["step"], found["name"], found["side"] or "", int(found["at"])) if found else None


def missing_step(cause: str) -> str:
    """The step that the cause of a finding misses, if it is that."""
    return cause[3:] if cause.startswith("no ") and ":" not in cause else ""


def unknown_fact(cause: str) -> str:
    """The job fact that the cause of a finding misses, if it is that."""
    return cause[5:-8] if cause.startswith("fact ") and cause.endswith(" unknown") else ""


def waits_for(finding: Finding, row: int, step: str, reading: str) -> bool:
    """Whether a finding at a row waits for a reading of it, or for the step that it would have shown to be done."""
    missing = missing_reading(finding.cause)
    if missing is not None:
        return finding.line == row and (missing.step, missing.name) == (step, reading)
    return missing_step(finding.cause) == step


def lacks_time(cause: str, label: str) -> bool:
    """Whether the cause of a finding is that nobody knows when an entry was done."""
    return cause == f"no time: {label}"


def rests_on_times(cause: str) -> bool:
    """Whether a cause says that times run against the list."""
    return cause == BACKWARDS


def refused_in(finding: Finding) -> tuple[str, ...]:
    """The cells (``row:letter``) that were not taken and for which a finding waits."""
    return tuple(found["where"] for each in finding.evidence if (found := _REFUSED.match(each)))


def swapped_entries(cause: str, procedure: Procedure) -> tuple[int, ...]:
    """The rows of the two entries that a cause says come in the wrong order, if it is that."""
    found = _SWAPPED.fullmatch(cause)
    if found is None or len(procedure.closures) > 1:
        return ()
    numbers = [int(found["one"]), int(found["other"])]
    return tuple(procedure.occurrences[each].place.line for each in numbers if each < len(procedure.occurrences))


def cells_of(log: ReadLog) -> Cells:
    """The text of every cell a log was made of."""
    found: Cells = {}
    for step in log.raw.steps:
        if isinstance(step, RawStep):
            for phrase in _phrases(step):
                _keep(found, phrase)
    for fact in log.raw.job:
        for phrase in _values(fact):
            _keep(found, phrase)
    return found | log.texts


def _keep(found: Cells, phrase: Phrase | None) -> None:
    if phrase is not None and phrase.place.letter:
        found.setdefault(f"{phrase.place.line}:{phrase.place.letter}", phrase.text)


def _phrases(step: RawStep) -> list[Phrase | None]:
    own = [step.do, step.at, step.started, step.closure, step.status, step.reason, step.note]
    return [*own, *step.by, *step.side, *step.evidence, *(each for one in step.readings for each in _values(one))]


def _values(given: RawReading) -> list[Phrase | None]:
    return [given.value, *(value for _, value in given.sides), *given.items]


class Refused(msgspec.Struct, frozen=True):
    """A cell that was not taken, and the readings (``step.reading``) it may have held."""

    row: int
    says: str
    readings: tuple[str, ...] = ()
    side: str = ""

    def held(self, missing: MissingReading, row: int) -> bool:
        """Whether it held a reading of a row that is now missing."""
        known = any(names(each, missing.step, missing.name) for each in self.readings)
        return row == self.row and known and self.side in ("", missing.side)


def names(held: str, step: str, reading: str) -> bool:
    """Whether what a cell holds, ``step.reading``, ``step.first..second`` or ``step.*``, names the reading."""
    own, _, readings = held.partition(".")
    return own == step and (readings == "*" or reading in readings.split(".."))


def refused_cells(
    not_taken: Iterable[NotTaken], columns: Iterable[Known], noted: Iterable[Noted] = ()
) -> list[Refused]:
    """The cells that were not taken, each with what its column holds, and the remarks in which a reading is none."""
    by_letter = {each.letter: each for each in columns}
    found = []
    for each in not_taken:
        known = by_letter.get(each.place.letter)
        readings, side = (known.readings, known.side) if known else ((), "")
        readings = (each.reading,) if each.reading else readings
        found.append(Refused(each.place.line, f'not taken: {each.where} "{each.text}"', readings, side))
    for note in noted:
        if note.reading:
            word = note.reading.partition(".")[2].replace("-", " ")
            said = "remark not understood" if word == "*" else f"no {word}"
            found.append(Refused(note.place.line, f'{said}: {note.where} "{note.text}"', (note.reading,)))
    return found


def mark_unread(procedure: Procedure, refused: Sequence[Refused], book: ir.Rulebook) -> None:
    """Tell the entries of a sheet what of their readings is written and was not taken, and what their remark may tell,
    which nobody has read."""
    for each in (each for each in procedure.occurrences if each.place.letter):
        held = [one for one in refused if one.row == each.place.line]
        names = {(name, one.side) for one in held for known in one.readings for name in _names_in(known, each.step)}
        names |= {(name, "") for name in book.steps[each.step].readings if may_tell(each.note, each.step, name, book)}
        each.unread = frozenset(names)


def _names_in(held: str, step: str) -> tuple[str, ...]:
    own, _, readings = held.partition(".")
    return tuple(readings.split("..")) if own == step else ()


def placed(finding: Finding, procedure: Procedure, cells: Cells, refused: Sequence[Refused]) -> Finding:
    """The finding at the row it speaks of, quoting its cells; a reading that a refused cell held is unreadable."""
    changes: dict[str, object] = {}
    evidence = list(finding.evidence)
    missing = missing_reading(finding.cause)
    claim = _claim(finding, procedure)
    if claim is not None:
        changes |= {"line": claim.place.line, "column": claim.place.column, "letter": claim.place.letter}
        evidence.append(f"line {claim.place.line} says {claim.step} {claim.status.replace('-', ' ')}: {claim.reason}")
    elif missing is not None and finding.verdict == UNDETERMINED and (place := _entry(missing, procedure)):
        changes |= {"line": place.line, "column": place.column, "letter": place.letter}
        lost = [each for each in refused if each.held(missing, place.line)]
        if lost:
            changes["why_undetermined"] = "unreadable"
            evidence += [each.says for each in lost]
    said = next((place for text, place in procedure.claims if finding.found == claimed(text, place)), None)
    if said is not None:
        changes |= {"line": said.line, "column": said.column, "letter": said.letter}
    line, letter = changes.get("line", finding.line), changes.get("letter", finding.letter)
    if letter and f"{line}:{letter}" in cells:
        evidence.append(f'{line}:{letter} "{cells[f"{line}:{letter}"]}"')
    changes["evidence"] = tuple(dict.fromkeys(evidence))
    changed: Finding = msgspec.structs.replace(finding, **changes)
    return changed


def _entry(missing: MissingReading, procedure: Procedure) -> Place | None:
    """The place of the entry that lacks it; where an order has several closures, numbers count within each."""
    if len(procedure.closures) > 1 or missing.at >= len(procedure.occurrences):
        return None
    return procedure.occurrences[missing.at].place


def entry_of(missing: MissingReading, closure: str, procedure: Procedure, book: ir.Rulebook) -> Occurrence | None:
    """The entry of a closure that lacks a reading."""
    own = procedure.occurrences
    if len(procedure.closures) > 1:
        own = [each for each in own if each.closure in ("", closure) or book.steps[each.step].site]
    return own[missing.at] if missing.at < len(own) and own[missing.at].step == missing.step else None


def _claim(finding: Finding, procedure: Procedure) -> NotDone | None:
    """The row that says that the step was not done, or does not apply, where the finding has no row of its own."""
    step = missing_step(finding.cause)
    for each in procedure.not_done:
        own = each.step == step or each.step in finding.found and each.status == "not-applicable"
        if own and finding.side in ("", *each.sides) and finding.closure in ("", each.closure):
            return each
    return None
