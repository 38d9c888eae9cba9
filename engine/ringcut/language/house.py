"""A house rulebook as it stands in YAML: changes to the layer below, new rules, new words.

A change names a rule (its values stand beside it), a ``value`` of the vocabulary, or a ``step``; what it loosens
needs a reason and a named approver. A change may have a ``when`` and an ``expires`` day (in force to its end).
"""

from __future__ import annotations

import re

import msgspec

from ringcut.language.ruletext import RuleText, SubjectText
from ringcut.language.sources import HOOKS
from ringcut.language.words import VocabularyText
from ringcut.reading.decode import decode
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place, Problem
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq

RESERVED = (
    "rule",
    "value",
    "step",
    "to",
    "reason",
    "approved-by",
    "expires",
    "withdraw",
    "class",
    "when",
    "judge",
    "basis",
)
NO_TABLES = "a table is not changed by house rules; --stock FILE takes your own stock list"
FORM_VALUES = ("within", "count", "every", "at-least", "at-most")
"""Keys of a form that a change may set."""
DAY = re.compile(r"\d{4}-\d\d-\d\d")


class ChangeText(msgspec.Struct, frozen=True):
    """One change. ``values`` are the value names of the rule (or keys of its form) with their new text."""

    target: str
    kind: str
    """``rule``, ``value`` or ``step``."""
    values: dict[str, Phrase] = {}
    given: dict[str, Phrase] = {}
    """The reserved keys, as typed."""
    place: Place = NOWHERE

    def said(self, key: str) -> str:
        """The text of a reserved key, empty where it is not there."""
        return self.given[key].text if key in self.given else ""


class HouseFile(VocabularyText, frozen=True, kw_only=True, rename="kebab", omit_defaults=True):
    """A house rulebook file."""

    rulebook: str
    """Whose practice it is."""
    edition: Phrase
    """Its number, in quotes."""
    based_on: Phrase
    """The layer below: base-practice, or a house rulebook file beside this one."""
    in_force_from: Phrase
    """The first day."""
    says: str = ""
    """A sentence about it."""
    may_approve: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)
    """Who may approve what is looser: class, and named persons."""
    change: tuple[ChangeText, ...] = ()
    """What differs from the layer below."""
    rules: tuple[RuleText, ...] = ()
    """Rules of its own."""
    subjects: dict[str, SubjectText] = msgspec.field(default_factory=dict)
    """Subjects of its own rules."""
    covers: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)
    """Choices of facts for which it has rules too."""
    jurisdiction: tuple[str, ...] = ()
    """The laws that bind here, by the beginning of their citation."""
    place: Place = NOWHERE


class HouseText(HouseFile, frozen=True, kw_only=True, omit_defaults=True):
    """A house rulebook file as it was read."""

    read_as: tuple[str, ...] = ()
    """Keys that were read as another, in words."""


def read_house(node: Node, problems: list[Problem]) -> HouseText | None:
    """The typed house rulebook of a node; None, and problems, where it is none.

    What can be used of a file with problems still comes back, so that the rest of it can be looked at too.
    """
    hooks = {**HOOKS, ChangeText: read_change}
    told: list[str] = []
    file = decode(_with_basis(_renamed(node, told, problems)), HouseFile, problems, hooks, partial=True)
    if file is None:
        return None
    house = HouseText(**{name: getattr(file, name) for name in HouseFile.__struct_fields__}, read_as=tuple(told))
    house = msgspec.structs.replace(house, rules=tuple(_as_named(rule) for rule in house.rules))
    if house.edition.plain and re.fullmatch(r"\d+\.\d+", house.edition.text):
        problems.append(
            Problem(
                house.edition.place,
                f"edition: {house.edition}",
                "a text: this would be a number",
                f'write "{house.edition}"',
            )
        )
    _check_day(house.in_force_from, "in-force-from", problems)
    return house


def _as_named(rule: RuleText) -> RuleText:
    """A rule with its id, and the ids it follows from, as they are looked up."""
    name = msgspec.structs.replace(rule.rule, text=canonical(rule.rule.text))
    return msgspec.structs.replace(rule, rule=name, follows_from=tuple(map(canonical, rule.follows_from)))


def _renamed(node: Node, told: list[str], problems: list[Problem]) -> Node:
    """``on`` at the top is what authors write for ``based-on``: read as that, and said. ``because`` is ``reason``.

    Tables, which a house does not have, are told with what to do instead.
    """
    if not isinstance(node, Map):
        return node
    entries = []
    for key, value in node.entries:
        if canonical(key.text) == "on":
            told.append(f"line {key.place.line}: on is read as based-on")
            key = msgspec.structs.replace(key, text="based-on")
        if canonical(key.text) in ("table", "tables"):
            problems.append(Problem(key.place, f"{key.text} is not a key of house rules", "", NO_TABLES))
            continue
        entries.append((key, _reasons(value)))
    return msgspec.structs.replace(node, entries=entries)


