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
    """The earlier step, or ``a / b``, or start."""
    to: Phrase
    """The later step, or ``a / b``, or end."""
    at_least: Phrase | None = None
    """The shortest time between them."""
    at_most: Phrase | None = None
    """The longest time between them."""
    each: Literal["to", "from"] = "to"
    """Whether each later step is judged, back to the latest earlier one, or each earlier one, on to the next."""
    while_: Phrase | None = msgspec.field(name="while", default=None)
    """A condition just before the later step (``each: to``), or just after the earlier: elsewhere it is not judged."""


class RuleText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """One rule: who it is, exactly one form with its companions, and what people are told."""

    rule: Phrase
    """Its id: lower case and hyphens, never used again."""
    says: str
    """What is required, in a sentence; ``{name}`` stands for a value."""
    class_: Class = msgspec.field(name="class")
    """What breaking it means: critical can hurt, major can leak, minor is untidy."""
    subject: str = ""
    """Absent: the file's subject."""
    when: Phrase | None = None
    """The jobs it is for: an expression over job facts, such as ``work is trouble-opening and pressurized``."""
    values: dict[str, ValueText] = {}
    """Numbers that house rules may change without touching the rule: name, and value or {value, basis}."""
    follows_from: tuple[str, ...] = ()
    """Rules that the same cause always breaks too: it is told once, under the first."""
    judge: Literal["", "latest", "every"] = ""
    """Of a step done again: the latest doing, or every one."""
    told_at: Phrase | None = None
    """Where a finding is told: at the step that a person would change; of several, the first that is there."""
    by_hand: bool = False
    """yes: broken, the plan says something else than is meant, and only a person can mend it, before all else."""
    reason: str = ""
    """Why it is asked for, in a sentence."""
    remedy: str = ""
    """What to do where it is broken, in a sentence."""
    basis: Basis = Basis(common_practice=True)
    """Where it comes from; of a house rule the house, if nothing is said."""
    cases: tuple[Any, ...] = ()
    """Small procedures with the verdict that is expected, on both sides of each limit."""

    order: tuple[Phrase, ...] = ()
    """Steps in their order: every later one has an earlier one before it. ``step?``: skipped where it is not there."""
    need: Phrase | None = None
    """A condition that is true just before each of the steps under ``before``."""
    before: Phrase | None = None
    """Of a ``need`` the steps that wait for it, ``a / b``, ``any trait`` or end; of an ``exclude`` its last moment."""
    keep: Phrase | None = None
    """A condition that stays true: after ``from`` (else the start) until ``until`` (else the end)."""
    from_: Phrase | None = msgspec.field(name="from", default=None)
    """The step from which a ``keep`` is true."""
    until: Phrase | None = None
    """The step until which a ``keep`` is true."""
    while_: Phrase | None = msgspec.field(name="while", default=None)
    """A condition: a ``keep`` or a ``repeat`` is asked for only as long as this is true."""
    within: Phrase | None = None
    """How long a ``keep`` may be false at a stretch, or how late after its step a ``need`` may come true."""
    include: Phrase | None = None
    """A step that the procedure has; ``count`` says how often."""
    count: Phrase | None = None
    """How often: ``2``, ``1..3``, or ``2..`` for at least two."""
    exclude: Phrase | None = None
    """A step that the procedure does not have, between ``after`` and ``before`` where they are given."""
    after: Phrase | None = None
    """Where the window of an ``exclude`` opens."""
    limit: Phrase | None = None
    """A comparison of readings, facts and values, such as ``assemble-sleeve.bond-length >= shortest``."""
    of: Phrase | None = None
    """The step at which a ``limit`` is judged, or whose readings a ``record`` asks for."""
    unclear: Phrase | None = None
    """Of a ``limit``: where this is true it cannot be said, instead of nonconforming."""
    elapsed: ElapsedText | None = None
    """The time from one step to another: {from, to, at-least, at-most}."""
    repeat: Phrase | None = None
    """A step that is done again and again, at most ``every`` apart, as long as ``while`` is true."""
    every: Phrase | None = None
    """The longest time between two doings of a ``repeat``."""
    record: tuple[Phrase, ...] = ()
    """Readings that a log has, of the step under ``of``."""
    pattern: Phrase | None = None
    """The name of a look at stamps, copies, sides or units over whole logs."""
    place: Place = NOWHERE


