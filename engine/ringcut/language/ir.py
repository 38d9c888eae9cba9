"""Rules and vocabulary in their typed intermediate form, ready to be judged.

``language.compile`` makes these from the YAML texts; nothing here is a file format. One struct a rule form: its
fields are the whole meaning of a rule, and ``forms`` has one file for each.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cached_property
from typing import Any

import msgspec

from ringcut.language.nodes import Condition, Node, Not, Or, walk
from ringcut.language.ruletext import TableText
from ringcut.language.words import Basis
from ringcut.reading.problems import NOWHERE, Place

START, END = "start", "end"


class StepSet(msgspec.Struct, frozen=True):
    """Steps a rule looks for: names (traits expanded), or the moment ``start`` or ``end``; ``text`` as written."""

    names: tuple[str, ...]
    text: str
    moment: str = ""
    optional: bool = False

    def __bool__(self) -> bool:
        return bool(self.names) or bool(self.moment)

    @property
    def spoken(self) -> str:
        """As it is said after "no": ``cut-sheath / any open-flame`` is "cut-sheath or open-flame step"."""
        items = [item.strip() for item in self.text.split(" / ")]
        return " or ".join(f"{item[4:]} step" if item.startswith("any ") else item for item in items)


class Order(msgspec.Struct, frozen=True, tag=True):
    """``order: [a, b?, c]``."""

    links: tuple[StepSet, ...]


class Need(msgspec.Struct, frozen=True, tag=True):
    """``need: p`` just before each ``before``; or at most ``within`` seconds after it finished."""

    what: Node
    before: StepSet
    within: Fraction | None = None


class Keep(msgspec.Struct, frozen=True, tag=True):
    """``keep: p`` from just after each ``start`` until just before the next ``until``, ``during`` q if given."""

    what: Node
    start: StepSet
    until: StepSet | None = None
    within: Fraction | None = None
    during: Node | None = None

    @property
    def implied(self) -> Node:
        """What must hold at every moment: ``not q or p``."""
        return self.what if self.during is None else Or((Not(self.during), self.what))


class Include(msgspec.Struct, frozen=True, tag=True):
    """``include: a``, between ``least`` and ``most`` times."""

    what: StepSet
    least: int = 1
    most: int | None = None


class Exclude(msgspec.Struct, frozen=True, tag=True):
    """``exclude: a`` in each window from just after ``after`` to the next ``before``."""

    what: StepSet
    after: StepSet | None = None
    before: StepSet | None = None


class Limit(msgspec.Struct, frozen=True, tag=True):
    """``limit: e``, once for each occurrence of ``of``; ``use`` where the rule itself names the anchor."""

    what: Node
    of: StepSet
    unclear: Node | None = None
    use: bool = False


class Elapsed(msgspec.Struct, frozen=True, tag=True):
    """``elapsed``: seconds between the finish of ``start`` and the begin of ``to``."""

    start: StepSet
    to: StepSet
    at_least: Fraction | None = None
    at_most: Fraction | None = None
    each_to: bool = True
    during: Node | None = None


class Repeat(msgspec.Struct, frozen=True, tag=True):
    """``repeat: a`` at most every ``every`` seconds while ``during`` holds."""

    what: StepSet
    every: Fraction
    during: Node


class Record(msgspec.Struct, frozen=True, tag=True):
    """``record: readings`` of each ``of``."""

    readings: tuple[str, ...]
    of: StepSet


class Pattern(msgspec.Struct, frozen=True, tag=True):
    """A named look at stamps, copies, sides and units."""

    name: str


Form = Order | Need | Keep | Include | Exclude | Limit | Elapsed | Repeat | Record | Pattern


def steps_named(form: Form) -> tuple[str, ...]:
    """Every step that a form looks for by name or trait, each once, in the order of its fields."""
    found: dict[str, None] = {}
    for field in form.__struct_fields__:
        held = getattr(form, field)
        for each in held if isinstance(held, tuple) else (held,):
            if isinstance(each, StepSet):
                found |= dict.fromkeys(each.names)
    return tuple(found)


class Value(msgspec.Struct, frozen=True):
    """A value that house rules may change, as in force: its text, basis and the place it came from."""

    text: str
    basis: Basis
    place: Place = NOWHERE
    bound: str = ""
    origin: str = ""
    """The rulebook that set it."""


class Rule(msgspec.Struct, frozen=True):
    """A rule in force."""

    id: str
    says: str
    class_: str
    subject: str
    form: Form
    when: Node | None = None
    judge_every: bool = False
    sided: bool = False
    values: dict[str, Value] = {}
    follows_from: tuple[str, ...] = ()
    told_at: tuple[str, ...] = ()
    """The steps at which a finding is told, the first that is there; none: where the form looked."""
    by_hand: bool = False
    """While it is broken no correction is offered."""
    reason: str = ""
    remedy: str = ""
    basis: Basis = Basis(common_practice=True)
    place: Place = NOWHERE
    text: dict[str, str] = {}
    """The form's own words by key, for showing the formula."""
    cases: tuple[Any, ...] = ()
    origin: str = ""


