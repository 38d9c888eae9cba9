"""Questions about when: the order of dates, am and pm, and whether a time is that of the end or the beginning."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator

from ringcut.archive.cells import Cell, letter
from ringcut.archive.days import Day, read_day
from ringcut.archive.hours import Hour, read_hour
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Interview, NotAnAnswer, Note, Question, one_of, quoted
from ringcut.archive.interview.sight import Sight
from ringcut.reading.suggest import canonical
from ringcut.relations.times import read_zone

ORDERS = {"month-first": "3/4/26 is 4 March", "day-first": "3/4/26 is 3 April", "year-first": "26/3/4 is 4 March"}
CLOCKS = {
    "12": "am and pm are left away: 1:05 after 12:10 is 13:05",
    "24": "hours run from 0 to 23",
    "mixed": "sometimes the one, sometimes the other",
}
MEANS = {"finished": "when the step was finished", "started": "when the step was begun"}


def dates(sight: Sight, draft: Draft) -> Interview:
    """The order of day, month and year, where a date can be read in two ways."""
    cells = [*_cells(sight, draft, ("date",)), *_label_dates(sight, draft)]
    proved: Counter[str] = Counter()
    open_, alone = [], []
    for cell in cells:
        day = read_day(cell, "")
        if isinstance(day, Day) and day.order:
            proved[day.order] += 1
            alone.append(f'"{cell.text.strip()}" can only be {day.order.replace("-", " ")}')
        elif not isinstance(day, Day) and any(isinstance(read_day(cell, order), Day) for order in ORDERS):
            open_.append(cell)
    if not open_ and len(proved) < 2:
        if proved:
            draft.put("every date can be read in this order alone", dates=next(iter(proved)))
            yield Note(f"Dates stand {next(iter(proved)).replace('-', ' ')}: every one can be read in this order alone")
        return
    shown = quoted(list(dict.fromkeys(cell.text.strip() for cell in [*open_, *cells])))
    guess = proved.most_common(1)[0][0] if len(proved) == 1 and 2 * sum(proved.values()) > len(open_) else ""
    said = yield Question(
        "dates", "In which order do day, month and year stand?", one_of(*ORDERS),
        (shown, *dict.fromkeys(alone[:3])), tuple(ORDERS.items()),
        guess, "the others can be read in this order alone" if guess else "",
    )  # fmt: skip
    if said is None:
        draft.leave("dates", "not known; month-first, day-first or year-first. A date that may be two is not taken")
    else:
        draft.put("as said", dates=said)


def _cells(sight: Sight, draft: Draft, roles: tuple[str, ...]) -> list[Cell]:
    found = []
    for column in sight.columns:
        spec = draft.spec.column(column.heading)
        if spec and spec.role in roles:
            found += [cell for _, cell in column.cells]
    return found


def _label_dates(sight: Sight, draft: Draft) -> Iterator[Cell]:
    labels = {canonical(name) for name, fact in draft.spec.facts_block.items() if fact.fact == "date"}
    labels |= {canonical(draft.spec.week)} if draft.spec.week else set()
    for row in sight.above:
        for cell in row.cells:
            if canonical(cell.text.rstrip(": ")) in labels:
                yield from [each for each in row.cells[cell.column :] if each][:1]


def clock(sight: Sight, draft: Draft) -> Interview:
    """Whether am and pm are left away, where the times of a job run backwards or could all be meant so."""
    hours = [hour for cell in _cells(sight, draft, ("time", "started")) if isinstance(hour := read_hour(cell), Hour)]
    hours += [hour for cell in _tick_times(sight, draft) if isinstance(hour := read_hour(cell), Hour)]
    bare = [hour for hour in hours if not hour.marked and hour.minutes < 780]
    if not bare:
        return
    late = any(hour.minutes >= 780 and hour.marked for hour in hours)
    back = _backwards(sight, draft)
    if not back and (late or min(hour.minutes for hour in bare) >= 300):
        if late:
            draft.put("there are hours over 12, and no time runs backwards", clock="24")
            yield Note("Hours run to 24: there are some over 12, and no time runs backwards")
        else:
            draft.leave("clock", "no time needs it; 12, 24 or mixed, should times of later sheets run backwards")
        return
    seen = back[:4] or ("times are " + ", ".join(dict.fromkeys(hour.text for hour in bare[:4])),)
    says = "Times run backwards. What are the hours?" if back else "Is 1:05 one at night, or one in the afternoon?"
    guess, why = ("mixed" if late else "12"), ("some hours are over 12" if late else "no hour is over 12")
    said = yield Question("clock", says, one_of(*CLOCKS), tuple(seen), tuple(CLOCKS.items()), guess, why)
    if said is None:
        draft.leave("clock", "not known; 12, 24 or mixed. Times are taken as they stand")
    else:
        draft.put("as said", clock=said)


def _tick_times(sight: Sight, draft: Draft) -> list[Cell]:
    return [cell for cell in _cells(sight, draft, ("step",)) if ":" in cell.text or cell.moment]


def _backwards(sight: Sight, draft: Draft) -> list[str]:
    """Times that are before the one above, within one order, as ``29:D 1:05 after 12:10``."""
    time = next((c for c in sight.columns if (s := draft.spec.column(c.heading)) and s.role == "time"), None)
    order = next((c for c in sight.columns if (s := draft.spec.column(c.heading)) and s.role == "reference"), None)
    if time is None:
        return []
    found, last, before, table, reference = [], None, "", None, ""
    for seen in sight.rows:
        own = seen[order.column].text.strip() if order else ""
        if own not in ("", reference) or seen.table is not table:
            last, table, reference = None, seen.table, own
        cell = seen[time.column]
        hour = read_hour(cell) if cell else None
        if not isinstance(hour, Hour):
            continue
        if last is not None and hour.minutes < last and not hour.marked:
            found.append(f"{cell.line}:{letter(time.column)} {cell.text.strip()} after {before}")
        last, before = hour.minutes, cell.text.strip()
    return found


def zone(sight: Sight, draft: Draft) -> Interview:
    """The time zone of bare times, where others of the same sheet say theirs: then a log cannot be read without it."""
    cells = [*_cells(sight, draft, ("time", "started")), *_tick_times(sight, draft)]
    full = [cell for cell in cells if isinstance(hour := read_hour(cell), Hour) and hour.zone]
    bare = [cell for cell in cells if isinstance(hour := read_hour(cell), Hour) and not hour.zone]
    if not full or not bare:
        return
    seen = quoted([cell.text.strip() for cell in (*full[:2], *bare[:2])])
    says = "Some times have a time zone, others none. Which is theirs? As -06:00, or America/Chicago"
    said = yield Question("timezone", says, _zone, (seen,))
    if said is None:
        draft.leave("timezone", "not known; a log with times of both kinds cannot be read without it")
    else:
        draft.put("as said", timezone=said)


def _zone(text: str) -> str:
    if read_zone(text, datetime.date(2026, 1, 1)) is None:
        raise NotAnAnswer(f"{text!r} is no time zone: an offset as -05:00, or a zone as America/Chicago.")
    return text


def time_means(sight: Sight, draft: Draft) -> Interview:
    """Whether the time of a row is when the step was finished or begun."""
    roles = {column.role for column in draft.spec.columns.values()}
    if "time" not in roles and not _tick_times(sight, draft):
        return
    if "started" in roles:
        return
    named = [c.heading for c in sight.columns if (s := draft.spec.column(c.heading)) and s.role == "time"]
    says = f"What does the time{f' under {named[0]}' if named else ''} say?"
    said = yield Question("time-means", says, one_of(*MEANS), choices=tuple(MEANS.items()))
    if said is None:
        draft.leave("time-means", "not known; finished is taken. The other is started")
    else:
        draft.put("as said", time_means=said)
