"""The blank log form of a plan: a CSV that is read back without a column file, and the same form as a page.

Headings are the words of the rulebook (``ringcut.archive.ownform``). Above them stand the job's facts and the digest
of the plan, by which the log finds it again. Every row says "not recorded" until somebody writes what was done: an
empty form is no record of work.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

import msgspec

from ringcut.checking import read
from ringcut.judge.findings import Report
from ringcut.language import ir
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import read_raw
from ringcut.reading.raw import RawProcedure
from ringcut.reading.suggest import canonical
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut_cli.card.steps import Blank, Row, blanks_of, flat, rows_of

FIXED = ("step", "started", "at", "by", "side", "closure", "status", "reason", "note")
"""The columns that every form has; readings follow."""
BLANK = "not-recorded"
TO_FILL = ("date", "timezone")
"""Facts that the crew writes where the plan has none."""
NOT_FOR_LOGS = ("plan-digest", "phones", "sides", "closures")


class FormRow(msgspec.Struct, frozen=True):
    """A step to be written up; ``blanks`` are all its readings, also those that the plan decided."""

    number: int
    step: str
    says: str
    label: str
    side: str
    closure: str
    blanks: tuple[Blank, ...]
    which: str = ""
    """What tells it from other doings of its step in the plan, as ``volume core``."""


class LogForm(msgspec.Struct, frozen=True):
    """The form of one plan."""

    reference: str
    digest: str
    version: str
    rulebook: str
    facts: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: tuple[FormRow, ...]


def form_of(data: bytes, file: str, book: ir.Rulebook, report: Report) -> LogForm:
    """The blank form of a plan; :class:`Unreadable` where its sides are not A and B."""
    procedure = read(data, file, book)
    raw = read_raw(data, file, [])
    if raw is None or set(procedure.sides) - {"A", "B"}:
        found = f"sides {', '.join(procedure.sides)}"
        raise Unreadable([Problem(Place(file), found, "sides A and B", "a log form has columns for A and B")])
    shown = {row.number: row for row in flat(rows_of(raw, data, procedure, book, report.to_measure))}
    rows = tuple(_row(row, procedure, book) for row in shown.values())
    return LogForm(
        report.reference, report.digests.procedure, report.digests.version, report.rulebook,
        _facts(raw, procedure), (*FIXED, *_columns(procedure, book)), rows,
    )  # fmt: skip


def _row(row: Row, procedure: Procedure, book: ir.Rulebook) -> FormRow:
    each = procedure.occurrences[row.number - 1]
    step = book.steps[each.step]
    decided = {name for name, _ in each.texts}
    wanted = {name: word for name, word in step.readings.items() if not word.planned or name in decided}
    free = {name: msgspec.structs.replace(word, planned=False) for name, word in wanted.items()}
    blanks = blanks_of(each, msgspec.structs.replace(step, readings=free), ())
    side = each.sides[0] if len(each.sides) == 1 and len(procedure.sides) > 1 else ""
    return FormRow(
        row.number, each.step, row.says, each.id, side, each.closure, tuple(blanks), _which(each, procedure, book)
    )


def _which(each: Occurrence, procedure: Procedure, book: ir.Rulebook) -> str:
    """The choices by which the plan tells a doing from others of its step, such as the volume of which zero is read."""
    readings = book.steps[each.step].readings
    others = [other for other in procedure.occurrences if other.step == each.step]
    return ", ".join(
        f"{name} {text}"
        for (name, side), (text, _) in each.texts.items()
        if not side and readings[name].kind == "choice" and len({o.texts.get((name, ""), ("",))[0] for o in others}) > 1
    )


def _columns(procedure: Procedure, book: ir.Rulebook) -> Iterable[str]:
    """A heading for every reading of the plan's steps: with its step where the name alone does not say the unit."""
    seen: dict[str, None] = {}
    for each in procedure.occurrences:
        decided = {name for name, _ in each.texts}
        for name, word in book.steps[each.step].readings.items():
            if word.planned and name not in decided:
                continue
            kinds = {
                (other.readings[name].kind, other.readings[name].unit, other.readings[name].sided)
                for other in book.steps.values()
                if name in other.readings
            }
            called = name if len(kinds) == 1 else f"{each.step}.{name}"
            unit = f" ({word.unit})" if word.unit else ""
            for side in [f" {side}" for side in procedure.sides] if word.sided else [""]:
                seen[f"{called}{side}{unit}"] = None
    return seen


def _facts(raw: RawProcedure, procedure: Procedure) -> tuple[tuple[str, str], ...]:
    """The job's facts, a row each: one for each side where the sides differ, and a list in brackets."""
    found = {"reference": procedure.reference, "plan-digest": procedure.digest}
    for fact in raw.job:
        name = canonical(fact.name.text)
        if name in NOT_FOR_LOGS or name == "reference":
            continue
        if fact.is_list:
            found[name] = f"[{', '.join(item.text for item in fact.items)}]"
        elif fact.value is not None:
            found[name] = fact.value.text
        else:
            found |= {f"{name} {side.text}": value.text for side, value in fact.sides}
    for name in TO_FILL:
        found.setdefault(name, "")
    return tuple(found.items())


def form_csv(form: LogForm) -> str:
    """The form as CSV, with CRLF as RFC 4180 has it; a cell that a spreadsheet would run is defused."""
    file = io.StringIO()
    write = csv.writer(file, lineterminator="\r\n").writerow
    for name, text in form.facts:
        write([name, defused(text)])
    write([])
    write(form.columns)
    for row in form.rows:
        known = {"step": row.step, "side": row.side, "closure": defused(row.closure), "status": BLANK}
        known["note"] = defused(", ".join(part for part in (f"id {row.label}" if row.label else "", row.which) if part))
        write([known.get(column, "") for column in form.columns])
    return file.getvalue()


def defused(text: str) -> str:
    """A text that a spreadsheet does not take for a formula and a terminal not for a command."""
    text = "".join(
        letter if letter.isprintable() or letter in "\t\r\n" else "\N{REPLACEMENT CHARACTER}" for letter in text
    )
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
