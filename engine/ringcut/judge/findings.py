"""Findings and reports: what a judgement says, as data. These structs are the published JSON report.

A finding is one rule's verdict with its evidence. Findings have a total order; the same input, day and rulebook
give the same
report.
"""

from __future__ import annotations

from typing import Literal

import msgspec

Verdict = Literal["conforms", "nonconforming", "undetermined", "not applicable", "under concession"]
CONFORMS: Verdict = "conforms"
NONCONFORMING: Verdict = "nonconforming"
UNDETERMINED: Verdict = "undetermined"
NOT_APPLICABLE: Verdict = "not applicable"
UNDER_CONCESSION: Verdict = "under concession"

CLASSES = ("critical", "major", "minor")
"""Gravest first, as in acceptance sampling."""


FORMAT = "2.0"
"""Of the published report: the second number grows with new keys, the first would with one that goes or changes."""


class Finding(msgspec.Struct, frozen=True, rename="kebab"):
    """One rule that does not conform, or of which it cannot be said, at one place and for one cause."""

    rule: str
    class_: str = msgspec.field(name="class")
    verdict: str
    why_undetermined: str = ""
    """not recorded, unreadable, not asked for, not covered."""
    file: str = ""
    line: int = 0
    column: int = 0
    letter: str = ""
    """In a spreadsheet, the letter of the column."""
    side: str = ""
    closure: str = ""
    steps: tuple[str, ...] = ()
    found: str = ""
    needed: str = ""
    margin: str = ""
    message: str = ""
    evidence: tuple[str, ...] = ()
    example_order: tuple[str, ...] = ()
    remedy: str = ""
    basis: str = ""
    says: str = ""
    subject: str = ""
    cause: str = ""
    """What it rests on first, the same text wherever that is the same. What is told together has one ``group``."""
    group: int = 0
    """Findings with one number have one cause and are told together."""
    told_under: str = ""
    """The rule under which this finding is told, where one cause breaks several."""
    also: tuple[str, ...] = ()
    """The rules told under this finding."""
    in_common: str = ""
    """What this finding and those told under it have in common, in words: the one thing to put right."""
    concession: str = ""


class RuleVerdict(msgspec.Struct, frozen=True, rename="kebab"):
    """A rule and its verdict on the whole procedure."""

    rule: str
    class_: str = msgspec.field(name="class")
    verdict: str
    subject: str


class ToMeasure(msgspec.Struct, frozen=True, rename="kebab"):
    """A reading or a time that only the doing tells, and the values that conform."""

    step: str
    line: int
    reading: str
    side: str
    conforms_when: str
    rules: tuple[str, ...]
    closure: str = ""


class ToChoose(msgspec.Struct, frozen=True, rename="kebab"):
    """A planned reading that a plan leaves open, or gives as a range, and the values that some conforming choice has.

    Each reading is looked at with all others still open: what is chosen for one may narrow the others.
    """

    step: str
    line: int
    reading: str
    side: str
    values_left: str
    """In words; empty where the search gave up."""
    left: int
    """How many values of its grid or its list are left; 0 where that is not known."""
    out_of: int
    """How many there are."""
    not_less: tuple[str, ...] = ()
    """What together excludes the next smaller value: rules, and in words ranges that the plan gives."""
    not_more: tuple[str, ...] = ()
    """What together excludes the next larger value."""
    not_others: tuple[str, ...] = ()
    """What excludes what else is missing: other words, or values between those that are left."""
    closure: str = ""


class Counts(msgspec.Struct, frozen=True, rename="kebab"):
    """Rules by verdict, rules that do not conform by class, and separate causes."""

    conforms: int = 0
    nonconforming: int = 0
    undetermined: int = 0
    not_applicable: int = 0
    under_concession: int = 0
    critical: int = 0
    major: int = 0
    minor: int = 0
    causes: int = 0


class Notice(msgspec.Struct, frozen=True):
    """A warning that applies, with its signal word."""

    signal: str
    says: str


class Digests(msgspec.Struct, frozen=True):
    """SHA-256 of what was judged and by what, hexadecimal, and the version that judged."""

    procedure: str
    rulebook: str
    concessions: str
    version: str
    stock: str = ""
    """Of the user's stock list, where one was given."""


class Report(msgspec.Struct, frozen=True, rename="kebab"):
    """The judgement of one procedure."""

    file: str
    procedure: str
    reference: str
    verdict: str
    worst_class: str
    counts: Counts
    judged: tuple[str, ...]
    """The subjects for which rules applied."""
    not_covered: tuple[str, ...]
    """What applies and has no rules, in words."""
    uncovered: bool
    """Whether the job is one the rulebook does not cover, or does not say what decides it."""
    findings: tuple[Finding, ...]
    rules: tuple[RuleVerdict, ...]
    to_measure: tuple[ToMeasure, ...]
    warnings: tuple[Notice, ...]
    assumptions: tuple[str, ...]
    digests: Digests
    as_of: str
    rulebook: str
    aloud: tuple[str, ...] = ()
    ends_with: str = ""
    to_choose: tuple[ToChoose, ...] = ()
    stock: str = ""
    """The user's stock list that stood in place of the rulebook's, as named."""
    steps: int = -1
    """How many steps are planned, or were done; -1: not counted. Where none was, nothing was found to conform."""
    format: str = FORMAT
