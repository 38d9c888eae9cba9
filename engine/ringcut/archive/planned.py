"""What was planned against what was done: matched by reference or digest, aligned at least cost, readings compared."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from ringcut.archive.alignment import Alignment, Before, Pair, align
from ringcut.archive.jobs import key_of
from ringcut.archive.results import Changed, FactChanged, PlanCompared
from ringcut.archive.swapped import exchanged
from ringcut.language import ir
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure
from ringcut.reading.suggest import canonical
from ringcut.relations.order import Order
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.resolve import ADMINISTRATIVE, resolve
from ringcut.relations.spans import Listed, Span, Value, Words
from ringcut.relations.view import View

FEWEST = 12
"""Letters of a digest by which a plan is known, at least."""

MOST_TOLD = 3
"""Plans that are named where a log's own is none of them."""


class PlanShelf:
    """Plans by reference and digest. Raises Unreadable for a file that is no plan, or two plans of one reference."""

    def __init__(self, paths: Sequence[Path]) -> None:
        self._plans: list[tuple[str, RawProcedure]] = []
        self._made: dict[tuple[int, str], Procedure] = {}
        problems: list[Problem] = []
        for path in paths:
            try:
                data = path.read_bytes()
                raw = read_procedure(data, str(path))
            except OSError as error:
                problems.append(Problem(Place(str(path)), f"cannot be opened: {error.strerror or error}"))
            except Unreadable as error:
                problems += error.problems
            else:
                if raw.kind != "plan":
                    problems.append(Problem(raw.place, f"this is a {raw.kind}", "procedure: plan"))
                self._plans.append((hashlib.sha256(data).hexdigest(), raw))
        problems += self._twice()
        if problems:
            raise Unreadable(problems)

    def _twice(self) -> Iterator[Problem]:
        seen: dict[str, RawProcedure] = {}
        for _, raw in self._plans:
            key = key_of(_reference(raw))
            if key and key in seen:
                yield Problem(raw.place, f"a second plan of {_reference(raw)}", f"the first is {seen[key].place.file}")
            seen.setdefault(key, raw)

    def compare(self, raw: RawProcedure, log: Procedure, book: ir.Rulebook) -> PlanCompared | None:
        """The log beside the plan that it names by digest, else the one of its reference."""
        number = self._number(raw, log)
        if number is None:
            return None
        key = (number, book.digest)
        if key not in self._made:
            problems: list[Problem] = []
            self._made[key] = resolve(self._plans[number][1], book, problems)
            if problems:
                raise Unreadable(problems)
        return compared(self._made[key], log, book, self._plans[number][1].place.file)

    def why_not(self, raw: RawProcedure) -> str:
        """Of a log that names a plan by a digest which none of these has: why nothing was compared; else empty."""
        named = _digest(raw)
        if not named or any(len(named) >= FEWEST and digest.startswith(named) for digest, _ in self._plans):
            return ""
        if len(named) < FEWEST:
            return f"the log names its plan by {named}; a plan is known by {FEWEST} letters of its digest at least"
        given = ", ".join(f"{plan.place.file} is {digest[:FEWEST]}" for digest, plan in self._plans[:MOST_TOLD])
        given += f", and {len(self._plans) - MOST_TOLD} more" if len(self._plans) > MOST_TOLD else ""
        return f"the log names the plan {named[:FEWEST]}, which is none of those given ({given})"

    def _number(self, raw: RawProcedure, log: Procedure) -> int | None:
        named = _digest(raw)
        for number, (digest, plan) in enumerate(self._plans):
            if named and len(named) >= FEWEST and digest.startswith(named):
                return number
            if not named and _reference(plan) and key_of(_reference(plan)) == key_of(log.reference):
                return number
        return None


def _digest(raw: RawProcedure) -> str:
    """The digest of the plan that a log names, beside its job or as one of its facts; empty where it names none."""
    facts = {canonical(fact.name.text): fact.value for fact in raw.job}
    said = raw.keys.get("plan-digest") or facts.get("plan-digest")
    return said.text.strip().lower() if said else ""


def _reference(raw: RawProcedure) -> str:
    return next((f.value.text for f in raw.job if f.value and canonical(f.name.text) == "reference"), "")


def compared(plan: Procedure, log: Procedure, book: ir.Rulebook, file: str) -> PlanCompared:
    """A log beside a plan on one rulebook."""
    planned = [each for each in plan.occurrences if not each.implied]
    done = doings([each for each in log.occurrences if not each.implied], planned)
    plan_order, log_order = _order(plan, book), _order(log, book)

    def before_plan(x: int, y: int) -> bool:
        return plan_order.before(planned[x].index, planned[y].index)

    def before_log(x: int, y: int) -> bool:
        return log_order.before(done[x][-1].index, done[y][0].index)

    way = align([_name([each]) for each in planned], [_name(rows) for rows in done], before_plan, before_log)
    against = [_against(pair, way, before_plan, before_log) for pair in way.out_of_order]
    missing = [planned[index] for index in way.left_out if not planned[index].optional]
    left_out = [each for each in missing if _was_left_out(each, log)]
    return PlanCompared(
        file,
        tuple(_said(each) for each in left_out),
        tuple(_said(done[index][0]) for index in way.added),
        tuple(
            f"{_said(done[d][0])}, planned {where} {_called(planned[other])}"
            for (_, d), (where, other) in zip(way.out_of_order, against, strict=True)
        ),
        tuple(_changes(way, planned, done, book)),
        exchanged(plan, log),
        way.exact,
        tuple(_facts(plan, log)),
        tuple(_said(each) for each in missing if each not in left_out),
    )


