"""Why no choice of the open readings conforms, in words: what was to be chosen, and what is against it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import msgspec

from ringcut.fit.answers import Budget, NoSolution
from ringcut.fit.binding import Bound, Opened
from ringcut.fit.bindinglimits import Open, Translation
from ringcut.fit.problem import Label, Problem
from ringcut.fit.solve import DEFAULT, first
from ringcut.forms.telling import tell
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import Refusal, read_measure
from ringcut.relations.evaluate import value
from ringcut.relations.spans import Missing, Span, Words


class Member(msgspec.Struct, frozen=True, rename="kebab"):
    """One rule of a conflict: without it there would be a choice."""

    rule: str
    says: str
    steps: tuple[str, ...]
    lines: tuple[int, ...] = ()
    along: tuple[str, ...] = ()
    """Rules that would have to go with it, because they ask for the same in another way."""


class Conflict(msgspec.Struct, frozen=True, rename="kebab"):
    """Rules that leave no choice together; ``minimal``: any one taken out makes a choice possible."""

    words: str
    members: tuple[Member, ...]
    minimal: bool = True


def conflict_of(opened: Opened, answer: NoSolution, budget: Budget = DEFAULT) -> Conflict:
    """A conflict as people say it: "no sleeve length fits: opening length 31 in, bond 5 in"."""
    members = tuple(_member(opened, label, answer.conflict, budget) for label in answer.conflict)
    return Conflict(words_of_conflict(opened, answer.conflict), members, answer.minimal)


def words_of_conflict(opened: Opened, conflict: Sequence[Label], more: Iterable[str] = ()) -> str:
    """What was to be chosen, the numbers that are against it, and what else was given."""
    bound = bound_in(opened, conflict)
    names = dict.fromkeys(
        opened.word(where).name.replace("-", " ") for each in bound for where in asked_by(opened, each)
    )
    facts = dict.fromkeys([*(fact for each in bound for fact in _facts(opened, each)), *more])
    return f"no {' and '.join(names) or 'choice'} fits" + (f": {', '.join(facts)}" if facts else "")


def bound_in(opened: Opened, conflict: Sequence[Label]) -> list[Bound]:
    """Where the rules of a conflict were bound."""
    return [each for label in conflict for each in opened.bound.get(label.id, ())]


def _member(opened: Opened, label: Label, conflict: tuple[Label, ...], budget: Budget) -> Member:
    entries = [
        opened.view.occurrences[index]
        for each in opened.bound.get(label.id, ())
        for index in each.env.chosen.values()
        if index is not None
    ]
    steps = tuple(dict.fromkeys(each.label for each in entries))
    lines = tuple(dict.fromkeys(each.place.line for each in entries if each.place.line))
    return Member(label.id, label.words, steps, lines, _along(opened, label, conflict, budget))


def _along(opened: Opened, label: Label, conflict: tuple[Label, ...], budget: Budget) -> tuple[str, ...]:
    gone = [label]
    problem = opened.problem()
    while True:
        kept = tuple(c for c in problem.constraints if c.label not in gone)
        answer = first(Problem(problem.variables, kept), budget)
        others = [each for each in answer.conflict if each not in conflict] if isinstance(answer, NoSolution) else []
        if not others:
            return tuple(each.id for each in gone[1:])
        about = _readings(opened, label)
        gone.append(max(others, key=lambda each: len(about & _readings(opened, each))))


def _readings(opened: Opened, label: Label) -> set[Open]:
    return {where for each in opened.bound.get(label.id, ()) for where in asked_by(opened, each)}


def asked_by(opened: Opened, bound: Bound) -> Iterable[Open]:
    """The open readings that a limit looks at."""
    return Translation(bound.env, bound.side, opened.domains, None).scope(bound.what)


def _facts(opened: Opened, bound: Bound) -> Iterator[str]:
    asked = set(asked_by(opened, bound))
    for node in _leaves(bound.what):
        match node:
            case n.Fact(name):
                yield from _known(node, name, bound, opened.view.book.facts[name])
            case n.Reading(step, name):
                word = opened.view.book.steps[step].readings[name]
                for side in bound.env.sides if word.sided else ("",):
                    where = bound.env.where(step, name, side)
                    if where in asked:
                        continue
                    typed = opened.view.occurrences[where.at].texts if where else {}
                    text, _ = typed.get((name, side)) or typed.get((name, "")) or ("", None)
                    if text and word.kind in ("text", "choice"):
                        yield f"{name.replace('-', ' ')} {text}"
                    else:
                        yield from _known(node, name, bound, word, side)
            case n.Const(number, kind, unit):
                name = _named(bound.rule, number, kind)
                if name:
                    told = tell(Span(number, number), kind, unit)
                    yield f"{name.replace('-', ' ')} {told}"
            case n.Lookup(table, _, column):
                yield from _cells(opened, bound, node, table, column)


def _leaves(node: n.Node) -> Iterator[n.Node]:
    if isinstance(node, n.Lookup | n.Reading | n.Fact | n.Const):
        yield node
    for child in n.children(node):
        yield from _leaves(child)


def _known(node: n.Node, name: str, bound: Bound, word: ir.Word, side: str = "") -> Iterator[str]:
    found = value(node, bound.env, side)
    if isinstance(found, Missing) or isinstance(found, Span | Words) and found.free:
        return
    place = f" {side}" if side else ""
    yield f"{name.replace('-', ' ')}{place} {tell(found, word.kind, word.unit)}"


def _named(rule: ir.Rule, number: object, kind: str) -> str:
    for name, each in rule.values.items():
        read = read_measure(each.text, kind, plan=True) if kind else None
        if not isinstance(read, Refusal | None) and read.low == number:
            return name
    return ""


def _cells(opened: Opened, bound: Bound, node: n.Lookup, table: str, column: str) -> Iterator[str]:
    found = value(node, bound.env, bound.side)
    text = opened.view.book.tables[table]
    name = f"{table} {column}".replace("-", " ")
    kind, unit = text.kinds.get(column, ""), text.units.get(column, "")
    if isinstance(found, Span) and not Translation(bound.env, bound.side, opened.domains, None).scope(node):
        yield f"{name} {tell(found, kind, unit)}"
    elif kind:
        at = text.columns.index(column)
        numbers = [read_measure(f"{row[at].text} {unit}".strip(), kind, plan=True) for row in text.rows]
        lows = [each.low for each in numbers if not isinstance(each, Refusal) and each.low is not None]
        if lows:
            yield f"{name} {tell(Span(min(lows), max(lows)), kind, unit)}"
