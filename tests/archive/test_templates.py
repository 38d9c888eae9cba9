"""Sayings with a place in them: what stands at the place comes back as it was typed."""

from __future__ import annotations

from ringcut.archive.templates import match


def test_the_text_at_a_place_keeps_its_letters() -> None:
    assert match("Read {volts} at strand", "READ  0 V ac at Strand") == {"volts": "0 V ac"}
    assert match("{volts}", "0 V") == {"volts": "0 V"}


def test_another_saying_does_not_match() -> None:
    assert match("Read {volts} at strand", "Read 0 V at sheath") is None
