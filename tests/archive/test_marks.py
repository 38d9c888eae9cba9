"""Marks of a status: what a column file says of one counts before what it usually means."""

from __future__ import annotations

import pytest

from ringcut.archive.columns import Marks
from ringcut.archive.marks import read_mark


@pytest.mark.parametrize(
    ("marks", "text", "status"),
    [
        (Marks(), "OK", "done"),
        (Marks(), "✓", "done"),
        (Marks(), "✗", "not-done"),
        (Marks(), "n/a", "not-applicable"),
        (Marks(), "", "not-recorded"),
        (Marks(empty="done"), " ", "done"),
        (Marks(), "x", None),
        (Marks(done=("x",)), "X", "done"),
        (Marks(not_done=("ok",)), "ok", "not-done"),
        (Marks(not_applicable=("✗",)), "✗", "not-applicable"),
        (Marks(symbol_font=True), "ü", "done"),
        (Marks(symbol_font=True, done=("o",)), "O", "done"),
        (Marks(symbol_font=True), "O", "not-done"),
        (Marks(), "ü", None),
    ],
)
def test_a_mark(marks: Marks, text: str, status: str | None) -> None:
    found = read_mark(text, marks)
    assert (found.status if found else None) == status
