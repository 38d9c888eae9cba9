"""A plan dictated from memory gets back what keeps it from being read, all at once, and what was taken for what."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut_cli.exits import Exit

Run = Callable[..., Result]


@pytest.fixture
def told(run: Run, data: Path) -> str:
    result = run("check", data / "plan-as-typed.yaml")
    assert result.exit_code == Exit.BAD_INPUT
    assert result.stdout == ""
    return result.stderr


@pytest.mark.parametrize(
    ("place", "found", "answer"),
    [
        ("10:22", "combustible-gas: <1 %LFL", "0 to 10 %LFL"),
        ("9:13", "oxygen: 20.9 %", "Delete the line"),
        ("13", "notify desk", "Did you mean notify-pressure-desk?"),
        ("21", "place dessicant", "Did you mean place-desiccant?"),
        ("19:21", "conductor-size: empty", '6 AWG, or "#6"'),
        ("29:15", 'A:1", B:1"', '{A: 1", B: 1"}'),
        ("36:20", "sleeve-length: 26", "26 what? in, ft, mm or cm"),
    ],
)
def test_each_place_says_how_to_write_it(place: str, found: str, answer: str, told: str) -> None:
    block = re.search(rf"^ *{place}(?::\d+)?  .*(?:\n {{8,}}.*)*", told, re.MULTILINE)
    assert block
    columns = [(line[8:34].strip(), line[34:].strip()) for line in block[0].splitlines()]
    assert found.split(maxsplit=1)[0] in " ".join(left for left, _ in columns)
    assert answer in " ".join(right for _, right in columns)


def test_what_was_read_in_an_unusual_form_is_said(told: str) -> None:
    said = " ".join(told.split())
    assert "pressurized yes, joint-with-power yes" in said
    assert "channel-angle 3:30 = 105 deg (clock, seen from A)" in said
    assert 'Line 30 has a comment "6" both sides": it is not read.' in said


def test_nothing_was_judged(told: str) -> None:
    assert "plan-as-typed.yaml cannot be read yet: 7 places. Nothing was judged." in " ".join(told.split())


MENDED = {
    "    oxygen: 20.9 %\n": "",
    "    combustible-gas: <1 %LFL\n": "",
    "notify desk": "notify-pressure-desk",
    "conductor-size: #6": "conductor-size: 6 AWG",
    "place dessicant": "place-desiccant",
    '{A:1", B:1"}': '{A: 1", B: 1"}',
    "sleeve-length: 26\n": "sleeve-length: 26 in\n",
}
"""What the answer says to write, place by place."""


@pytest.fixture
def judged(run: Run, data: Path) -> str:
    text = (data / "plan-as-typed.yaml").read_text(encoding="utf-8")
    for typed, written in MENDED.items():
        assert typed in text
        text = text.replace(typed, written)
    result = run("check", "-", input=text)
    assert result.exit_code == Exit.NONCONFORMING, result.stderr
    return " ".join(result.stdout.split())


@pytest.mark.parametrize(
    "told",
    [
        "place-temporary-bond (line 16) comes only after open-sheath (line 15)",
        "clean-lead (line 29) comes only after scuff-lead (line 28)",
        "Not judged: the job does not say: core",
        'Line 28 has a comment "6" both sides": it is not read.',
        "line 29 clean-lead hands-washed (major)",
    ],
)
def test_with_the_places_mended_it_is_judged(told: str, judged: str) -> None:
    assert told in judged


def test_what_is_false_is_not_told_as_its_opposite(judged: str) -> None:
    """Symptom: "not inside since enter-manhole" was told of people who are inside."""
    assert "seen inside since enter-manhole (line 10)" in judged
    assert "not inside since" not in judged


def test_what_is_missing_is_told_by_the_part_that_misses_it(judged: str) -> None:
    """Symptom: a bar length that was not written was told as "conductor bar; needed other than bar"."""
    assert "found bar length not there needed at least 12 in (" in judged
