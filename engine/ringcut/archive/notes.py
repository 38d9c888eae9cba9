"""What is worth knowing of a log and is no verdict: claims that are agreed to, and numbers that may mean two things."""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.archive.given import Given
from ringcut.archive.quoting import missing_step
from ringcut.archive.results import Note
from ringcut.judge.findings import Report
from ringcut.reading.raw import RawStep
from ringcut.relations.procedure import Procedure

_TOLD_ELSEWHERE = ("kept-as-note", "reference")


def notes_of(given: Given, procedure: Procedure, report: Report) -> tuple[Note, ...]:
    """Notes by row."""
    found = [
        Note(each.place.line, each.place.letter, each.text, each.says)
        for each in given.noted
        if each.kind not in _TOLD_ELSEWHERE
    ]
    found += [*_agreed(given, procedure, report), *_clock_angles(given), *before_the_work(given, procedure)]
    return tuple(sorted(found, key=lambda note: (note.line, note.letter, note.says)))


def _agreed(given: Given, procedure: Procedure, report: Report) -> Iterator[Note]:
    """Steps said not to apply, where no rule misses them."""
    missed = {missing_step(finding.cause) for finding in report.findings}
    missed |= {step for finding in report.findings for step in finding.steps}
    for each in procedure.not_done:
        if each.status == "not-applicable" and each.step not in missed:
            text = given.cells.get(f"{each.place.line}:{each.place.letter}", "")
            says = f"{each.step.replace('-', ' ')} not applicable: agreed, no rule asks for it on this job"
            yield Note(each.place.line, each.place.letter, text, says)


def _clock_angles(given: Given) -> Iterator[Note]:
    """Clock positions mean nothing without the end they are seen from; on one job they agree at least in that."""
    for step in given.log.raw.steps:
        if not isinstance(step, RawStep):
            continue
        for reading in step.readings:
            value = reading.value
            if value is not None and value.text.endswith("o'clock") and reading.name.text == "bar-angle":
                place = value.place
                text = given.cells.get(f"{place.line}:{place.letter}", value.text)
                yield Note(place.line, place.letter, text, f"bar at {value}: seen from which end is not written")


def before_the_work(given: Given, procedure: Procedure) -> Iterator[Note]:
    """An entry listed last by somebody else, and timed before all the work: the office, with a slip in the date?"""
    timed = [each for each in procedure.occurrences if each.finish is not None and not each.implied and each.by]
    if len(timed) < 3:
        return
    last = timed[-1]
    others = [each for each in timed if not set(each.by) & set(last.by)]
    begins = [each.finish for each in others if each.finish is not None]
    if len(others) > 1 and last.finish is not None and others[-1].index < last.index and last.finish < min(begins):
        letter = last.place.letter
        text = given.cells.get(f"{last.place.line}:{letter}", "")
        said = f"entered by {', '.join(last.by)}, timed before the work began: is the date a day too early?"
        yield Note(last.place.line, letter, text, said)
