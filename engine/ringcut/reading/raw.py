"""A procedure as it was typed: texts with places, names not yet looked up.

Every file format (YAML plan or log, spreadsheet, JSON Lines) is read into this one shape; ``relations.procedure``
looks the names up in a vocabulary and reads the measures.
"""

from __future__ import annotations

import msgspec

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place


class RawReading(msgspec.Struct, frozen=True):
    """A reading of a step, or a job fact: its name and one value, a value a side, or a list."""

    name: Phrase
    value: Phrase | None = None
    sides: tuple[tuple[Phrase, Phrase], ...] = ()
    """(side label, value) pairs where the file has a mapping of sides."""
    items: tuple[Phrase, ...] = ()
    """The items where the file has a list."""
    is_list: bool = False


class RawStep(msgspec.Struct, frozen=True):
    """One entry. ``after`` is None where it was not given (then the entry follows the one above)."""

    do: Phrase
    id: Phrase | None = None
    after: tuple[Phrase, ...] | None = None
    at: Phrase | None = None
    started: Phrase | None = None
    by: tuple[Phrase, ...] = ()
    side: tuple[Phrase, ...] = ()
    closure: Phrase | None = None
    status: Phrase | None = None
    reason: Phrase | None = None
    evidence: tuple[Phrase, ...] = ()
    note: Phrase | None = None
    optional: Phrase | None = None
    when: Phrase | None = None
    """In a model procedure only: the jobs for which the step is there."""
    readings: tuple[RawReading, ...] = ()
    place: Place = NOWHERE
    unlisted: bool = False
    """Known of only because somebody was asked: it has no row, so that its place in the list says nothing."""


class RawGroup(msgspec.Struct, frozen=True):
    """``any-order``: branches in no order; each branch is a sequence of items."""

    branches: tuple[tuple[RawStep | RawGroup, ...], ...]
    place: Place = NOWHERE


class RawProcedure(msgspec.Struct, frozen=True):
    """A plan, a log or a model procedure as typed. ``keys`` are the other keys of the document."""

    kind: str
    """``plan``, ``log`` or ``model``."""
    job: tuple[RawReading, ...] = ()
    steps: tuple[RawStep | RawGroup, ...] = ()
    keys: dict[str, Phrase] = {}
    """``records``, ``stamp``, ``sorted``, ``finished``, ``when`` and so on, as typed."""
    place: Place = NOWHERE
    digest: str = ""
    """SHA-256 of the bytes it was read from, hexadecimal."""
