"""Rules, tables, warnings and the rulebook's title page as they stand in YAML.

One struct a mapping, keys in kebab-case.
"""

from __future__ import annotations

from typing import Any, Literal

import msgspec

from ringcut.language.words import Basis, ValueText
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place

Class = Literal["critical", "major", "minor"]


class ElapsedText(msgspec.Struct, frozen=True, rename="kebab", forbid_unknown_fields=True, omit_defaults=True):
    """``elapsed: {from: a, to: b, at-least: d, at-most: d, each: to | from}``; a, b are step lists ``x / y``."""

    from_: Phrase = msgspec.field(name="from")
    to: Phrase
    at_least: Phrase | None = None
    at_most: Phrase | None = None
    each: Literal["to", "from"] = "to"
    while_: Phrase | None = msgspec.field(name="while", default=None)
    """A condition just before the later step (``each: to``), or just after the earlier: elsewhere it is not judged."""


class RuleText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """One rule: who it is, exactly one form with its companions, and what people are told."""

    rule: Phrase
    says: str
    """What is required, in a sentence; ``{name}`` stands for a value."""
    class_: Class = msgspec.field(name="class")
    subject: str = ""
    """Absent: the file's subject."""
    when: Phrase | None = None
    values: dict[str, ValueText] = {}
    follows_from: tuple[str, ...] = ()
    judge: Literal["", "latest", "every"] = ""
    told_at: Phrase | None = None
    """The step that a person would change, at which a finding is told: the first of these that is there."""
    by_hand: bool = False
    """Broken, the plan says something else than is meant: only a person can mend it, and before all else."""
    reason: str = ""
    remedy: str = ""
    basis: Basis = Basis(common_practice=True)
    cases: tuple[Any, ...] = ()

    order: tuple[Phrase, ...] = ()
    need: Phrase | None = None
    before: Phrase | None = None
    keep: Phrase | None = None
    from_: Phrase | None = msgspec.field(name="from", default=None)
    until: Phrase | None = None
    while_: Phrase | None = msgspec.field(name="while", default=None)
    within: Phrase | None = None
    include: Phrase | None = None
    count: Phrase | None = None
    """``2``, ``1..3`` or ``2..``."""
    exclude: Phrase | None = None
    after: Phrase | None = None
    limit: Phrase | None = None
    of: Phrase | None = None
    unclear: Phrase | None = None
    elapsed: ElapsedText | None = None
    repeat: Phrase | None = None
    every: Phrase | None = None
    record: tuple[Phrase, ...] = ()
    pattern: Phrase | None = None
    place: Place = NOWHERE


class RulesFile(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A file in ``rules/``: one subject, its rules in the order in which they are told."""

    subject: str
    rules: tuple[RuleText, ...]


class SubjectText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A subject that rules are about, and the jobs to which it applies (absent: every job)."""

    says: str
    applies: Phrase | None = None


class GapText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A kind of job for which the rulebook does not have the rules: its verdict is undetermined, not covered."""

    when: Phrase
    says: str
    differs: str = ""
    """A fact: the gap is only there where the sides of the job differ in it."""
    place: Place = NOWHERE


class RulebookText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """``rulebook.yaml``: the title page."""

    rulebook: str
    edition: str
    in_force_from: str
    says: str = ""
    jurisdiction: tuple[str, ...] = ()
    decision_level: str = "95 %"
    covers: dict[str, tuple[str, ...]] = {}
    """Fact: the choices for which there are rules. Other choices are not covered."""
    not_covered: tuple[GapText, ...] = ()
    subjects: dict[str, SubjectText] = {}
    prefer: Phrase | None = None
    """What the best choice of open readings makes least, such as ``trim-sleeve.sleeve-length``."""
    place: Place = NOWHERE


class WarningText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A caution with its signal word (ANSI Z535.6: what can happen), shown where ``when`` is not false."""

    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    says: str
    when: Phrase | None = None
    place: Place = NOWHERE


class WarningsFile(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """``warnings.yaml``: the cautions, and the sentence that ends every output."""

    warnings: tuple[WarningText, ...]
    ends_with: str


class TableText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A look-up table. ``keys`` maps a key to ``exact``, ``range`` (columns from.

    To) or ``column`` (names the column).
    """

    table: str
    says: str = ""
    basis: Basis | None = None
    invented: bool = False
    keys: dict[str, str] = {}
    kinds: dict[str, str] = {}
    """Column (or range key): quantity kind; absent: text."""
    units: dict[str, str] = {}
    """Column (or range key): the unit its numbers are in."""
    resolution: Phrase | None = None
    """Of a range key: a value is first rounded to this."""
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[Phrase, ...], ...] = ()
    place: Place = NOWHERE

    def kind_of(self, column: str) -> str:
        """The quantity kind of a column or a range key; empty for text."""
        return self.kinds.get(column, self.kinds.get(column.lower(), ""))

    def unit_of(self, column: str) -> str:
        """The unit of a column or a range key; empty for plain numbers."""
        return self.units.get(column, self.units.get(column.lower(), ""))
