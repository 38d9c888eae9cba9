"""One closure of a procedure as the rules see it: who is there, in which order, what was read.

A step written under another closure is not seen, unless the vocabulary says that the step is for the whole site.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cached_property, lru_cache

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.backwards import Backwards, backwards, without_times
from ringcut.relations.evaluate import truth, value
from ringcut.relations.order import Order, bits, log_order, plan_order
from ringcut.relations.places import Line, without_place
from ringcut.relations.procedure import Occurrence, Procedure
from ringcut.relations.spans import Missing, Span, Value, Words, exactly, plus
from ringcut.relations.tables import look_up
from ringcut.relations.truth import Cause, Truth


class View:
    """A procedure (or one closure of it) on a rulebook, with its order."""

    def __init__(self, procedure: Procedure, book: ir.Rulebook, closure: str = "", line: Line = ()) -> None:
        """``line``: where the entries of a log stand that have no place of their own, as the only order of all."""
        self.whole, self.book, self.closure, self.line = procedure, book, closure, line
        self.procedure = procedure if len(procedure.closures) == 1 else _one_closure(procedure, book, closure)
        if line:
            self.procedure = _each_for_itself(self.procedure)
        self.plan = procedure.plan
        self.sides = procedure.sides
        self.level = book.decision_level
        self.occurrences = self.procedure.occurrences
        self.by_step: dict[str, list[int]] = {}
        for each in self.occurrences:
            self.by_step.setdefault(each.step, []).append(each.index)
        self._facts: dict[tuple[str, str], Value] = {}
        self.assumed: dict[str, str] = {}

    @cached_property
    def order(self) -> Order:
        """The order of the occurrences."""
        if self.line:
            return Order(self.line)
        if not self.plan:
            keys = [(each.begin, each.finish) for each in self.occurrences]
            unlisted = {each.index for each in self.occurrences if each.implied or each.unlisted}
            order, placed = log_order(keys, self.procedure.rows_in_order, unlisted, self.lost)
            for each, has_place in zip(self.occurrences, placed, strict=True):
                each.placed = has_place
            return order
        order = plan_order(len(self.occurrences), self.procedure.edges)
        order.total = order.total and not any(each.optional for each in self.occurrences)
        return order

    @cached_property
    def lost(self) -> tuple[int, ...]:
        """The entries of a log of which nobody has said where they stand."""
        return without_place(self.procedure)

    @cached_property
    def backwards(self) -> Backwards:
        """Times of a log that run against its list; none in a plan, or where the rows are in no order."""
        if self.plan or not self.procedure.rows_in_order:
            return Backwards()
        return backwards(self.occurrences)

    @cached_property
    def by_list(self) -> View | None:
        """This closure as the list alone tells it, where times run against the list; else None."""
        if not self.backwards.doubted:
            return None
        other = View(without_times(self.procedure, self.backwards.doubted), self.book, self.closure)
        other.whole = self.whole
        return other

    def where(self, steps: ir.StepSet | Iterable[str]) -> list[int]:
        """The occurrences of some steps, by index, in a line that respects the order."""
        names = steps.names if isinstance(steps, ir.StepSet) else tuple(steps)
        found = [index for name in names for index in self.by_step.get(name, ())]
        return sorted(found, key=self.order.rank.__getitem__)

    def covering(self, indexes: Iterable[int], side: str) -> list[int]:
        """Those that cover a side; all, where the rule does not differ by side."""
        return [i for i in indexes if not side or side in self.occurrences[i].sides]

    def status_of(self, steps: Iterable[str], side: str = "") -> set[str]:
        """What the log says of steps that were not done."""
        names = set(steps)
        return {
            each.status for each in self.procedure.not_done if each.step in names and (not side or side in each.sides)
        }

    def may_be_unrecorded(self, steps: Iterable[str], side: str = "") -> bool:
        """Whether a step that is not in the log may have been done all the same."""
        names = tuple(steps)
        said = self.status_of(names, side)
        if "not-recorded" in said:
            return True
        return not self.plan and self.procedure.milestones and not said

    # facts

    def fact(self, name: str, side: str) -> Value:
        """A job fact, given, derived or assumed."""
        key = (name, side)
        if key not in self._facts:
            self._facts[key] = self._fact(name, side)
        return self._facts[key]

    def forget_facts(self) -> None:
        """Drop the facts that were looked up; they are found again when they are asked for."""
        self._facts.clear()

    def _fact(self, name: str, side: str) -> Value:
        word = self.book.facts[name]
        if word.means is not None:
            return value(word.means, self, side)
        job = self.procedure.job
        given = job.get((name, side), job.get((name, "")))
        if given is None and word.sided:
            known = [job.get((name, each)) for each in self.sides]
            given = known[0] if known and all(each == known[0] for each in known) else None
        if given is not None:
            return given
        if name == "month":
            month = self.procedure.day[5:7] or self.procedure.job_texts.get("date", ("",))[0][5:7]
            return Words((str(int(month)),)) if month.isdigit() else Missing(Cause("fact", "date", why="not recorded"))
        if word.otherwise:
            self.assumed[name] = word.otherwise
            return assumed(word)
        return Missing(Cause("fact", name, side if word.sided else "", why="not recorded"))

    def reading(self, step: str, name: str, side: str) -> Value:
        """Readings have no place outside a limit."""
        return Missing(Cause("reading", f"{step}.{name}", side, why="not asked for"))

    def condition(self, name: str, side: str) -> Truth:
        """Conditions have no place outside need, keep and repeat."""
        return Truth(truth(n.Fixed(False), self).level)

    def cell(self, table: str, keys: tuple[Value, ...], column: str) -> Value:
        """A look-up in a table of the rulebook."""
        return look_up(self.book.tables[table], keys, column)

    # time

    def takes(self, index: int) -> Fraction:
        """Usual duration of an occurrence in seconds; 0 where the vocabulary gives none."""
        return self.book.steps[self.occurrences[index].step].takes or Fraction(0)

    @cached_property
    def _sums(self) -> list[Fraction]:
        total, sums = Fraction(0), [Fraction(0)]
        for index in self.order.line:
            total += self.takes(index)
            sums.append(total)
        return sums

    def takes_between(self, a: int | None, b: int | None) -> Fraction:
        """The usual durations of the steps necessarily between, along their longest chain, in seconds.

        ``a`` None: from the start; ``b`` None: to the end.
        """
        order = self.order
        if order.total:
            first = 0 if a is None else order.rank[a] + 1
            last = order.n if b is None else order.rank[b]
            return self._sums[max(last, first)] - self._sums[first]
        between = (1 << order.n) - 1
        between &= between if a is None else order.after_bits(a)
        between &= between if b is None else order.before_bits(b)
        best: dict[int, Fraction] = {}
        for x in sorted(bits(between), key=order.rank.__getitem__):
            earlier = [best[y] for y in self._directly_before[x] if y in best]
            own = Fraction(0) if self.occurrences[x].optional else self.takes(x)
            best[x] = own + max(earlier, default=Fraction(0))
        return max(best.values(), default=Fraction(0))

    @cached_property
    def _directly_before(self) -> list[list[int]]:
        found: list[list[int]] = [[] for _ in self.occurrences]
        for earlier, later in self.procedure.edges:
            found[later].append(earlier)
        return found

    def elapsed(self, a: int | None, b: int | None) -> Fraction | None:
        """In a log: seconds from the finish of a to the begin of b; None where not known.

        ``a`` None: from the first time known; ``b`` None: to the last.
        """
        if a is None:
            first = min((each.begin for each in self.occurrences if each.begin is not None), default=None)
        else:
            first = self.occurrences[a].finish
        if b is None:
            last = max((each.finish for each in self.occurrences if each.finish is not None), default=None)
        else:
            last = self.occurrences[b].begin
        return None if first is None or last is None else last - first

    def elapsed_to_end(self, a: int, b: int) -> Fraction | None:
        """In a log: seconds from the finish of a to the finish of b; None where not known."""
        first, last = self.occurrences[a].finish, self.occurrences[b].finish
        return None if first is None or last is None else last - first


class Bound:
    """An environment with the occurrences that a limit or a guard looks at: (step, side) -> index."""

    def __init__(self, view: View, chosen: dict[tuple[str, str], int | None]) -> None:
        self.view, self.chosen = view, chosen
        self.sides, self.level = view.sides, view.level
        self.fact, self.condition, self.cell = view.fact, view.condition, view.cell

    def reading(self, step: str, name: str, side: str) -> Value:
        """The reading of the occurrence chosen for that step and side."""
        index = self.chosen.get((step, side), self.chosen.get((step, "")))
        if index is None:
            return Missing(Cause("absent", step, side, why="not recorded", others=(step,)))
        if self.view.book.steps[step].again == "adds":
            return self._total(step, name, side)
        return reading_of(self.view, self.view.occurrences[index], name, side)

    def _total(self, step: str, name: str, side: str) -> Value:
        found = [
            reading_of(self.view, self.view.occurrences[i], name, side)
            for i in self.view.covering(self.view.by_step[step], side)
        ]
        total: Value = exactly(Fraction(0))
        for each in found:
            if not isinstance(each, Span) or not isinstance(total, Span):
                return each
            total = plus(total, each)
        return total


def reading_of(view: View, each: Occurrence, name: str, side: str) -> Value:
    """A reading of one occurrence; what only the doing tells is free in a plan, what is not written is missing."""
    word = view.book.steps[each.step].readings[name]
    given = each.readings.get((name, side))
    if given is None:
        given = each.readings.get((name, ""))
    if given is not None:
        return given
    if word.sided and not side and each.sides:
        return reading_of(view, each, name, each.sides[0])
    if view.plan and not word.planned:
        return free(word)
    if word.otherwise:
        view.assumed[f"{name} of {each.step}"] = word.otherwise
        return assumed(word)
    return Missing(Cause("reading", f"{each.step}.{name}", side, each.index, why="not recorded"))


def free(word: ir.Word) -> Value:
    """Any value the reading can have, known only when done."""
    if word.kind == "yes-no":
        return Words(("no", "yes"), free=True)
    if word.kind in ("choice", "text", "list", "date", "names"):
        return Words(word.choices, free=True)
    least, most = word.possible or (None, None)
    return Span(least, most, free=True)


def assumed(word: ir.Word) -> Value:
    """The value that is taken where none is given."""
    return _assumed(word.name, word.kind, word.otherwise)


@lru_cache(maxsize=1000)
def _assumed(name: str, kind: str, text: str) -> Value:
    from ringcut.reading.measures import Refusal, read_measure
    from ringcut.relations.spans import Listed

    if kind == "list":
        return Listed(tuple(part for part in text.strip("[]").replace(",", " ").split() if part != "none"))
    if kind in ("yes-no", "choice", "text", "date", "names"):
        return Words((text,))
    found = read_measure(text, kind, plan=True)
    if isinstance(found, Refusal):
        return Missing(Cause("fact", name, why="unreadable"))
    return Span(found.low, found.high, found.low_open, found.high_open)


def _each_for_itself(procedure: Procedure) -> Procedure:
    """The same with entries of its own, all of which have a place."""
    own = [msgspec.structs.replace(each, placed=True) for each in procedure.occurrences]
    changed: Procedure = msgspec.structs.replace(procedure, occurrences=own)
    return changed


def _one_closure(procedure: Procedure, book: ir.Rulebook, closure: str) -> Procedure:
    kept = [each for each in procedure.occurrences if each.closure in ("", closure) or book.steps[each.step].site]
    at = {each.index: position for position, each in enumerate(kept)}
    copies = [msgspec.structs.replace(each, index=at[each.index]) for each in kept]
    return msgspec.structs.replace(
        procedure,
        occurrences=copies,
        edges=_edges_among(procedure, at) if procedure.plan else [],
        not_done=[each for each in procedure.not_done if each.closure in ("", closure)],
        displaced=[at[index] for index in procedure.displaced if index in at],
    )


def _edges_among(procedure: Procedure, at: dict[int, int]) -> list[tuple[int, int]]:
    """The edges of a plan among some steps, through the steps that are not among them."""
    earlier: list[list[int]] = [[] for _ in procedure.occurrences]
    for first, last in procedure.edges:
        earlier[last].append(first)
    nearest: list[dict[int, None]] = [{} for _ in procedure.occurrences]
    edges: dict[tuple[int, int], None] = {}
    for index in plan_order(len(procedure.occurrences), procedure.edges).line:
        found: dict[int, None] = {}
        for first in earlier[index]:
            found |= {first: None} if first in at else nearest[first]
        nearest[index] = found
        if index in at:
            edges |= dict.fromkeys((at[first], at[index]) for first in found)
    return list(edges)