def _was_left_out(step: Occurrence, log: Procedure) -> bool:
    """Whether a planned step that a log does not have was left out: by a log of every step, or by its own words."""
    if log.finished and not log.milestones:
        return True
    said = (each for each in log.not_done if each.status in ("not-done", "not-applicable"))
    return any(each.step == step.step and each.closure in ("", step.closure) for each in said)


def _facts(plan: Procedure, log: Procedure) -> Iterator[FactChanged]:
    """Job facts that both say, and not alike; a measure that the log has within the tolerance of the plan is."""
    names = dict.fromkeys(name for name, _ in plan.job if name not in ADMINISTRATIVE)
    for name in names:
        sides = sorted({side for fact, side in (*plan.job, *log.job) if fact == name and side}) or [""]
        found = []
        for side in sides:
            meant, was = (job.get((name, side), job.get((name, ""))) for job in (plan.job, log.job))
            if meant is not None and was is not None and _differs(meant, was):
                found.append(FactChanged(name, side, _fact(meant, name, plan), _fact(was, name, log)))
        whole = {(each.planned, each.done) for each in found}
        if len(found) == len(sides) and len(whole) == 1:
            found = [msgspec.structs.replace(found[0], side="")]
        yield from found


def _fact(value: Value, name: str, procedure: Procedure) -> str:
    """A fact in words; a measure as it was typed."""
    if isinstance(value, Words):
        return " or ".join(value.options)
    if isinstance(value, Listed):
        return ", ".join(value.items) or "none"
    return procedure.job_texts[name][0] if name in procedure.job_texts else ""


def _order(procedure: Procedure, book: ir.Rulebook) -> Order:
    """The order of a procedure as a whole, over all its closures."""
    alike = [msgspec.structs.replace(each, closure="") for each in procedure.occurrences]
    return View(msgspec.structs.replace(procedure, occurrences=alike), book).order


def doings(rows: list[Occurrence], planned: Sequence[Occurrence]) -> list[list[Occurrence]]:
    """The rows of a log by what a plan counts as one step: a sheet has a row a side where the plan has both in one."""
    wide = {(each.step, each.closure): set(each.sides) for each in planned if len(each.sides) > 1}
    narrow = {(each.step, each.closure) for each in planned if len(each.sides) == 1}
    found: list[list[Occurrence]] = []
    for each in rows:
        key = (each.step, each.closure)
        last = found[-1] if found else []
        same = bool(last) and (last[0].step, last[0].closure) == key and key not in narrow
        taken = {side for one in last for side in one.sides}
        if same and not taken & set(each.sides) and taken | set(each.sides) <= wide.get(key, set()):
            last.append(each)
        else:
            found.append([each])
    return found


def _name(rows: Sequence[Occurrence]) -> str:
    first = rows[0]
    sides = sorted({side for each in rows for side in each.sides})
    return f"{first.step} {first.closure} {' '.join(sides)}" if first.closure else first.step


def _called(each: Occurrence) -> str:
    return f"{each.label} at {each.closure}" if each.closure else each.label


def _said(each: Occurrence) -> str:
    return f"{_called(each)} (line {each.place.line})" if each.place.line else _called(each)


def _against(pair: Pair, way: Alignment, before_plan: Before, before_log: Before) -> tuple[str, int]:
    """How a step that is out of order was planned: after or before the nearest one that stays where it is.

    There is one: else the step itself could stay, and fewer would be out of order.
    """
    p, d = pair
    kept = [each for each in way.pairs if each not in way.out_of_order]
    ahead = [q for q, e in kept if before_plan(q, p) and before_log(d, e)]
    return (
        ("after", ahead[-1])
        if ahead
        else ("before", next(q for q, e in kept if before_plan(p, q) and before_log(e, d)))
    )


def _changes(
    way: Alignment, planned: list[Occurrence], done: list[list[Occurrence]], book: ir.Rulebook
) -> Iterator[Changed]:
    for plan, log in ((planned[p], row) for p, d in way.pairs for row in done[d]):
        for name in dict.fromkeys(name for name, _ in plan.readings):
            yield from _changed(name, plan, log)


def _changed(name: str, plan: Occurrence, log: Occurrence) -> Iterator[Changed]:
    """One reading of a step; once, where both sides were planned and done alike."""
    planned = [side for reading, side in plan.readings if reading == name]
    sides = (
        planned if "" not in planned else sorted({side for reading, side in log.readings if reading == name}) or [""]
    )
    found = []
    for side in sides:
        meant = plan.readings.get((name, side), plan.readings.get((name, "")))
        was = log.readings.get((name, side), log.readings.get((name, "")))
        if meant is not None and was is not None and _differs(meant, was):
            found.append(Changed(log.step, log.place.line, name, side, _text(plan, name, side), _text(log, name, side)))
    if len(found) == len(sides) > 1 and len({(each.planned, each.done) for each in found}) == 1:
        found = [msgspec.structs.replace(found[0], side="")]
    yield from found


def _differs(meant: Value, was: Value) -> bool:
    """Whether what was done is not what was meant; a reading known only when done is not compared."""
    if isinstance(meant, Span) and isinstance(was, Span):
        if meant.free or was.low is None or was.high is None:
            return False
        return not (meant.holds(was.low) and meant.holds(was.high))
    if isinstance(meant, Listed) and isinstance(was, Listed):
        return set(meant.items) != set(was.items)
    if isinstance(meant, Words) and isinstance(was, Words):
        return bool(meant.options and was.options) and not meant.free and not set(was.options) <= set(meant.options)
    return False


def _text(each: Occurrence, name: str, side: str) -> str:
    typed = each.texts.get((name, side)) or each.texts.get((name, ""))
    return typed[0] if typed else ""
