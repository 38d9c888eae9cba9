"""The keys that a procedure file and a step in it may have besides facts and readings."""

from __future__ import annotations

__all__ = ["DOCUMENT_KEYS", "INSTEAD_OF_DO", "KINDS", "STEP_KEYS"]

KINDS = ("plan", "log", "model")
"""What a procedure can be."""

DOCUMENT_KEYS = (
    "procedure",
    "job",
    "steps",
    "records",
    "stamp",
    "sorted",
    "finished",
    "work",
    "when",
    "says",
    "title",
    "recorded-by",
    "plan-digest",
    "based-on",
    "plus-minus",
)
"""The keys of a procedure file."""

STEP_KEYS = (
    "do",
    "id",
    "after",
    "at",
    "started",
    "by",
    "side",
    "closure",
    "status",
    "reason",
    "evidence",
    "note",
    "optional",
    "when",
)
"""The keys of a step that are no readings."""

INSTEAD_OF_DO = frozenset(["step", "name", "action", "task", "work"])
"""Words people write where ``do`` is meant."""
