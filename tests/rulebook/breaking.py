"""Breaking one rule at a time: every small damage to a model procedure that could touch a rule, gentlest first.

A reading is moved across its limit by one step of its resolution, a step is left out, moved or done where it should
not be, a reading is not written down, or time passes. Plans first; what only a log shows is tried on the log.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction

import msgspec

from ringcut.draft.models import job_view
from ringcut.judge.findings import NONCONFORMING, UNDETERMINED, Report
from ringcut.language import ir
from ringcut.reading.measures import Measure, read_measure, show
from ringcut.reading.problems import NOWHERE, Problem
from ringcut.reading.raw import RawProcedure, RawReading, RawStep
from ringcut.relations.evaluate import truth
from ringcut.relations.truth import YES

from .goodwork import done, good, judged, phrase, reading, step, steps_of, with_steps
from .relevant import atoms_of, nodes_of, readings_of, steps_of_rule

FARTHEST = 4096
"""Resolution steps, or minutes, beyond which no limit is looked for."""
GAUGES = ("7 AWG", "8 AWG", "13.2 mm2", "10 AWG")
"""Wires and sections a little too thin, in place of a resolution step."""
PUT_IN = {
    "move-cable": {"bend-radius": "30 in"},
    "fire-watch": {"duration": "30 min"},
    "post-attendant": {"first-aid-trained": "no"},
    "bond-strand": {"conductor-size": "6 AWG"},
    "dig": {"by-hand": "yes"},
    "place-temporary-bond": {"conductor-size": "6 AWG"},
}
"""What is planned of a step that no model has, so that nothing else is left open by it."""

Breaks = Callable[[RawProcedure], bool]


class Damage(msgspec.Struct, frozen=True):
    """A procedure that one rule does not let pass, and what was done to it, in words."""

    words: str
    raw: RawProcedure


def damages(plan: RawProcedure, rule: ir.Rule, book: ir.Rulebook, breaks: Breaks) -> Iterator[Damage]:
    """Every damage to a good plan, or to the log made from it, that ``breaks`` the rule; gentlest first."""
    touched = steps_of_rule(rule, book)
    log = done(plan, book)
    yield from _readings(plan, rule, book, breaks)
    out, near = _left_out(plan, touched), _near(plan, touched)
    yield from _broken(out, breaks)
    yield from _broken(_moved(plan, touched, near), breaks)
    yield from _broken(_put_in(plan, touched, near), breaks)
    yield from _readings(log, rule, book, breaks)
    yield from _broken(_unwritten(log, rule, book), breaks)
    if looks_at_time(rule, book):
        yield from _delayed(plan, book, breaks)
    everywhere = range(len(plan.steps) + 1)
    yield from _broken(_moved(plan, touched, everywhere), breaks)
    yield from _broken(_put_in(plan, touched, everywhere), breaks)
    for each in [*out, *_put_in(plan, touched, near), *_moved(plan, touched, near)]:
        yield from _broken([Damage(f"log: {each.words}", done(each.raw, book))], breaks)
        for also in _readings(done(each.raw, book), rule, book, breaks):
            yield msgspec.structs.replace(also, words=f"{each.words}; {also.words}")


def looks_at_time(rule: ir.Rule, book: ir.Rulebook) -> bool:
    """Whether a rule can be broken by nothing but time."""
    atoms = atoms_of(nodes_of(rule.form), book)
    within = isinstance(rule.form, ir.Need | ir.Keep) and rule.form.within is not None
    return within or isinstance(rule.form, ir.Elapsed | ir.Repeat) or any(book.conditions[a].lapses for a in atoms)


def _broken(found: Iterable[Damage], breaks: Breaks) -> Iterator[Damage]:
    return (each for each in found if breaks(each.raw))


# ---- steps ------------------------------------------------------------------------------------------------------


def _left_out(plan: RawProcedure, touched: list[str]) -> list[Damage]:
    steps = steps_of(plan)
    found = []
    for index, each in enumerate(steps):
        if each.do.text in touched:
            rest = [*steps[:index], *steps[index + 1 :]]
            found.append(Damage(f"without {each.do.text} ({index})", with_steps(plan, rest)))
    for name in touched:
        if sum(each.do.text == name for each in steps) > 1:
            rest = [each for each in steps if each.do.text != name]
            found.append(Damage(f"without any {name}", with_steps(plan, rest)))
    return found


def _near(plan: RawProcedure, touched: list[str]) -> list[int]:
    """The places beside a step that a rule looks at, and both ends."""
    steps = steps_of(plan)
    beside_it = {at for index, each in enumerate(steps) if each.do.text in touched for at in (index, index + 1)}
    return sorted({0, len(steps), *beside_it})


def _moved(plan: RawProcedure, touched: list[str], places: Sequence[int]) -> Iterator[Damage]:
    steps = steps_of(plan)
    movable = [index for index, each in enumerate(steps) if each.do.text in touched]
    pairs = [(index, to) for index in movable for to in places if to not in (index, index + 1)]
    for index, to in sorted(pairs, key=lambda pair: abs(pair[0] - pair[1])):
        at = to - (to > index)
        rest = [*steps[:index], *steps[index + 1 :]]
        moved = [*rest[:at], steps[index], *rest[at:]]
        yield Damage(f"{steps[index].do.text} moved from {index} to {at}", with_steps(plan, moved))


def _put_in(plan: RawProcedure, touched: list[str], places: Sequence[int]) -> Iterator[Damage]:
    steps = steps_of(plan)
    for name in touched:
        new = next((each for each in steps if each.do.text == name), step(name, **PUT_IN.get(name, {})))
        for to in reversed(places):
            with_it = [*steps[:to], new, *steps[to:]]
            yield Damage(f"{name} put in at {to}", with_steps(plan, with_it))


# ---- readings ---------------------------------------------------------------------------------------------------


def _readings(raw: RawProcedure, rule: ir.Rule, book: ir.Rulebook, breaks: Breaks) -> Iterator[Damage]:
    steps = steps_of(raw)
    for doing, name in readings_of(rule, book):
        word = book.steps[doing].readings.get(name)
        if word is None or (raw.kind == "plan" and not word.planned):
            continue
        for index, each in enumerate(steps):
            given = _given(each, doing, name, word, raw.kind) if each.do.text == doing else None
            for side in ("B", "A") if word.sided else ("",):
                spot = Spot(raw, index, name, side, word)
                for text in _others(given, spot, breaks) if given is not None else ():
                    if breaks(spot.with_text(text)):
                        yield Damage(
                            f"{raw.kind}: {doing} ({index}) {name} {text} {side}".strip(), spot.with_text(text)
                        )


class Spot(msgspec.Struct, frozen=True):
    """One reading of one step, on one side where it is one a side."""

    raw: RawProcedure
    index: int
    name: str
    side: str
    word: ir.Word

    def with_text(self, text: str) -> RawProcedure:
        """The procedure with another text there."""
        steps = steps_of(self.raw)
        each = steps[self.index]
        old = next((said for said in each.readings if said.name.text == self.name), None)
        others = tuple(said for said in each.readings if said.name.text != self.name)
        new = reading(self.name, text)
        if self.side and old is not None and old.value is not None and not each.side:
            texts = {side: phrase(text) if side == self.side else old.value for side in ("A", "B")}
            new = RawReading(phrase(self.name), sides=tuple((phrase(side), each) for side, each in texts.items()))
        changed = msgspec.structs.replace(each, readings=(*others, new))
        return with_steps(self.raw, [*steps[: self.index], changed, *steps[self.index + 1 :]])


def _given(each: RawStep, step: str, name: str, word: ir.Word, kind: str) -> str | None:
    for said in each.readings:
        if said.name.text == name and said.value is not None:
            return said.value.text
    if kind == "log" and not word.planned:
        return good(step, name)
    return word.otherwise or None


def _others(given: str, spot: Spot, breaks: Breaks) -> Iterator[str]:
    word = spot.word
    if word.kind == "yes-no":
        yield "no" if given == "yes" else "yes"
    elif word.kind == "choice":
        yield from (choice for choice in word.choices if choice != given)
    elif word.kind == "wire-size":
        yield from GAUGES
    else:
        measure = read_measure(given, word.kind)
        assert isinstance(measure, Measure) and measure.low is not None, given
        for sign in (1, -1):
            yield from _across(measure.low, sign * (word.resolution or Fraction(1)), spot, breaks)


def _across(value: Fraction, grid: Fraction, spot: Spot, breaks: Breaks) -> Iterator[str]:
    """The value nearest to a good one, on the grid of its resolution, that breaks the rule, if there is one."""
    possible = spot.word.possible

    def text(count: int) -> str:
        return show(value + count * grid, spot.word.kind, spot.word.unit)

    count = first_bad(
        lambda count: breaks(spot.with_text(text(count))),
        lambda count: possible is None or possible[0] <= value + count * grid <= possible[1],
    )
    if count is not None:
        yield text(count)


def first_bad(is_bad: Callable[[int], bool], is_possible: Callable[[int], bool]) -> int | None:
    """The smallest count from 1 that is bad, found by doubling and halving; it must be bad from there on."""
    good_one, bad_one = 0, 1
    while is_possible(bad_one) and not is_bad(bad_one):
        good_one, bad_one = bad_one, 2 * bad_one
        if bad_one > FARTHEST:
            return None
    if not is_possible(bad_one):
        return None
    while bad_one - good_one > 1:
        middle = (good_one + bad_one) // 2
        if is_bad(middle):
            bad_one = middle
        else:
            good_one = middle
    return bad_one


def _unwritten(log: RawProcedure, rule: ir.Rule, book: ir.Rulebook) -> Iterator[Damage]:
    steps = steps_of(log)
    wanted = set(readings_of(rule, book))
    for index, each in enumerate(steps):
        for said in each.readings:
            if (each.do.text, said.name.text) in wanted:
                rest = tuple(other for other in each.readings if other is not said)
                changed = msgspec.structs.replace(each, readings=rest)
                found = with_steps(log, [*steps[:index], changed, *steps[index + 1 :]])
                yield Damage(f"log: {each.do.text} ({index}) without {said.name.text}", found)


# ---- time -------------------------------------------------------------------------------------------------------


def _delayed(plan: RawProcedure, book: ir.Rulebook, breaks: Breaks) -> Iterator[Damage]:
    for index, each in enumerate(steps_of(plan)):

        def late(minutes: int, index: int = index) -> RawProcedure:
            return done(plan, book, {index: Fraction(60 * minutes)})

        if not breaks(late(FARTHEST)):
            continue
        count = first_bad(lambda minutes: breaks(late(minutes)), lambda minutes: True)
        if count is not None:
            yield Damage(f"log: {count} min pass before {each.do.text} ({index})", late(count))


# ---- who is flagged ---------------------------------------------------------------------------------------------


def flagged(report: Report) -> set[str]:
    """The rules that do not conform, or of which it cannot be said."""
    return {each.rule for each in report.rules if each.verdict in (NONCONFORMING, UNDETERMINED)}


def followers(name: str, book: ir.Rulebook) -> set[str]:
    """A rule and all that follow from it, at any distance."""
    found = {name}
    while True:
        more = {rule.id for rule in book.rules if found & set(rule.follows_from)} - found
        if not more:
            return found
        found |= more


def beside(name: str, report: Report, book: ir.Rulebook) -> set[str]:
    """The rules flagged that neither follow from a rule nor are told as one cause with one of those."""
    own = followers(name, book)
    groups = {each.group for each in report.findings if each.rule in own}
    told = {each.rule for each in report.findings if each.group in groups}
    return flagged(report) - own - told


def is_meant(rule: ir.Rule, plan: RawProcedure, book: ir.Rulebook) -> bool:
    """Whether the job is one for which the rule is there."""
    problems: list[Problem] = []
    view = job_view(plan.job, book, problems, NOWHERE)
    return rule.when is None or any(truth(rule.when, view, side).level == YES for side in view.sides)


def breaks_rule(rule: ir.Rule, book: ir.Rulebook) -> Breaks:
    """Whether a procedure is nonconforming by one rule."""
    alone = msgspec.structs.replace(book, rules=(rule,), warnings=())
    return lambda raw: judged(raw, alone).rules[0].verdict == NONCONFORMING
