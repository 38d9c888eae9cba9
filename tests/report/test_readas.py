"""What is read in an unusual form is said, once, with its line."""

from __future__ import annotations

import pytest

from ringcut.language.ir import Rulebook
from ringcut.reading.procedurefile import read_raw
from ringcut.report.readas import ReadAs, read_as


def said(text: str, book: Rulebook) -> tuple[ReadAs, ...]:
    data = text.encode()
    raw = read_raw(data, "p.yaml", [])
    assert raw is not None
    return read_as(raw, data, book)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("job: {pressurized: yes}", ReadAs(2, "yes-no", "pressurized", "yes")),
        ("job: {sheath: pe}", ReadAs(2, "word", "sheath", "pe", "polyethylene")),
        ("steps: [{do: turn-channel, channel-angle: 3:30}]", ReadAs(2, "clock", "channel-angle", "3:30", "105 deg")),
        ('steps: [scuff-lead] # 6" both sides', ReadAs(2, "comment", "", '6" both sides')),
    ],
)
def test_it_is_said(text: str, expected: ReadAs, book: Rulebook) -> None:
    assert said(f"procedure: plan\n{text}\n", book) == (expected,)


@pytest.mark.parametrize(
    "text",
    [
        "job: {pressurized: 'yes'}",
        "job: {sheath: Lead}",
        "steps: [{do: turn-channel, channel-angle: 105 deg}, Scuff Lead]  # as ever",
    ],
)
def test_what_reads_as_it_stands_needs_no_word(text: str, book: Rulebook) -> None:
    assert said(f"procedure: plan\n{text}\n", book) == ()


def test_a_thing_is_said_once(book: Rulebook) -> None:
    twice = "procedure: plan\nsteps:\n" + "  - {do: turn-channel, channel-angle: 3:30}\n" * 2
    assert [each.line for each in said(twice, book)] == [3]
