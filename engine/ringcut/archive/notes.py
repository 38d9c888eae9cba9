"""What is worth knowing of a log and is no verdict: claims that are agreed to, and numbers that may mean two things."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from ringcut.archive.given import Given
from ringcut.archive.quoting import missing_reading, missing_step
from ringcut.archive.results import Measured, Note
from ringcut.judge.findings import Report
from ringcut.reading.raw import RawStep
from ringcut.relations.procedure import Procedure
from ringcut.relations.times import DAY

_MOST_DAYS_OFF = 3
"""A date further off is no slip of the pen."""
_TOLD_ELSEWHERE = ("kept-as-note", "reference")


def notes_of(given: Given, procedure: Procedure, report: Report, measured: Sequence[Measured]) -> tuple[Note, ...]:
    """Notes by row. A reading that is none is told with the finding that waits for it, where there is one."""
    waited = {
        (procedure.occurrences[missing.at].place.line, missing.step, missing.name)
        for finding in report.findings
        if (missing := missing_reading(finding.cause)) is not None and missing.at < len(procedure.occurrences)
    }
    claimed = {f"{each.place.line}:{each.place.letter}" for each in given.log.claims}
    found = [
        Note(each.place.line, each.place.letter, each.text, each.says, each.kind)
        for each in given.noted
        if each.kind not in _TOLD_ELSEWHERE
        and each.where not in claimed
        and (each.place.line, *each.reading.split(".", 1)) not in waited
    ]
    found += [
        *_agreed(given, procedure, report),
        *_clock_angles(given, measured),
        *_grown(procedure),
        *_lasting(given, procedure),
        *before_the_work(given, procedure),
    ]
    return tuple(sorted(found, key=lambda note: (note.line, note.letter, note.says)))


def _agreed(given: Given, procedure: Procedure, report: Report) -> Iterator[Note]:
    """Steps said not to apply, where no rule misses them."""
    missed = {missing_step(finding.cause) for finding in report.findings}
    missed |= {step for finding in report.findings for step in finding.steps}
    for each in procedure.not_done:
        if each.status == "not-applicable" and each.step not in missed:
            text = given.cells.get(f"{each.place.line}:{each.place.letter}", "")
            says = f"{each.step.replace('-', ' ')} not applicable: agreed, no rule asks for it on this job"
            yield Note(each.place.line, each.place.letter, text, says, "agreed")


def _clock_angles(given: Given, measured: Sequence[Measured]) -> Iterator[Note]:
    """Clock positions mean nothing without the end they are seen from; on one job they agree at least in that."""
    told = [
        (reading.name.text.replace("-", " "), reading.value)
        for step in given.log.raw.steps
        if isinstance(step, RawStep)
        for reading in step.readings
        if reading.value is not None and reading.value.text.endswith("o'clock")
    ]
    if not told:
        return
    place = told[0][1].place
    text = given.cells.get(f"{place.line}:{place.letter}", told[0][1].text)
    said = ", ".join(dict.fromkeys(f"{name} {value}" for name, value in told))
    turns = [f"{each.found} apart" for each in measured if each.computed and each.found.endswith(" deg")]
    says = f"{': '.join([said, *turns[:1]])}; seen from which end is not written"
    yield Note(place.line, place.letter, text, says, "clock-angle")


def _grown(procedure: Procedure) -> Iterator[Note]:
    """What was planned one way and done another: it is no offence, and everything is computed from what was done."""
    for each in procedure.occurrences:
        for (name, side), (text, place) in each.texts.items():
            planned = procedure.job_texts.get(name)
            same = each.readings.get((name, side)) in (procedure.job.get((name, side)), procedure.job.get((name, "")))
            if planned is not None and not same:
                yield Note(
                    place.line, place.letter, text, f"{name.replace('-', ' ')} {text}, planned {planned[0]}", "grown"
                )


def _lasting(given: Given, procedure: Procedure) -> Iterator[Note]:
    """A blower whose times are those of setting it up, because a later row says when it stopped."""
    for each in procedure.occurrences:
        if each.until:
            text = given.cells.get(f"{each.place.line}:{each.place.letter}", "")
            name = each.step.replace("-", " ")
            says = f"{name} until {each.until}: its own times are taken as those of setting it up"
            yield Note(each.place.line, each.place.letter, text, says, "lasting")


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
        zone = procedure.zone if procedure.day else 0
        said = f"entered by {', '.join(last.by)} at {_moment(last.finish + zone, procedure)}, before the work began"
        # as many days later as put it behind the entries above it
        late = math.ceil((max(begins) - last.finish) / DAY)
        if procedure.day and 0 < late <= _MOST_DAYS_OFF:
            said += f": {_day(last.finish + zone + late * DAY)}?"
        else:
            said += ": is the time or the date right?"
        yield Note(last.place.line, letter, text, said, "entered-late")


def _moment(seconds: Fraction, procedure: Procedure) -> str:
    minutes = int(seconds // 60) % 1440
    clock = f"{minutes // 60:02d}:{minutes % 60:02d}"
    return f"{clock} on {_day(seconds)}" if procedure.day else clock


def _day(seconds: Fraction) -> str:
    day = datetime.date(1970, 1, 1) + datetime.timedelta(days=int(seconds // DAY))
    return f"{day.day} {day:%B}"