class RulesFile(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A file in ``rules/``: one subject, its rules in the order in which they are told."""

    subject: str
    """The subject of its rules."""
    rules: tuple[RuleText, ...]
    """The rules, in the order in which they are told."""


class SubjectText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A subject that rules are about, and the jobs to which it applies (absent: every job)."""

    says: str
    """What it is, in plain words."""
    applies: Phrase | None = None
    """The jobs to which it applies, over job facts."""


class GapText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A kind of job for which the rulebook does not have the rules: its verdict is undetermined, not covered."""

    when: Phrase
    """The jobs without rules, over job facts."""
    says: str
    """What is not covered, in plain words."""
    differs: str = ""
    """A fact: the gap is only there where the sides of the job differ in it."""
    place: Place = NOWHERE


class RulebookText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """``rulebook.yaml``: the title page."""

    rulebook: str
    """Whose practice it is."""
    edition: str
    """Its number, in quotes."""
    in_force_from: str
    """The first day, as 2026-03-01."""
    says: str = ""
    """A sentence about it."""
    jurisdiction: tuple[str, ...] = ()
    """The laws that bind here, by the beginning of their citation."""
    decision_level: str = "95 %"
    """From which probability of conformity a reading with an uncertainty is accepted."""
    covers: dict[str, tuple[str, ...]] = {}
    """Fact: the choices for which there are rules. Other choices are not covered."""
    not_covered: tuple[GapText, ...] = ()
    """Kinds of job without rules: their verdict is undetermined."""
    subjects: dict[str, SubjectText] = {}
    """What rules are about."""
    prefer: Phrase | None = None
    """What the best choice of open readings makes least, such as ``trim-sleeve.sleeve-length``."""
    place: Place = NOWHERE


class WarningText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A caution with its signal word (ANSI Z535.6: what can happen), shown where ``when`` is not false."""

    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    """What can happen: DANGER, WARNING, CAUTION, or NOTICE for damage."""
    says: str
    """What to watch, in a sentence or two."""
    when: Phrase | None = None
    """The jobs for which it is shown, over job facts."""
    place: Place = NOWHERE


class WarningsFile(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """``warnings.yaml``: the cautions, and the sentence that ends every output."""

    warnings: tuple[WarningText, ...]
    """The cautions, the gravest first."""
    ends_with: str
    """The sentence that ends every output."""


class TableText(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True):
    """A look-up table. ``keys`` maps a key to ``exact``, ``range`` (columns from.

    To) or ``column`` (names the column).
    """

    table: str
    """Its name in rules."""
    says: str = ""
    """What it is, in plain words."""
    basis: Basis | None = None
    """Where it comes from."""
    invented: bool = False
    """yes: its rows are an example."""
    keys: dict[str, str] = {}
    """Its keys, and how each is looked up: exact, range or column."""
    kinds: dict[str, str] = {}
    """Column (or range key): quantity kind; absent: text."""
    units: dict[str, str] = {}
    """Column (or range key): the unit its numbers are in."""
    resolution: Phrase | None = None
    """Of a range key: a value is first rounded to this."""
    columns: tuple[str, ...] = ()
    """The names of the columns, in their order."""
    rows: tuple[tuple[Phrase, ...], ...] = ()
    """The rows, each in the order of the columns."""
    place: Place = NOWHERE

    def kind_of(self, column: str) -> str:
        """The quantity kind of a column or a range key; empty for text."""
        return self.kinds.get(column, self.kinds.get(column.lower(), ""))

    def unit_of(self, column: str) -> str:
        """The unit of a column or a range key; empty for plain numbers."""
        return self.units.get(column, self.units.get(column.lower(), ""))
