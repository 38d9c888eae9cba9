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
    """The value, with its unit."""
    basis: Basis | None = None
    """Where it comes from."""
    bound: Phrase | None = None
    """The value the binding clause itself fixes, if it fixes one: loosening beyond it is refused."""
    place: Place = NOWHERE


class WordKind(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """What a fact or a reading can hold: one of ``kind``, ``choices``, ``list``."""

    says: str = ""
    """What it is, in plain words."""
    also: tuple[str, ...] = ()
    """Other names that people write for it."""
    kind: str = ""
    """What it measures, such as length, time or count; or yes-no, text, date."""
    choices: tuple[str, ...] = ()
    """The words it may be, one of them."""
    list: tuple[str, ...] = ()
    """The words it may be, several of them."""
    reads_as: dict[str, str] = {}
    """Other words people write for a choice, each with the choice it means."""
    per: Literal["", "side"] = ""
    """side: it may differ at the two ends."""
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
    """An expression over other facts: it is worked out and never asked."""


class ReadingText(WordKind, frozen=True, rename="kebab", omit_defaults=True):
    """A reading of a step. ``known: planned`` may stand in a plan; ``known: done`` only in a log."""

    known: Literal["planned", "done"] = "done"
    """planned: it may stand in a plan; done: only in a log."""
    qualifier: str = ""
    """The reading of the same step that takes a word written behind the unit (``48 V dc``: ``current`` is dc)."""


class ConditionText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """Something true between steps."""

    says: str = ""
    """What is true then, in plain words."""
    called: str = ""
    """What findings call it where its name is no plain words; read behind "not yet:" and "no longer:"."""
    at_start: Phrase | None = None
    """Its value before the first step, over job facts; absent: false."""
    per: Literal["", "side", "person"] = ""
    """side: it is true of each side for itself; person: of each person."""
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
    """Its new value: an expression over the step's readings, job facts and values."""
    where: Phrase | None = None
    """Only where this is true."""
    unread: Literal["unknown", "keeps"] = "unknown"


class StepText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A step of the trade."""

    says: str
    """What is done, in plain words."""
    also: tuple[str, ...] = ()
    """Synonyms the trade uses."""
    meant_where: Phrase | None = None
    """The jobs on which a synonym that other steps have too means this one: an expression over job facts."""
    subject: str = ""
    """The subject it belongs to."""
    per: Literal["", "side"] = ""
    """side: it is done on each side for itself."""
    again: Literal["redo", "another", "adds"] = "redo"
    """A later doing: redo (the latest counts), another (each counts) or adds (readings add up)."""
    scope: Literal["closure", "site"] = "closure"
    """``site``: it holds for every closure of the job, whichever it is written under."""
    takes: Phrase | None = None
    """Usual duration, a house value."""
    traits: tuple[str, ...] = ()
    """What it is like, such as open-flame, so that a rule can say ``any open-flame``."""
    makes: tuple[str, ...] = ()
    """Conditions that are true after it."""
    ends: tuple[str, ...] = ()
    """Conditions that are false after it."""
    sets: dict[str, Guard] = {}
    """Condition: expression over this step's readings, job facts and vocabulary values."""
    readings: dict[str, ReadingText] = {}
    """What is measured, counted or chosen in it."""
    lasting: str = ""
    """The step that ends it: this one lasts from ``started`` until that one."""
    protects: Phrase | None = None
    """Work that relies on it, as in a rule: ``correct`` never moves it behind that work, whether a rule asks or not."""
    place: Place = NOWHERE


class QuantityText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A quantity with a formula: ``means`` over readings and facts, or ``first-of`` some readings."""

    says: str = ""
    """What it is, in plain words."""
    means: Phrase | None = None
    """Its formula over readings and facts."""
    first_of: tuple[Phrase, ...] = ()
    """Readings of which the first that is there counts."""
    unit: str = ""
    """The display unit."""
    place: Place = NOWHERE


class ImpossibleText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A combination of job facts that cannot be, with the reason."""

    when: Phrase
    """The facts that cannot be together."""
    reason: str
    """Why they cannot."""
    place: Place = NOWHERE


class VocabularyText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """What the files of a vocabulary folder hold together; a file may hold any of the sections."""

    sides: tuple[str, ...] = ()
    """The sides of a job; A and B if nothing is said."""
    facts: dict[str, FactText] = {}
    """What is known of a job before the first step."""
    conditions: dict[str, ConditionText] = {}
    """What is true between steps, and may be needed or kept."""
    steps: dict[str, StepText] = {}
    """What is done, what is read then, and which conditions it makes or ends."""
    quantities: dict[str, QuantityText] = {}
    """Names for formulas that several rules use."""
    values: dict[str, ValueText] = {}
    """Numbers that steps and conditions use and that house rules may change."""
    impossible: tuple[ImpossibleText, ...] = ()
    """Facts that cannot be together."""
