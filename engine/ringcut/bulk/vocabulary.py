"""A rulebook taken apart once for judging many logs: what each rule looks at, and which comparisons a letter settles.

A comparison that rests on one reading and on words of the job is settled by that reading's text (``local``). One that
rests on several readings of the entry that it guards is settled by the entry (``guarding``). Every other comparison
of readings is left to ``checks``.
"""

from __future__ import annotations

from ringcut.bulk.footprint import (
    Footprint,
    Unit,
    expressions,
    facts_in,
    footprint,
    guards_of,
    is_number,
    readings_in,
    units_in,
)
from ringcut.language import ir
from ringcut.language import nodes as n


class Vocabulary:
    """The rulebook's comparisons, sorted by what settles them."""

    def __init__(self, book: ir.Rulebook) -> None:
        self.book = book
        self.footprints: tuple[Footprint, ...] = tuple(footprint(rule, book) for rule in book.rules)
        """Of each rule by its place: where a local practice changes one for some jobs, two have one name."""
        named: dict[str, list[int]] = {}
        for place in reversed(range(len(book.rules))):
            named.setdefault(book.rules[place].id, []).insert(0, place)
        self.named = dict(reversed(named.items()))
        """The places of the rules of each name, in the order in which a report has them."""
        self.local: dict[tuple[str, str], list[n.Node]] = {}
        """(step, reading) -> the comparisons that this reading settles."""
        self.guarding: dict[str, list[n.Node]] = {}
        """Step -> the comparisons of its guards that rest on several of its readings, or on numbers of the job."""
        self.of_job: list[n.Node] = []
        """Comparisons of job facts."""
        self.compared: dict[str, list[tuple[str, str]]] = {}
        self.words, self.numbers = self._facts()
        self.exact_facts: set[str] = set()
        """Numbers of the job that guards compare with readings: jobs that differ in them have nothing in common."""
        seen: set[n.Node] = set()
        for node in expressions(book):
            for unit in units_in(node, book):
                if unit.node not in seen:
                    seen.add(unit.node)
                    self._sort(unit)
        self._guards()
        self.of_job += [each.applies for each in book.subjects.values() if each.applies is not None]
        self.people = frozenset(step for looks in self.footprints if looks.people for step in looks.steps)
        """Steps for which it matters who did them."""

    def _facts(self) -> tuple[list[str], list[str]]:
        """The facts that expressions, the cover and what is impossible name: those of words, and those of numbers."""
        book = self.book
        found = {name for node in expressions(book) for name in facts_in(node, book)}
        found |= {name for gap in book.gaps for name in facts_in(gap.when, book)} | set(book.covers)
        applies = [each.applies for each in book.subjects.values() if each.applies is not None]
        found |= {name for node in applies for name in facts_in(node, book)}
        found |= {gap.differs for gap in book.gaps if gap.differs}
        found |= {name for each in book.impossible for name in facts_in(each.when, book)}
        names = sorted(name for name in found if book.facts[name].means is None)
        numbers = [name for name in names if is_number(book.facts[name])]
        return [name for name in names if name not in numbers], numbers

    def is_local(self, unit: Unit) -> bool:
        """Whether one reading's text settles a comparison, in jobs of one kind."""
        numbers = any(is_number(self.book.facts[name]) for name in unit.facts)
        return len(unit.readings) == 1 and not unit.joined and not numbers

    def by_name(self, codes: bytes) -> bytes:
        """The codes of rules as one for each name: the worst."""
        if len(self.named) == len(codes):
            return codes
        return bytes([max(codes[place] for place in places) for places in self.named.values()])

    def _sort(self, unit: Unit) -> None:
        if not unit.readings:
            self.of_job.append(unit.node)
        elif self.is_local(unit):
            self.local.setdefault(next(iter(unit.readings)), []).append(unit.node)
        else:
            for step, name in sorted(unit.readings):
                self._compare(step, name)

    def _compare(self, step: str, name: str) -> None:
        word = self.book.steps[step].readings[name]
        if is_number(word):
            wanted = self.compared.setdefault(step, [])
            keys = [(name, side) for side in (self.book.sides if word.sided else ("",))]
            wanted += [key for key in keys if key not in wanted]

    def _guards(self) -> None:
        for step in self.book.steps.values():
            for unit in (unit for node in guards_of(step) for unit in units_in(node, self.book)):
                if unit.readings and not self.is_local(unit):
                    self.guarding.setdefault(step.name, []).append(unit.node)
                    self.exact_facts |= {name for name in unit.facts if is_number(self.book.facts[name])}
        for node in self.book.quantities.values():
            for owner, name in sorted(readings_in(node, self.book)):
                self._compare(owner, name)
