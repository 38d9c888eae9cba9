"""Lengths, sizes and angles of a plan: what the model procedure has where it conforms, else the nearest that does.

Every planned reading is open. The model's values are pins that are pulled where they stand in the way, the least
weighty first; the sleeve and what goes with it are then chosen by the rulebook's own preference.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from ringcut.draft.stock import sleeves
from ringcut.fit import problem as fit
from ringcut.fit.answers import Budget, GaveUp, NoSolution, Remaining
from ringcut.fit.binding import Opened, facts_again, given_readings, open_readings
from ringcut.fit.bindingdomains import as_in, nearest
from ringcut.fit.bindinglimits import Open
from ringcut.fit.bindingwords import Conflict, conflict_of
from ringcut.fit.solve import DEFAULT, best, remaining
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span, Value, Words

CHOSEN = ("size", "sleeve-length")
"""Readings that are found for the job and not taken from the model."""
FOLLOWING = "channel-length"
"""The reading that has the length of the sleeve, as near as the limits allow: a pin of the model's would hold the
sleeve to that of the model's own opening."""
PULLED_FIRST = (
    "treated-length",
    "scuffed-length",
    "removed-length",
    "bar-length",
    "pad-overlap",
    "bond-length",
    "overlap",
    "reach",
)
"""Pins in the order in which they give way; all others after them."""
ROOM = Fraction(11, 10)
"""A sleeve should slip over a tenth more than the largest estimate, where the stock has one that does."""


@dataclass
class Sized:
    """What was found: texts by (step index, reading) and side, and what was changed against the model.

    ``conflict`` where no choice conforms; ``gave_up`` where the search ended before it was known.
    """

    texts: dict[tuple[int, str], dict[str, str]] = field(default_factory=dict)
    values: dict[Open, fit.Value] = field(default_factory=dict)
    """As chosen, numbers in the base unit."""
    changed: list[Open] = field(default_factory=list)
    conflict: Conflict | None = None
    gave_up: str = ""
    kept: set[tuple[int, str]] = field(default_factory=set)
    """(step index, reading) whose value is the model's own, so that its text can stay."""
    blocked: dict[str, tuple[str, ...]] = field(default_factory=dict)


def sized(procedure: Procedure, book: ir.Rulebook, assume: Mapping[Open, Value], budget: Budget = DEFAULT) -> Sized:
    """Choose every planned reading of a plan; ``assume``: measures that are estimated before the work."""
    granted = {**facts_again(procedure, book), **assume}
    opened = open_readings(procedure, book, assume=granted, wanted=given_readings(procedure), cautious=True)
    found = Sized(blocked=opened.blocked)
    if not opened.domains:
        return found
    _keep_usual(opened)
    fitting = _Fitting(opened, _nominal(procedure), budget)
    answer = fitting.run()
    if isinstance(answer, GaveUp):
        found.gave_up = answer.reason
    elif isinstance(answer, NoSolution):
        found.conflict = conflict_of(opened, answer)
    else:
        found.values = {where: answer[where.name] for where in opened.domains}
        found.changed = fitting.changed
        unknown = _left_open(opened, bool(assume))
        for where, value in found.values.items():
            if where.reading in unknown:
                continue
            found.texts.setdefault((where.at, where.reading), {})[where.side] = _text(opened.word(where), value)
            if fitting.nominal.get(where) == value and where not in fitting.changed:
                found.kept.add((where.at, where.reading))
        found.kept -= {(where.at, where.reading) for where in fitting.changed}
    return found


def _keep_usual(opened: Opened) -> None:
    """Leave out what the plan has where it is not usual: such a reading would be asked about."""
    for where, domain in opened.domains.items():
        usual = opened.word(where).plausible
        numbers = [each for each in domain if isinstance(each, Fraction)]
        kept = tuple(each for each in numbers if usual is None or usual[0] <= each <= usual[1])
        opened.domains[where] = kept or domain


def _left_open(opened: Opened, has_diameters: bool) -> set[str]:
    """What cannot be chosen, because a limit on it waits for a fact that is not known."""
    found = set() if has_diameters else {"size"}
    for rule in opened.view.book.rules:
        if rule.id in opened.blocked and isinstance(rule.form, ir.Limit):
            found |= {node.name for node in n.walk(rule.form.what) if isinstance(node, n.Reading)}
    return found & set(CHOSEN)


def _nominal(procedure: Procedure) -> dict[Open, fit.Value]:
    found: dict[Open, fit.Value] = {}
    for each in procedure.occurrences:
        for (name, side), value in each.readings.items():
            if isinstance(value, Words) and len(value.options) == 1:
                found[Open(each.index, name, side)] = value.options[0]
            elif isinstance(value, Span) and value.exact and value.low is not None:
                found[Open(each.index, name, side)] = value.low
    return found


def _text(word: ir.Word, value: fit.Value) -> str:
    return value if isinstance(value, str) else show(value, word.kind, word.unit)


