"""Questions about remarks that are readings: ``0 V`` beside a voltage test, ``6 in`` beside scuffing."""

from __future__ import annotations

import re

from msgspec.structs import replace

from ringcut.archive.columns import Task, fold, squeeze
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Interview, Question, one_of, quoted, yes_no
from ringcut.archive.interview.readings import unit_check
from ringcut.archive.interview.saidwords import said_words, shown_words
from ringcut.archive.interview.sight import Sight
from ringcut.archive.interview.tasks import template_of
from ringcut.archive.interview.words import having
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tasks import TaskBook
from ringcut.archive.templates import match
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, kinds_of_unit, read_measure

_NUMBER = r"\d+(?:[.,]\d+|(?:-| )\d+/\d+)?"
_PAIR = re.compile(rf"{_NUMBER} ?(?P<unit>[a-z\"']*) ?[/;] ?{_NUMBER} ?(?P<second>[a-z\"']*)", re.IGNORECASE)
"""Two numbers that are no fraction, or may be none: one for each side."""
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
        pairs = [remark for remark in remarks if _PAIR.fullmatch(remark)]
        if 2 * len(pairs) > len(remarks):
            yield from _both_sides(known or Task((text,), said.steps), text, pairs, draft, lexicon)
            continue
        reading = _meant(said.steps, remarks, lexicon)
        if not reading:
            yield from _now_and_then(known or Task((text,), said.steps), text, remarks, draft, lexicon)
            continue
        known = known or Task((text,), said.steps)
        answer = yield Question(
            "tasks", f'Is the remark of "{text}" its {reading.replace("-", " ")}?', yes_no, (quoted(remarks),),
            guess="yes", why="it has its unit",
        )  # fmt: skip
        if answer:
            draft.task(replace(known, readings={**known.readings, reading: WHOLE}, remarks=WHOLE))


def _both_sides(known: Task, text: str, pairs: list[str], draft: Draft, lexicon: Lexicon) -> Interview:
    """Whether two numbers in the remarks of a task are one reading, on side A and on side B, and in which unit."""
    units = {(found["unit"] or found["second"]).strip() for pair in pairs if (found := _PAIR.fullmatch(pair))}
    sided = [word for step in known.do for word in lexicon.readings_of(step) if word.sided and word.kind in KINDS]
    sided = [word for word in sided if all(not unit or word.kind in kinds_of_unit(unit) for unit in units)]
    if not sided:
        return
    names = list(dict.fromkeys(word.name for word in sided))
    reading = yield Question(
        "tasks", f'Are the two numbers in the remark of "{text}" a reading on side A, then on side B? Which?',
        one_of(*names, "no"), (quoted(pairs),),
        (*((word.name, word.says) for word in sided), ("no", "they are something else")),
    )  # fmt: skip
    if reading is None or reading == "no":
        if reading is None:
            draft.leave(f"tasks.{text}", "what its remarks tell is not known")
        return
    word = next(each for each in sided if each.name == reading)
    value = WHOLE
    if "" in units:
        unit = yield Question(
            "tasks", f'In which unit are the numbers in the remark of "{text}"?', unit_check([word.kind]),
            (quoted(pairs),),
        )  # fmt: skip
        if unit is None:
            draft.leave(f"tasks.{text}", "the unit of its remarks is not known: they are not taken")
            return
        value = WHOLE if units != {""} else f"{WHOLE} {unit}"
    draft.task(replace(known, readings={**known.readings, f"{reading}..{reading}": value}, remarks=WHOLE))


def _now_and_then(known: Task, text: str, remarks: list[str], draft: Draft, lexicon: Lexicon) -> Interview:
    """Whether remarks of one form, as ``20 min`` among ``by hand``, are a reading: other remarks stay as they are."""
    for template in dict.fromkeys(template_of(remark) for remark in remarks):
        alike = [remark for remark in remarks if match(template, remark) is not None]
        reading = _meant(known.do, alike, lexicon)
        told = {reading: template} if reading else said_words(alike[0], known.do, lexicon, known.readings)
        if not told:
            continue
        if reading:
            says = f'Is a remark of "{text}" as {quoted(alike)} its {reading.replace("-", " ")}?'
            question = Question("tasks", says, yes_no, (quoted(remarks),), guess="yes", why="it has its unit")
        else:
            says = f'Does the remark {quoted(alike)} of "{text}" tell this?'
            question = Question("tasks", says, yes_no, (shown_words(told),), guess="yes", why="its words say so")
        answer = yield question
        if answer:
            plain = next((each for each in draft.spec.tasks if each == known), None)
            own = replace(known, readings={**known.readings, **told}, remarks=template)
            rest = tuple(each for each in draft.spec.tasks if each != known)
            # the first whose remark fits is meant, so the one without any comes last
            draft.put(tasks=(*rest, own, plain or known))


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
