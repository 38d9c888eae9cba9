"""What may be as many as the logs of an audit: kept as a list would keep it, and written as JSON would write it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import hypothesis.strategies as st
import msgspec
import pytest
from click.testing import Result
from hypothesis import given

from ringcut.archive.results import Ask
from ringcut_cli.audit.spool import Spool

Run = Callable[..., Result]
ITEMS = st.lists(st.text(max_size=300), max_size=12)


@given(ITEMS, st.integers(0, 5), st.integers(-14, 14), st.slices(12))
def test_it_is_a_list(items: list[str], held: int, at: int, part: slice) -> None:
    spool = Spool(str, held)
    for number, item in enumerate(items):
        spool.append(item)
        assert len(spool) == number + 1
        assert next(iter(spool)) == items[0], "reading between two writes leaves the file as it is"
    assert list(spool) == items == list(spool)
    assert list(spool[part]) == items[part]
    if -len(items) <= at < len(items):
        assert spool[at] == items[at]
    else:
        with pytest.raises(IndexError):
            spool[at]


def test_two_readers_do_not_disturb_each_other() -> None:
    spool = Spool(str, 1)
    spool.extend("abcd")
    assert list(zip(spool, spool, strict=True)) == [(letter, letter) for letter in "abcd"]


@pytest.mark.parametrize("held", [0, 1000])
def test_a_report_has_its_lists_as_json_writes_them(
    held: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """One object, indented by one blank at each level, whether lists lay in memory or in a file."""
    monkeypatch.setattr("ringcut_cli.audit.spool.HELD", held)
    monkeypatch.setattr(Spool.__init__, "__defaults__", (held,))
    line = '{"procedure": "log", "job": {"reference": "J-%d"}, "steps": ["open-sheath"]}'
    (tmp_path / "many.jsonl").write_text("\n".join([*(line % number for number in range(4)), "{", "[1]"]) + "\n")
    written = run("audit", tmp_path / "many.jsonl", "--format", "json", "--as-of", "2026-04-01").stdout_bytes
    told = json.loads(written)
    assert len(told["not-read"]) == 2 and len(told["questions"]) == 4
    for name, value in told.items():
        if name != "logs":
            assert (
                json.dumps(name).encode() + b": " + msgspec.json.format(msgspec.json.encode(value), indent=1) in written
            )
    assert [each["reference"] for each in told["questions"]] == [f"J-{number}" for number in range(4)]
    assert msgspec.convert(told["questions"], list[Ask])