class _Fitting:
    """The pins of one plan and how they give way."""

    def __init__(self, opened: Opened, nominal: Mapping[Open, fit.Value], budget: Budget) -> None:
        self.opened, self.budget = opened, budget
        self.pins: dict[Open, fit.Constraint] = {}
        domains = opened.domains
        self.nominal = {where: as_in(domains[where], value) for where, value in nominal.items() if where in domains}
        self.changed: list[Open] = []
        self.loose: list[Open] = []
        for where, value in self.nominal.items():
            if where.reading in CHOSEN or where.reading == FOLLOWING:
                continue
            if value in opened.domains[where]:
                self.pins[where] = self._pin(where, value)
            else:
                self.loose.append(where)

    def run(self) -> Mapping[str, fit.Value] | NoSolution | GaveUp:
        """All values by variable name, or why there are none."""
        while True:
            answer = best(self._problem(), (), self.budget)
            if isinstance(answer, GaveUp):
                return answer
            if not isinstance(answer, NoSolution):
                break
            pulled = self._weakest({label.id for label in answer.conflict})
            if not pulled:
                return answer
            for where in pulled:
                del self.pins[where]
                self.loose.append(where)
        for group in self._groups():
            left = self._left(group)
            if isinstance(left, GaveUp):
                return left
            for where in group:
                self._near(where, left)
        return self._finish()

    def _finish(self) -> Mapping[str, fit.Value] | NoSolution | GaveUp:
        answer = best(self._problem(), self.opened.preferences(), self.budget)
        if isinstance(answer, GaveUp | NoSolution):
            return answer
        values = dict(answer.values)
        for where in self.opened.domains:
            if where.reading in CHOSEN and where.reading != "size":
                self.pins[where] = self._pin(where, values[where.name])
        self._follow([values[where.name] for where in self.opened.domains if where.reading == "sleeve-length"])
        return self._with_size() or values

    def _follow(self, lengths: list[fit.Value]) -> None:
        """Pin the channel to the length of the sleeve."""
        wheres = [where for where in self.opened.domains if where.reading == FOLLOWING]
        left = remaining(self._problem(), self.budget) if wheres and lengths else None
        for where in wheres:
            if isinstance(left, Remaining):
                self.nominal[where] = lengths[-1]
                self._near(where, left)

    def _with_size(self) -> Mapping[str, fit.Value] | None:
        """The first size of the stock list that leaves room for a larger diameter than the estimate."""
        sizes = [where for where in self.opened.domains if where.reading == "size"]
        if not sizes:
            return None
        left = remaining(self._problem(), self.budget)
        if not isinstance(left, Remaining):
            return None
        for where in sizes:
            able = left.values[where.name]
            chosen = next((size for size in able if self._has_room(size)), able[0])
            self.pins[where] = self._pin(where, chosen)
        answer = best(self._problem(), self.opened.preferences(), self.budget)
        return None if isinstance(answer, GaveUp | NoSolution) else answer.values

    def _has_room(self, size: fit.Value) -> bool:
        row = next((each for each in sleeves(self.opened.view.book) if each.size == size), None)
        largest = [
            span.high
            for each in self.opened.bound.get("sleeve-slips-over", ())
            for where, span in each.env.given.items()
            if where.reading == "largest" and isinstance(span, Span) and span.high is not None
        ]
        return row is not None and all(row.slips_over >= ROOM * each for each in largest)

    def _pin(self, where: Open, value: fit.Value) -> fit.Constraint:
        return fit.Table((where.name,), ((value,),), fit.Label(where.name))

    def _problem(self, more: tuple[fit.Constraint, ...] = ()) -> fit.Problem:
        # Rules come first: a conflict then names as few pins as it can.
        return self.opened.problem((*self.pins.values(), *more))

    def _weakest(self, labels: set[str]) -> list[Open]:
        """The pins of the least weighty reading in a conflict, on all its sides."""
        named = [where for where in self.pins if where.name in labels]
        if not named:
            return []
        weakest = min(named, key=lambda where: (_weight(where), -where.at))
        return [w for w in self.pins if (w.at, w.reading) == (weakest.at, weakest.reading)]

    def _groups(self) -> list[list[Open]]:
        # What gave way last has the first choice again.
        groups: dict[tuple[int, str], list[Open]] = {}
        for where in reversed(self.loose):
            groups.setdefault((where.at, where.reading), []).append(where)
        return [sorted(group) for group in groups.values()]

    def _left(self, group: list[Open]) -> Remaining | GaveUp:
        equal = tuple(
            fit.Linear({group[0].name: Fraction(1), other.name: Fraction(-1)}, "=", Fraction(0))
            for other in group[1:]
            if not isinstance(self.opened.domains[other][0], str)
        )
        for more in (equal, ()):
            answer = remaining(self._problem(more), self.budget)
            if isinstance(answer, Remaining):
                return answer
        return answer if isinstance(answer, GaveUp) else GaveUp("the pins leave nothing")

    def _near(self, where: Open, left: Remaining) -> None:
        wanted, values = self.nominal[where], left.values[where.name]
        value = nearest(values, wanted) if isinstance(wanted, Fraction) else values[0]
        self.pins[where] = self._pin(where, value)
        self.changed.append(where)


def _weight(where: Open) -> int:
    return PULLED_FIRST.index(where.reading) if where.reading in PULLED_FIRST else len(PULLED_FIRST)
