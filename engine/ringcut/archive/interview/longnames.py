"""Questions about the long form: which reading each name is, and what its units mean."""

from __future__ import annotations

from ringcut.archive.columns import fold, squeeze
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import reading_said, readings_of
from ringcut.archive.interview.question import Interview, Note, Question
from ringcut.archive.interview.readings import decimals, over_range, steps_by_row, unit_check, words_of
from ringcut.archive.interview.sight import SeenColumn, Sight
from ringcut.archive.interview.words import having
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.values import is_nothing
from ringcut.language import ir
from ringcut.reading.measures import kinds_of_unit
from ringcut.reading.suggest import canonical


def long_readings(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """Names of readings and units of a sheet with a row a reading."""
    names, values, units = (next(iter(having(sight, draft, role)), None) for role in ("reading-name", "value", "unit"))
    unit_at = units.column if units else 0
    steps_of = steps_by_row(sight, draft, lexicon)
    words: list[ir.Word] = []
    for text in names.texts if names else ():
        rows = [seen for seen, cell in names.cells if fold(cell.text) == fold(text)] if names else []
        steps = list(dict.fromkeys(step for seen in rows for step in steps_of(seen)))
        own = "-".join(fold(text).split())
        known = [step for step in steps if lexicon.word(step, own)]
        if not known:
            said = {squeeze(seen[unit_at].text) for seen in rows if unit_at and seen[unit_at]}
            targets = yield from _long_name(text, steps, said, names, draft, lexicon)
        else:
            targets = (f"{known[0]}.{own}",)
        words += [word for target in targets for word in words_of(target, lexicon)]
    for text in units.texts if units else ():
        if not kinds_of_unit(text):
            said = yield Question("units", f'How is the unit "{text}" meant?', unit_check([]),
                                  (units.where(text),) if units else ())  # fmt: skip
            if said is None:
                draft.leave("units", f'"{text}" is not known; values in it are not taken')
            else:
                draft.put("as said", units={**draft.spec.units, text: said})
    if values:
        cells = [cell for _, cell in values.cells if not is_nothing(cell)]
        yield from decimals(values, cells, draft)
        yield from over_range(values, cells, words, draft)


_NO_READING = (("status", "its value is a mark, as yes or x"), ("ignore", "it says nothing"))


def _long_name(
    text: str, steps: list[str], units: set[str], names: SeenColumn | None, draft: Draft, lexicon: Lexicon
) -> Interview:
    """The readings that a name means, one for each of its steps that has such."""
    pairs = [pair for pair in readings_of(text, {}, lexicon) if pair[0] in steps]
    kinds = {kind for unit in units for kind in kinds_of_unit(unit)}
    by_unit = [(step, word.name) for step in steps for word in lexicon.readings_of(step) if word.kind in kinds]
    # a second name in the same unit, as p2 beside p1, hardly means what the first means
    taken = {target for targets in draft.spec.readings.values() for target in targets}
    free = [pair for pair in by_unit if ".".join(pair) not in taken]
    found = pairs or free
    fits = [".".join(pair) for pair in {step: (step, name) for step, name in reversed(found)}.values()][::-1]
    why = f"by its {'word' if pairs else 'unit'} and the step of its rows"
    choices = tuple((f"{step}.{word.name}", "") for step in steps[:3] for word in lexicon.readings_of(step))
    choices += _NO_READING

    def one(said: str) -> str:
        whole = [f"{step}.{said}" for step in steps if lexicon.word(step, said)]
        return whole[0] if len(whole) == 1 else reading_said(said, lexicon)

    def check(said: str) -> tuple[str, ...]:
        if canonical(said) in dict(_NO_READING):
            return (canonical(said),)
        return tuple(one(part.strip()) for part in said.split(",") if part.strip())

    if len(found) == 1 and (pairs or free == by_unit):
        draft.put(readings={**draft.spec.readings, text: tuple(fits)})
        yield Note(f'"{text}" is {fits[0]}: {why}')
        return tuple(fits)
    said = yield Question(
        "readings", f'Which reading is "{text}"?{" Several with commas" if len(steps) > 1 else ""}', check,
        (names.where(text),) if names else (), choices, ", ".join(fits), why if fits else "",
    )  # fmt: skip
    if not said:
        draft.leave("readings", f'"{text}" is not known and not read')
        return ()
    draft.put("as said", readings={**draft.spec.readings, text: said})
    return tuple(said)
