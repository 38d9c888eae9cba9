"""The rulebook of a day, compiled once for all days on which the same changes are in force."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path

import pytest

from ringcut.language import editions
from ringcut.language.editions import Shelf, expiries
from ringcut.language.store import load_rulebook
from ringcut.rulebookfiles import builtin_rulebook

HEAD = """\
rulebook: {name}
edition: "{number}"
based-on: {below}
in-force-from: 2026-01-01
may-approve: {{major: [A. Example], minor: [A. Example]}}
change:
"""
CHANGE = "  - {{rule: adhesive-bond-length, shortest: {length}, reason: cold, expires: {day}}}\n"


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A district on a region; a change of each expires."""
    region = HEAD.format(name="Region", number=1, below="base-practice") + CHANGE.format(
        length="6 in", day="2026-03-10"
    )
    (tmp_path / "region.yaml").write_text(region)
    district = HEAD.format(name="District", number=1, below="region") + CHANGE.format(length="7 in", day="2026-03-05")
    (tmp_path / "district.yaml").write_text(district)
    return tmp_path / "district.yaml"


def days(first: str, last: str) -> Iterator[str]:
    day, end = datetime.date.fromisoformat(first), datetime.date.fromisoformat(last)
    while day <= end:
        yield day.isoformat()
        day += datetime.timedelta(days=1)


def test_days_of_change_are_those_of_every_layer(house: Path) -> None:
    assert expiries(house, builtin_rulebook()) == ("2026-03-05", "2026-03-10")


def test_one_rulebook_for_all_days_alike(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    compiled: list[str] = []

    def counting(path: Path, cache: Path | None, *, builtin: Path, as_of: str) -> object:
        compiled.append(as_of)
        return load_rulebook(path, cache, builtin=builtin, as_of=as_of)

    monkeypatch.setattr(editions, "load_rulebook", counting)
    shelf = Shelf(house, builtin_rulebook())
    lengths = {}
    for day in days("2026-03-01", "2026-03-20"):
        rule = shelf.on(day).rule("adhesive-bond-length")
        assert rule is not None
        lengths[day] = rule.values["shortest"].text
    assert set(lengths.values()) == {"7 in", "6 in", "5 in"}
    assert (lengths["2026-03-05"], lengths["2026-03-06"]) == ("7 in", "6 in")
    assert (lengths["2026-03-10"], lengths["2026-03-11"]) == ("6 in", "5 in")
    assert len(compiled) == 3


@pytest.mark.parametrize("day", ["2026-03-01", "2026-03-05", "2026-03-06", "2026-03-11"])
def test_it_is_the_rulebook_of_that_day(house: Path, day: str) -> None:
    """A compilation for the day itself has the same in it."""
    assert Shelf(house, builtin_rulebook()).on(day) == load_rulebook(house, builtin=builtin_rulebook(), as_of=day)