class Word(msgspec.Struct, frozen=True):
    """What a fact or reading holds. ``kind`` is a quantity kind or yes-no, choice, list, text, date, names."""

    name: str
    kind: str
    says: str = ""
    choices: tuple[str, ...] = ()
    reads_as: dict[str, str] = {}
    sided: bool = False
    unit: str = ""
    planned: bool = True
    resolution: Fraction | None = None
    possible: tuple[Fraction, Fraction] | None = None
    plausible: tuple[Fraction, Fraction] | None = None
    otherwise: str = ""
    means: Node | None = None
    qualifier: str = ""
    place: Place = NOWHERE
    also: tuple[str, ...] = ()
    """What the trade calls it too."""


class Effect(msgspec.Struct, frozen=True):
    """What a step does to a condition: ``to`` is its new value; ``where`` limits it to some occurrences."""

    condition: str
    to: Node
    where: Node | None = None
    keeps: bool = False
    """Where the reading it depends on was not taken, the condition stays as it was."""


class Step(msgspec.Struct, frozen=True):
    """A step of the vocabulary; ``takes`` in seconds."""

    name: str
    says: str
    sided: bool = False
    again: str = "redo"
    site: bool = False
    takes: Fraction | None = None
    traits: tuple[str, ...] = ()
    effects: tuple[Effect, ...] = ()
    readings: dict[str, Word] = {}
    lasting: str = ""
    subject: str = ""
    place: Place = NOWHERE
    meant_where: Node | None = None
    """The jobs on which a shared synonym means this step."""
    protects: tuple[str, ...] = ()
    """Steps that rely on what this one makes or sets, traits expanded."""


class State(msgspec.Struct, frozen=True):
    """A condition of the vocabulary; ``lapses`` in seconds."""

    name: str
    says: str
    at_start: Node
    per: str = ""
    lapses: Fraction | None = None
    means: Node | None = None
    called: str = ""
    """What a finding calls it, if not by its name."""


class Impossible(msgspec.Struct, frozen=True):
    """Facts that cannot stand together."""

    when: Node
    reason: str


class Gap(msgspec.Struct, frozen=True):
    """Jobs the rulebook does not have the rules for."""

    when: Node
    says: str
    differs: str = ""
    """A fact in which the sides of such a job differ."""


class Subject(msgspec.Struct, frozen=True):
    """A subject and the jobs to which it applies."""

    says: str
    applies: Node | None = None


class Caution(msgspec.Struct, frozen=True):
    """A warning and the jobs for which it is shown."""

    signal: str
    says: str
    when: Node | None = None


class Rulebook(msgspec.Struct, frozen=True, dict=True):
    """Everything in force, compiled once. ``digest`` is the SHA-256 over all files it was read from."""

    name: str
    edition: str
    in_force_from: str
    digest: str
    facts: dict[str, Word]
    conditions: dict[str, State]
    steps: dict[str, Step]
    synonyms: dict[str, str]
    """Word: its step; of a shared word the first."""
    rules: tuple[Rule, ...]
    tables: dict[str, TableText]
    subjects: dict[str, Subject]
    impossible: tuple[Impossible, ...] = ()
    covers: dict[str, tuple[str, ...]] = {}
    gaps: tuple[Gap, ...] = ()
    warnings: tuple[Caution, ...] = ()
    ends_with: str = ""
    sides: tuple[str, ...] = ("A", "B")
    values: dict[str, Value] = {}
    jurisdiction: tuple[str, ...] = ()
    decision_level: Fraction = Fraction(95, 100)
    prefer: Node | None = None
    quantities: dict[str, Node] = {}
    layers: tuple[str, ...] = ()
    shared: dict[str, tuple[str, ...]] = {}
    """Words that several steps have, with those steps: the job says which is meant."""
    may_approve: dict[str, tuple[str, ...]] = {}
    """Who may approve what departs from a rule, by its class; empty: house rules name nobody."""
    aloud: tuple[str, ...] = ()
    """What layering wants said: unused concessions, changes that tighten, and so on."""

    @cached_property
    def touching(self) -> dict[str, list[tuple[str, Effect]]]:
        """For each condition the steps that change it, each with what it does."""
        found: dict[str, list[tuple[str, Effect]]] = {}
        for step in self.steps.values():
            for effect in step.effects:
                found.setdefault(effect.condition, []).append((step.name, effect))
        return found

    def conditions_in(self, node: Node) -> frozenset[str]:
        """The conditions that steps change, of an expression; what derived ones stand for included."""
        found: set[str] = set()
        for each in walk(node):
            if isinstance(each, Condition):
                means = self.conditions[each.name].means
                found |= {each.name} if means is None else self.conditions_in(means)
        return frozenset(found)

    def changing(self, conditions: Iterable[str]) -> frozenset[str]:
        """The steps that change one of some conditions."""
        return frozenset(step for name in conditions for step, _ in self.touching.get(name, ()))

    def rule(self, name: str) -> Rule | None:
        """The rule with this id, if it is in force."""
        return next((rule for rule in self.rules if rule.id == name), None)
