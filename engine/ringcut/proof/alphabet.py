"""The letters of the small procedures that can make two rulebooks differ by a rule.

Steps that the rule cannot tell from each other are one letter; a reading has the values at, beside and between the
numbers that the rule compares it with. So the small procedures of a rule can be gone through, smallest first.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.ruletext import TableText
from ringcut.proof.sight import Sight
from ringcut.proof.slots import Slot, slot_of
from ringcut.proof.telling import telling
from ringcut.relations.tables import number_of

MINUTE = Fraction(60)
MOST_ROWS = 8


class Letter(msgspec.Struct, frozen=True):
    """A step that stands for all that the rule takes for the same, with the readings that may matter."""

    step: str
    slots: tuple[Slot, ...] = ()
    trigger: bool = False
    """Whether the rule has anything to look at where it stands."""


class Alphabet(msgspec.Struct, frozen=True):
    """The letters, those the rule names first."""

    letters: tuple[Letter, ...]
    idle: Letter | None
    """A step that the rule does not look at."""
    anywhere: bool
    """Whether the rule looks at procedures without a trigger too."""
    log: bool
    """Whether only a log can show it."""
    gaps: tuple[Fraction, ...]
    """Seconds between two entries that may matter; none: time does not matter."""
    numbers: dict[str, set[Fraction]]
    """By kind, the numbers that matter."""
    done: dict[str, frozenset[str]]
    """By step, the readings that only the doing tells."""


def alphabet(sights: Sequence[Sight]) -> Alphabet:
    """The alphabet of a rule, as it stands in one or two rulebooks; the newer first."""
    rules = [rule for each in sights for rule in each.rules]
    numbers = _numbers(sights)
    letters, idle = _letters(sights, rules, numbers)
    durations = {each for rule in rules for each in _durations(rule.form)}
    durations |= {s.lapses for each in sights for s in each.conditions.values() if s.lapses is not None}
    steps = [step for each in sights for step in each.book.steps.values()]
    return Alphabet(
        letters=letters,
        idle=idle,
        anywhere=any(_triggers(rule.form) is None for rule in rules),
        log=bool(durations) or any(isinstance(rule.form, ir.Record | ir.Pattern) for rule in rules),
        gaps=_gaps(durations),
        numbers=numbers,
        done={step.name: frozenset(w.name for w in step.readings.values() if not w.planned) for step in steps},
    )


def _letters(
    sights: Sequence[Sight], rules: Sequence[ir.Rule], numbers: dict[str, set[Fraction]]
) -> tuple[tuple[Letter, ...], Letter | None]:
    given, looked_up = _case_values(rules), _looked_up(sights)
    named = [name for rule in rules for name in ir.steps_named(rule.form)]
    named += [step for each in sights for step, _ in each.readings]
    triggers = {name for rule in rules for name in _triggers(rule.form) or ()}
    letters: dict[Any, Letter] = {}
    idle = None
    for name in dict.fromkeys([*named, *(step for each in sights for step in each.book.steps)]):
        words = {word.name: word for each in sights for (step, _), word in each.readings.items() if step == name}
        slots = tuple(
            slot_of(
                word,
                numbers,
                telling(n.Reading(name, word.name), sights),
                given.get((name, word.name), ()),
                looked_up.get((name, word.name), ()),
                name in triggers,
            )
            for word in words.values()
        )
        does = tuple(_does(each, each.book.steps[name]) for each in sights if name in each.book.steps)
        marks = tuple(name in each.names for rule in rules for each in _step_sets(rule.form))
        if any(marks) or any(effects for effects, *_ in does) or slots:
            letters.setdefault((marks, does, name if slots else ""), Letter(name, slots, name in triggers))
        elif idle is None:
            idle = Letter(name)
    return tuple(letters.values()), idle


def _step_sets(form: ir.Form) -> list[ir.StepSet]:
    found: list[ir.StepSet] = []
    for field in form.__struct_fields__:
        held = getattr(form, field)
        found += [each for each in (held if isinstance(held, tuple) else (held,)) if isinstance(each, ir.StepSet)]
    return found


def _does(found: Sight, step: ir.Step) -> tuple[Any, ...]:
    """What a step does to the conditions that matter, and how it is told from others."""
    effects = tuple(effect for effect in step.effects if effect.condition in found.conditions)
    return effects, step.sided, step.again, step.site, step.lasting


def _triggers(form: ir.Form) -> tuple[str, ...] | None:
    """The steps without which a rule looks at nothing; None where it looks at the procedure as a whole."""
    match form:
        case ir.Order(links):
            return tuple(name for link in links[1:] for name in link.names)
        case ir.Need(before=steps) | ir.Keep(start=steps) | ir.Limit(of=steps) | ir.Record(of=steps):
            return None if steps.moment else steps.names
        case ir.Elapsed(start=start, to=to):
            return None if start.moment or to.moment else (*start.names, *to.names)
    return None


def _durations(form: ir.Form) -> list[Fraction]:
    """The times that a form compares with, in seconds."""
    names = ("within", "at_least", "at_most", "every")
    return [held for name in names if isinstance(held := getattr(form, name, None), Fraction)]


def _gaps(durations: Iterable[Fraction]) -> tuple[Fraction, ...]:
    """Gaps between the durations, at them, beside them, and one that is shorter than all."""
    row = sorted(set(durations))
    between = [(one + two) / 2 for one, two in zip(row, row[1:], strict=False)]
    beside = [each + MINUTE for each in row] + [each - MINUTE for each in row if each > MINUTE]
    return tuple(dict.fromkeys([*between, *row, *beside, row[0] / 2])) if row else ()


def _numbers(sights: Iterable[Sight]) -> dict[str, set[Fraction]]:
    """By kind, the numbers that the expressions name, and those of the look-ups in them."""
    found: dict[str, set[Fraction]] = {}
    for each in sights:
        for node in each.nodes:
            if isinstance(node, n.Const):
                found.setdefault(node.kind, set()).add(node.value)
            elif isinstance(node, n.Lookup):
                _add_table(each.book.tables[node.table], found)
    return found


def _add_table(table: TableText, found: dict[str, set[Fraction]]) -> None:
    ranged = next((key for key, how in table.keys.items() if how == "range"), "")
    for row in table.rows[:MOST_ROWS]:
        for column, cell in zip(table.columns, row, strict=True):
            name = ranged if column in ("from", "to") else column
            if cell.text and (kind := table.kind_of(name)):
                found.setdefault(kind, set()).add(number_of(cell, kind, table.unit_of(name)))


def _looked_up(sights: Iterable[Sight]) -> dict[tuple[str, str], list[str]]:
    """By step and reading, the rows of the tables that it is a key of."""
    found: dict[tuple[str, str], list[str]] = {}
    for each in sights:
        for node in each.nodes:
            if isinstance(node, n.Lookup):
                table = each.book.tables[node.table]
                for key, (name, how) in zip(node.keys, table.keys.items(), strict=True):
                    if isinstance(key, n.Reading) and how == "exact":
                        at = table.columns.index(name)
                        found.setdefault((key.step, key.name), []).extend(row[at].text for row in table.rows)
    return found


def _case_values(rules: Iterable[ir.Rule]) -> dict[tuple[str, str], tuple[str, ...]]:
    """By step and reading, what the cases beside the rules give it."""
    found: dict[tuple[str, str], dict[str, None]] = {}
    for case in (case for rule in rules for case in rule.cases if isinstance(case, dict)):
        steps = case.get("steps", case.get("log", []))
        for step in steps if isinstance(steps, list) else []:
            for key, given in step.items() if isinstance(step, dict) else ():
                if isinstance(given, str):
                    found.setdefault((str(step.get("do", "")), key), {})[given] = None
    return {key: tuple(each) for key, each in found.items()}
