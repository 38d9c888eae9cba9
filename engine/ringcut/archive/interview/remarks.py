"""Questions about remarks that are readings: ``0 V`` beside a voltage test, ``6 in`` beside scuffing."""

from __future__ import annotations

from msgspec.structs import replace

from ringcut.archive.columns import Task, fold, squeeze
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Interview, Question, quoted, yes_no
from ringcut.archive.interview.sight import Sight
from ringcut.archive.interview.words import having
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tasks import TaskBook
from ringcut.archive.templates import match
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, read_measure

WHOLE = "{text}"
"""The remark as it stands."""


def remark_readings(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """For each wording whose remarks are measures of one reading of its steps: whether they are that reading."""
    task = next(iter(having(sight, draft, "task")), None)
    note = next(iter(having(sight, draft, "note")), None)
    if task is None or note is None:
        return
    book = TaskBook(draft.spec, lexicon)
    for text in task.texts:
        own = [squeeze(row[note.column].text) for row, cell in task.cells if fold(cell.text) == fold(text)]
        remarks = [remark for remark in dict.fromkeys(own) if remark]
        said = book.read(text, "")
        known = next((each for each in draft.spec.tasks if any(match(say, text) is not None for say in each.say)), None)
        if not said or not remarks or (known and known.remarks):
            continue
        reading = _meant(said.steps, remarks, lexicon)
        if not reading:
            continue
        known = known or Task((text,), said.steps)
        answer = yield Question(
            "tasks", f'Is the remark of "{text}" its {reading.replace("-", " ")}?', yes_no, (quoted(remarks),),
            guess="yes", why="it has its unit",
        )  # fmt: skip
        if answer:
            draft.task(replace(known, readings={**known.readings, reading: WHOLE}, remarks=WHOLE))


def _meant(steps: tuple[str, ...], remarks: list[str], lexicon: Lexicon) -> str:
    """The one reading of which most remarks are measures, unit and all; nothing where there are two, or none."""
    found = [
        word.name
        for step in steps
        for word in lexicon.readings_of(step)
        if word.kind in KINDS and word.kind != "count"
        and 2 * sum(isinstance(read_measure(remark, word.kind), Measure) for remark in remarks) > len(remarks)
    ]  # fmt: skip
    return found[0] if len(found) == 1 else ""
