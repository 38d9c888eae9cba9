"""The numbers of a rule, under its values and in its formula, each with the way to put another in its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import msgspec

from ringcut.language.grammar import Slip, parse
from ringcut.language.ruletext import RuleText
from ringcut.language.words import ValueText
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place

EXPRESSIONS = ("limit", "unclear", "need", "keep", "while_", "when")
"""Keys of a rule whose text is an expression."""
LENGTHS = ("within", "every")
"""Keys whose text is a length of time, or the name of a value."""
GAPS = ("at_least", "at_most")


class Number(NamedTuple):
    """A number of a rule: its place, what it is called, its text, and the rule with another text in its place."""

    place: Place
    name: str
    old: str
    put: Callable[[RuleText, str], RuleText]


def numbers_of(rule: RuleText) -> list[Number]:
    """Every number of a rule: its values first, then those in its formula."""
    found = [Number(value.value.place, name, value.value.text, _put_value(name)) for name, value in rule.values.items()]
    for key in EXPRESSIONS:
        if (phrase := getattr(rule, key)) is not None:
            found += [_in_phrase(phrase, key, *span) for span in _spans(phrase.text)]
    for key in LENGTHS:
        phrase = getattr(rule, key)
        if phrase is not None and phrase.text[:1].isdigit():
            found.append(_in_phrase(phrase, key, 0, len(phrase.text)))
    if rule.count is not None:
        found += [_in_phrase(rule.count, "count", *each.span()) for each in re.finditer(r"\d+", rule.count.text)]
    for key in GAPS if rule.elapsed is not None else ():
        phrase = getattr(rule.elapsed, key)
        if phrase is not None and phrase.text[:1].isdigit():
            found.append(Number(phrase.place, key.replace("_", "-"), phrase.text, _put_gap(key)))
    return found


def with_text(value: ValueText, text: str) -> ValueText:
    """A value with another number."""
    return msgspec.structs.replace(value, value=msgspec.structs.replace(value.value, text=text))


def _put_value(name: str) -> Callable[[RuleText, str], RuleText]:
    def put(rule: RuleText, new: str) -> RuleText:
        changed: RuleText = msgspec.structs.replace(
            rule, values={**rule.values, name: with_text(rule.values[name], new)}
        )
        return changed

    return put


def _put_gap(key: str) -> Callable[[RuleText, str], RuleText]:
    def put(rule: RuleText, new: str) -> RuleText:
        assert rule.elapsed is not None
        phrase = getattr(rule.elapsed, key)
        elapsed = msgspec.structs.replace(rule.elapsed, **{key: msgspec.structs.replace(phrase, text=new)})
        changed: RuleText = msgspec.structs.replace(rule, elapsed=elapsed)
        return changed

    return put


def _in_phrase(phrase: Phrase, key: str, start: int, end: int) -> Number:
    """The number from one letter of an expression to another."""

    def put(rule: RuleText, new: str) -> RuleText:
        text = phrase.text[:start] + new + phrase.text[end:]
        changed: RuleText = msgspec.structs.replace(rule, **{key: msgspec.structs.replace(phrase, text=text)})
        return changed

    column = phrase.place.column + start if phrase.plain and phrase.place.column else phrase.place.column
    place = Place(phrase.place.file, phrase.place.line, column)
    return Number(place, key.rstrip("_"), phrase.text[start:end], put)


def _spans(text: str) -> list[tuple[int, int]]:
    """Where the numbers of an expression stand; words of a list are names, not numbers."""
    try:
        return list(_walked(parse(text)))
    except Slip:
        return []


def _walked(tree: tuple[Any, ...]) -> Iterator[tuple[int, int]]:
    label, _, *parts = tree
    for part in parts:
        if not isinstance(part, tuple):
            continue
        if label in ("measure", "number") and part[0] == "token":
            yield part[1] - 1, part[1] - 1 + len(part[2])
        elif part[0] != "token":
            yield from _walked(part)
