"""Lines are cut where their entries end, whatever stands in their texts; what is cut and put together is the line."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.bulk.clocks import times
from ringcut.bulk.cutting import HAND, STAMP, Cut, cut

Raw = dict[str, Any]
NASTY = st.text(st.sampled_from('a",:{}[]\\/ é\x7f\x80\n'), max_size=12)
KEYS = st.sampled_from(["note", "x", "at", "by", "steps", "reference"])
CLOCKS = st.integers(0, 86399).map(lambda s: f"2026-03-0{1 + s % 2}T{s // 3600:02}:{s // 60 % 60:02}:{s % 60:02}Z")


@st.composite
def entries(draw: st.DrawFn) -> Raw:
    """An entry with a time, and texts that look like what lies between entries."""
    found: Raw = {"do": draw(NASTY), "at": draw(CLOCKS)}
    if draw(st.booleans()):
        found["by"] = draw(st.sampled_from(["R. Example", "S. Example", 'a"b', ["R. Example"]]))
    if draw(st.booleans()):
        found["deep"] = {draw(KEYS): draw(NASTY)}
    if draw(st.booleans()):
        found["note"] = draw(NASTY)
    return found


def whole(parts: Cut) -> Raw:
    """The log that the parts of a line make, each read by itself; times are left open."""
    steps = [json.loads("{" + text + "}") for text in parts.entries]
    for step in steps:
        if step.get("by") == HAND:
            step["by"] = parts.hand
    found: Raw = json.loads(parts.head + json.dumps("steps") + ":[]" + parts.tail)
    return found | {"steps": steps}


@given(st.lists(entries(), min_size=1, max_size=5), NASTY, st.booleans(), st.booleans(), st.booleans())
def test_the_parts_make_the_line_again(steps: list[Raw], reference: str, tight: bool, plain: bool, last: bool) -> None:
    job = {"job": {"reference": reference, "note": "a"}}
    log: Raw = {"steps": steps, **job} if last else {**job, "steps": steps}
    log = {"procedure": "log", **log}
    line = json.dumps(log, separators=(",", ":") if tight else None, ensure_ascii=plain).encode()
    parts = cut(line)
    if parts is None:
        return
    try:
        made = whole(parts)
    except ValueError:
        return  # a text looks like the end of an entry: whoever reads the pieces leaves the line to the other way
    assert parts.reference in (reference, "")
    made["job"]["reference"] = reference
    open_times = {**log, "steps": [{**step, "at": STAMP} for step in steps]}
    if all(step["at"] == STAMP for step in made["steps"]):
        assert made == open_times


def test_a_usual_line_is_cut() -> None:
    steps = [
        {"do": "clean-lead", "at": "2026-03-01T08:00:00Z", "by": "R. Example", "note": 'he said "},{"'},
        {"do": "scuff-lead", "at": "2026-03-01T08:05:00Z", "by": "R. Example", "scuffed-length": {"A": "7 in"}},
    ]
    line = json.dumps({"procedure": "log", "job": {"reference": "N-1"}, "steps": steps}).encode()
    parts = cut(line)
    assert parts is not None
    assert (parts.reference, parts.hand, parts.alone, parts.day) == ("N-1", "R. Example", True, "2026-03-01")
    assert [json.loads("{" + text + "}")["do"] for text in parts.entries] == ["clean-lead", "scuff-lead"]
    found = times(line, parts)
    assert found is not None
    assert found[1] - found[0] == 300


@pytest.mark.parametrize(
    "clocks",
    [
        ("2026-03-01T08:05:00Z", "2026-03-01T08:00:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T24:00:00Z"),
        ("2026-03-01T08:00:00Z", "2026-02-30T08:00:00Z"),
        ("2026-03-01T08:00:00", "2026-03-01T09:00:00"),
        ("2026-03-01T08:00:00.5Z", "2026-03-01T09:00:00.5Z"),
        ("2026-03-01T08:00:00.1234Z", "2026-03-01T09:00:00.0000Z"),  # as long as one with an offset
        ("2026-03-01T08:59:60Z", "2026-03-01T09:00:00Z"),
        ("8:00", "9:00"),
    ],
)
def test_times_that_are_written_in_another_way_or_run_back_are_left_to_the_other_way(clocks: tuple[str, str]) -> None:
    steps = [{"do": "wash-hands", "at": clock} for clock in clocks]
    line = json.dumps({"procedure": "log", "job": {}, "steps": steps}).encode()
    parts = cut(line)
    assert parts is None or times(line, parts) is None


def test_times_with_zones_and_over_midnight_are_read_on_one_clock() -> None:
    """RFC 3339, 4.2: a local time less its offset is universal time."""
    clocks = ["2026-03-01T23:50:00-05:00", "2026-03-02T00:10:00-05:00", "2026-03-02T05:20:00+00:00"]
    line = json.dumps({"procedure": "log", "steps": [{"do": "x", "at": clock} for clock in clocks]}).encode()
    parts = cut(line)
    assert parts is not None
    found = times(line, parts)
    assert found is not None
    assert [(each - found[0]) / 60 for each in found] == [0, 20, 30]
    assert parts.day == "2026-03-01"