def _with_basis(node: Node) -> Node:
    """A rule or value of the house that names no basis has the house itself as its basis."""
    top = {canonical(key.text): value for key, value in node.entries} if isinstance(node, Map) else {}
    name = top.get("rulebook")
    if not isinstance(node, Map) or not isinstance(name, Scalar):
        return node
    basis = Map([(Scalar("house", place=name.place), name)], name.place)

    def based(value: Node) -> Node:
        if not isinstance(value, Map) or any(canonical(key.text) == "basis" for key, _ in value.entries):
            return value
        entries = [*value.entries, (Scalar("basis", place=value.place), basis)]
        return msgspec.structs.replace(value, entries=entries)

    entries = []
    for key, value in node.entries:
        if canonical(key.text) == "rules" and isinstance(value, Seq):
            value = msgspec.structs.replace(value, items=[based(item) for item in value.items])
        entries.append((key, value))
    return msgspec.structs.replace(node, entries=entries)


def _reasons(node: Node) -> Node:
    if isinstance(node, Seq):
        return msgspec.structs.replace(node, items=[_reasons(item) for item in node.items])
    if not isinstance(node, Map):
        return node
    entries = [
        (msgspec.structs.replace(key, text="reason") if canonical(key.text) == "because" else key, _reasons(value))
        for key, value in node.entries
    ]
    return msgspec.structs.replace(node, entries=entries)


def _check_day(phrase: Phrase, key: str, problems: list[Problem]) -> None:
    if DAY.fullmatch(phrase.text):
        return
    slashed = re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{2}|\d{4})", phrase.text.strip())
    hint = "write 2026-03-01"
    found = f"{key}: {phrase.text}"
    if slashed:
        month, day, year = (
            int(slashed[1]),
            int(slashed[2]),
            int(slashed[3]) + (2000 if len(slashed[3]) == 2 else 0),
        )
        if month <= 12 and day > 12:
            hint = f"write {year}-{month:02d}-{day:02d}"
        elif month <= 12 and day <= 12 and month != day:
            found += f" ({day} {MONTHS[month - 1]} or {month} {MONTHS[day - 1]}?)"
            hint = f"write {year}-{month:02d}-{day:02d} or {year}-{day:02d}-{month:02d}"
    problems.append(Problem(phrase.place, found, "a date, year first", hint))


MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def read_change(node: Node, problems: list[Problem]) -> ChangeText | None:
    """One change: reserved keys, and every other key as a value of the rule."""
    if not isinstance(node, Map):
        problems.append(Problem(node.place, "a change is a mapping", "{rule: ..., VALUE: ..., reason: ...}"))
        return None
    values: dict[str, Phrase] = {}
    given: dict[str, Phrase] = {}
    for key, value in node.entries:
        name = canonical(key.text)
        if name == "values" and isinstance(value, Map):
            values |= {
                canonical(k.text): Phrase(v.text, v.place, v.plain) for k, v in value.entries if isinstance(v, Scalar)
            }
            continue
        if name == "until":
            written = value.text if isinstance(value, Scalar) else ""
            hint = _day_hint(written)
            problems.append(Problem(value.place, "until: is not a key of a change", "expires", hint))
            continue
        if not isinstance(value, Scalar):
            problems.append(Problem(value.place, f"{name}: a list or a mapping", "one value"))
            continue
        if value.plain and not value.text and name not in FORM_VALUES:
            problems.append(
                Problem(
                    key.place,
                    f"{key.text} is not a key",
                    "",
                    "a comma cut the text before it short: put that in quotes",
                )
            )
            continue
        (given if name in RESERVED else values)[name] = Phrase(value.text, value.place, value.plain)
    kinds = [kind for kind in ("rule", "value", "step") if kind in given]
    if len(kinds) != 1:
        problems.append(
            Problem(
                node.place,
                "a change names no rule" if not kinds else "a change names several things",
                "rule: its id",
            )
        )
        return None
    if "expires" in given:
        _check_day(given["expires"], "expires", problems)
    return ChangeText(canonical(given[kinds[0]].text), kinds[0], values, given, node.place)


def _day_hint(text: str) -> str:
    found: list[Problem] = []
    _check_day(Phrase(text), "expires", found)
    return f"the key is expires; {found[0].hint}" if found else f"the key is expires; write expires: {text}"


def names_a_person(text: str) -> bool:
    """Whether an approver is a name (at least two words or initials), not an office such as «foreman»."""
    return bool(re.search(r"\w+\.?\s*\w+\.?", text)) and (" " in text.strip() or "." in text)
