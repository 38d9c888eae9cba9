"""The vocabulary as it stands in YAML: facts, conditions, steps, quantities, impossible combinations.

These are the file formats, one struct a YAML mapping, keys in kebab-case. Expressions are still text here
(:class:`Phrase`, with its place); ``language.expressions`` gives them a meaning.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place


class Basis(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """Where a value or a rule comes from; exactly one of the kinds is given.

    In YAML a bare ``common practice`` or ``geometry``, or a mapping with ``house``, ``standard`` or ``regulation``.
    """

    common_practice: bool = False
    geometry: bool = False
    house: str = ""
    standard: str = ""
    regulation: str = ""
    binds: str = ""

    def __str__(self) -> str:
        if self.regulation:
            return f"{self.regulation}, binds {self.binds}" if self.binds else self.regulation
        named = self.house and f"house: {self.house}" or self.standard
        return named or ("geometry" if self.geometry else "common practice")


class ValueText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A value that house rules may change; in YAML the bare value, or a mapping with its own basis."""

    value: Phrase
    basis: Basis | None = None
    bound: Phrase | None = None
    """The value the binding clause itself fixes, if it fixes one: loosening beyond it is refused."""
    place: Place = NOWHERE


class WordKind(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """What a fact or a reading can hold: one of ``kind``, ``choices``, ``list``."""

    says: str = ""
    also: tuple[str, ...] = ()
    kind: str = ""
    choices: tuple[str, ...] = ()
    list: tuple[str, ...] = ()
    reads_as: dict[str, str] = {}
    """Other words people write for a choice, each with the choice it means."""
    per: Literal["", "side"] = ""
    unit: str = ""
    """The display unit."""
    resolution: Phrase | None = None
    """The grid people measure on, such as 1/8 in."""
    possible: tuple[Phrase, ...] = ()
    """[least, most]; a value outside is an input error."""
    plausible: tuple[Phrase, ...] = ()
    """[least, most]; a value outside is judged as written and asked about."""
    otherwise: Phrase | None = None
    """What is assumed, and listed as an assumption, when it is not given."""
    place: Place = NOWHERE


class FactText(WordKind, frozen=True, rename="kebab", omit_defaults=True):
    """A job fact. ``means`` derives it from other facts."""

    means: Phrase | None = None


class ReadingText(WordKind, frozen=True, rename="kebab", omit_defaults=True):
    """A reading of a step. ``known: planned`` may stand in a plan; ``known: done`` only in a log."""

    known: Literal["planned", "done"] = "done"
    qualifier: str = ""
    """The reading of the same step that takes a word written behind the unit (``48 V dc``: ``current`` is dc)."""


class ConditionText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """Something true between steps."""

    says: str = ""
    called: str = ""
    """What a finding calls it where its name would be no plain words: "not yet: the air tested for this entry"."""
    at_start: Phrase | None = None
    """Its value before the first step, over job facts; absent: false."""
    per: Literal["", "side", "person"] = ""
    lapses: Phrase | None = None
    """How long it stays true after the step that made it, a time or the name of a vocabulary value."""
    means: Phrase | None = None
    """For a derived condition: an expression over other conditions and facts."""
    place: Place = NOWHERE


class Guard(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A condition set by what was read: ``to`` gives its value; ``where`` limits it to some occurrences.

    Without the reading it is unknown; ``unread: keeps`` leaves it as it was, for a condition that says what was read.
    """

    to: Phrase
    where: Phrase | None = None
    unread: Literal["unknown", "keeps"] = "unknown"


class StepText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A step of the trade."""

    says: str
    also: tuple[str, ...] = ()
    """Synonyms the trade uses."""
    meant_where: Phrase | None = None
    """The jobs on which a synonym that other steps have too means this one: an expression over job facts."""
    subject: str = ""
    per: Literal["", "side"] = ""
    again: Literal["redo", "another", "adds"] = "redo"
    scope: Literal["closure", "site"] = "closure"
    """``site``: it holds for every closure of the job, whichever it is written under."""
    takes: Phrase | None = None
    """Usual duration, a house value."""
    traits: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    sets: dict[str, Guard] = {}
    """Condition: expression over this step's readings, job facts and vocabulary values."""
    readings: dict[str, ReadingText] = {}
    lasting: str = ""
    """The step that ends it: this one lasts from ``started`` until that one."""
    protects: Phrase | None = None
    """Work that relies on what this step makes or sets, whether or not a rule says so; written as in a rule."""
    place: Place = NOWHERE


class QuantityText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A quantity with a formula: ``means`` over readings and facts, or ``first-of`` some readings."""

    says: str = ""
    means: Phrase | None = None
    first_of: tuple[Phrase, ...] = ()
    unit: str = ""
    place: Place = NOWHERE


class ImpossibleText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A combination of job facts that cannot be, with the reason."""

    when: Phrase
    reason: str
    place: Place = NOWHERE


class VocabularyText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """What the files of a vocabulary folder hold together; a file may hold any of the sections."""

    sides: tuple[str, ...] = ()
    facts: dict[str, FactText] = {}
    conditions: dict[str, ConditionText] = {}
    steps: dict[str, StepText] = {}
    quantities: dict[str, QuantityText] = {}
    values: dict[str, ValueText] = {}
    impossible: tuple[ImpossibleText, ...] = ()
