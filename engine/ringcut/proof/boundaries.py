"""Numbers that no case would notice: each is moved by one step of what people can read, and the cases are run again.

They are the values of rules and the numbers that stand in their formulas. Those of one rule do not touch the cases of
another, so one number of every rule is moved at a time, all at once; a value of the vocabulary is moved alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

import msgspec

from ringcut.judge.cases import run_case
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.compile import compile_partly
from ringcut.language.ruletext import RuleText
from ringcut.language.sources import Sources
from ringcut.language.strictness import compare_rulebooks
from ringcut.language.words import ValueText
from ringcut.proof.ownnumbers import numbers_of, with_text
from ringcut.reading.problems import Place
from ringcut.reading.quantity import read_quantity
from ringcut.reading.refusals import Refusal
from ringcut.reading.units import find_unit

UP, DOWN = 1, -1
EIGHTH = Fraction(1, 8)


class Unnoticed(msgspec.Struct, frozen=True, order=True):
    """A number that could be another without any case coming out otherwise.

    ``value``: the name of a value, or the key of the rule in which the number stands, such as ``limit``.
    """

    place: Place
    rule: str
    """Empty for a value of the vocabulary."""
    value: str
    old: str
    new: str

    def __str__(self) -> str:
        whose = f"{self.rule}: {self.value}" if self.rule else self.value
        return f"{whose} {self.old} could be {self.new}, and no case would notice"


Verdicts = dict[tuple[str, str, int], str]
"""By rule, its ``when`` (a house change for some jobs makes two rules of one) and the number of the case."""


def unnoticed(book: ir.Rulebook, sources: Sources, rules: Iterable[str] | None = None) -> Iterator[Unnoticed]:
    """Every number of the rules named (None: of all), and then of the vocabulary, that no case notices."""
    wanted = {rule.id for rule in book.rules} if rules is None else set(rules)
    before = _verdicts(book, wanted)
    most = max((len(numbers_of(text)) for _, text in sources.rules if text.rule.text in wanted), default=0)
    for rank in range(most):
        for way in (UP, DOWN):
            yield from _moved_in_rules(book, sources, wanted, before, rank, way)
    if rules is None:
        for name, value in sources.vocabulary.values.items():
            for way in (UP, DOWN):
                yield from _moved_in_vocabulary(book, sources, before, name, value, way)


def _moved_in_rules(
    book: ir.Rulebook, sources: Sources, wanted: set[str], before: Verdicts, rank: int, way: int
) -> Iterator[Unnoticed]:
    moved: dict[str, Unnoticed] = {}
    texts: list[tuple[str, RuleText]] = []
    for subject, text in sources.rules:
        rule = book.rule(text.rule.text)
        numbers = numbers_of(text) if rule is not None and text.rule.text in wanted else []
        if rank >= len(numbers):
            continue
        number = numbers[rank]
        new = stepped(number.old, way, rule, book)
        if new is None:
            continue
        moved[text.rule.text] = Unnoticed(number.place, text.rule.text, number.name, number.old, new)
        texts.append((subject, number.put(text, new)))
    if not texts:
        return
    changed = compile_partly(msgspec.structs.replace(sources, rules=texts), [])
    left = [rule for rule in changed.rules if rule.id in moved and not _noticed(changed, rule, before)]
    yield from sorted({moved[rule.id] for rule in left})


def _moved_in_vocabulary(
    book: ir.Rulebook, sources: Sources, before: Verdicts, name: str, value: ValueText, way: int
) -> Iterator[Unnoticed]:
    new = stepped(value.value.text, way, None)
    if new is None:
        return
    values = {**sources.vocabulary.values, name: with_text(value, new)}
    vocabulary = msgspec.structs.replace(sources.vocabulary, values=values)
    changed = compile_partly(msgspec.structs.replace(sources, vocabulary=vocabulary), [])
    touched = {effect.rule for effect in compare_rulebooks(book, changed)}
    if not any(_noticed(changed, rule, before) for rule in changed.rules if rule.id in touched):
        yield Unnoticed(value.value.place, "", name, value.value.text, new)


def _noticed(book: ir.Rulebook, rule: ir.Rule, before: Verdicts) -> bool:
    """Whether some case of a rule comes out otherwise than before; the first that does is enough."""
    return any(
        before.get(_key(rule, number)) != run_case(book, rule, number, case).verdict
        for number, case in enumerate(rule.cases, 1)
    )


def _verdicts(book: ir.Rulebook, wanted: set[str]) -> Verdicts:
    return {
        _key(rule, number): run_case(book, rule, number, case).verdict
        for rule in book.rules
        if rule.id in wanted
        for number, case in enumerate(rule.cases, 1)
    }


def _key(rule: ir.Rule, number: int) -> tuple[str, str, int]:
    return rule.id, rule.text.get("when", ""), number


def stepped(text: str, way: int, rule: ir.Rule | None, book: ir.Rulebook | None = None) -> str | None:
    """A value one step up or down, as people write it; None where it is no number or would fall below zero."""
    found = read_quantity(text)
    if isinstance(found, Refusal):
        return None
    unit = "" if found.bare else found.unit.name
    finest = _grid(rule, unit, book)
    step = min(finest, EIGHTH) if finest and unit == "in" else finest or _step(text, unit)
    number = found.number + way * step
    if number < 0:
        return None
    return f"{_written(number, unit)} {unit}".strip()


def _grid(rule: ir.Rule | None, unit: str, book: ir.Rulebook | None) -> Fraction | None:
    """The finest resolution of a reading that the rule's limit has in this unit."""
    if rule is None or book is None or not isinstance(rule.form, ir.Limit):
        return None
    known = find_unit(unit) if unit else None
    words = [
        book.steps[node.step].readings[node.name] for node in n.walk(rule.form.what) if isinstance(node, n.Reading)
    ]
    grids = [word.resolution / known.factor for word in words if known and word.kind in known.kinds and word.resolution]
    return min(grids, default=None)


def _step(text: str, unit: str) -> Fraction:
    """One in the last digit that is written; an eighth where inches are written as fractions or whole."""
    if unit == "in" and "." not in text:
        return EIGHTH
    digits = len(text.partition(" ")[0].partition(".")[2])
    return Fraction(1, 10**digits)


def _written(number: Fraction, unit: str) -> str:
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    if unit == "in" and rest.denominator in (2, 4, 8, 16, 32, 64):
        return f"{whole}-{rest}" if whole else str(rest)
    return f"{float(number):.10g}"
