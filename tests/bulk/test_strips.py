"""Lines cut at their times only say what their whole reading says, or nothing."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.bulk.chains import Chains
from ringcut.bulk.clocks import times
from ringcut.bulk.cutting import cut
from ringcut.bulk.entries import Entry
from ringcut.bulk.strips import Strip, strip

Raw = dict[str, Any]
HAND = "R. Example"
TEXTS = st.text(st.sampled_from('a",:{}[]\\/ é\n'), max_size=8) | st.sampled_from(
    ["},{", '"at":"', f'Z","by":"{HAND}"']
)
CLOCKS = st.integers(0, 4 * 86400).map(lambda s: datetime(2026, 2, 27, tzinfo=UTC) + timedelta(seconds=s))


@st.composite
def logs(draw: st.DrawFn) -> Raw:
    """A log of one person, or nearly, over a few days, with texts that look like what lies between entries."""
    steps: list[Raw] = []
    clocks = draw(st.lists(CLOCKS, min_size=1, max_size=5))
    for clock in sorted(clocks) if draw(st.integers(0, 4)) else clocks:
        step: Raw = {"do": draw(st.sampled_from(["a", "b"])), "at": clock.strftime("%Y-%m-%dT%H:%M:%SZ"), "by": HAND}
        if not draw(st.integers(0, 6)):
            step["by"] = draw(st.sampled_from(["S. Example", "", 'a"b']))
        if draw(st.booleans()):
            step["note"] = draw(TEXTS)
        if draw(st.booleans()):
            step["deep"] = {"at": draw(TEXTS), "A": "1 in"}
        steps.append(step)
    return {"procedure": "log", "job": {"reference": draw(TEXTS)}, "steps": steps}


@given(logs(), st.booleans())
def test_the_pieces_make_the_line_again(log: Raw, tight: bool) -> None:
    line = json.dumps(log, separators=(",", ":") if tight else None, ensure_ascii=False)
    found = strip(line.encode())
    if found is None:
        return
    at, by = ('"at":"', '"by":"') if tight else ('"at": "', '"by": "')
    blank = "" if tight else " "
    pieces = [piece.decode() for piece in found.pieces]
    if any(at in piece or by + found.hand in piece for piece in pieces):
        return  # two times or two hands in one entry: no whole reading meets such a piece
    midnight = datetime.fromisoformat(f"{found.day}T00:00:00")
    made = found.head + f'"steps":{blank}[{{' + found.first.decode()
    for seconds, piece in zip(found.times, pieces, strict=True):
        clock = midnight + timedelta(seconds=seconds)
        made += f'{at}{clock.isoformat()}{found.zone}",{blank}{by}{found.hand}"{piece}'
    key = f'"reference":{blank}"'
    assert (made + "}]" + found.tail).replace(key, key + found.reference, 1) == line
    assert found.times == sorted(found.times)
    parts = cut(line.encode())
    slow = times(line.encode(), parts) if parts is not None else None
    if slow is not None and len(slow) == len(found.times):
        assert [each - slow[0] for each in slow] == [each - found.times[0] for each in found.times]


def test_a_usual_line_over_midnight_is_cut() -> None:
    clocks = ["2026-02-28T23:50:00-05:00", "2026-03-01T00:10:30-05:00", "2026-03-02T00:10:30-05:00"]
    steps = [{"do": "x", "at": clock, "by": HAND} for clock in clocks]
    found = strip(json.dumps({"procedure": "log", "job": {"reference": "N-1"}, "steps": steps}).encode())
    assert found is not None
    assert (found.day, found.zone, found.hand, found.reference) == ("2026-02-28", "-05:00", HAND, "N-1")
    assert [each - found.times[0] for each in found.times] == [0, 1230, 1230 + 86400]


@pytest.mark.parametrize(
    "clocks",
    [
        ("2026-03-01T08:05:00Z", "2026-03-01T08:00:00Z"),
        ("2026-03-02T08:00:00Z", "2026-03-01T09:00:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-02T08:00:00Z", "2026-03-01T09:00:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T24:00:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T08:60:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T08:00:60Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T08:0\u0663:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T08:00.00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T08:00"),
        ("2026-03-01T08:00:00Z", "2026-02-30T08:00:00Z"),
        ("2026-02-30T08:00:00Z", "2026-02-30T08:00:00Z"),
        ("2026-W09-1T08:00:00Z", "2026-W09-1T08:01:00Z"),
        ("2026-03-01T08:00:00Z", "2026-03-01T08:01:00-05:00"),
        ("2026-03-01T8:00:00Z", "2026-03-01T8:01:00Z"),
        ("8:00", "9:00"),
    ],
)
def test_other_times_are_left_to_the_whole_reading(clocks: tuple[str, ...]) -> None:
    steps = [{"do": "x", "at": clock, "by": HAND} for clock in clocks]
    line = json.dumps({"procedure": "log", "job": {}, "steps": steps}, separators=(",", ":")).encode()
    found = strip(line)
    # a time that does not stand where one is looked for stays in the text of a piece, which no whole reading has met
    assert found is None or any(b"2026" in piece for piece in found.pieces)


def test_what_stands_between_a_time_and_who_did_it_is_no_zone() -> None:
    """A note that every entry has there was taken for part of the zone, so that entries without it passed for these."""
    step = {"do": "x", "at": "2026-03-01T08:00:00Z", "note": "all steps done", "by": HAND}
    assert strip(json.dumps({"procedure": "log", "job": {}, "steps": [step, step]}).encode()) is None


@pytest.mark.parametrize("hand", [b"R. \\q", b"R. \t", b"R. \xff", b"R. \xe2\x80\xa8"])
def test_a_hand_that_is_no_plain_text_is_left_to_the_whole_reading(hand: bytes) -> None:
    """The pieces of the line are those of a good one, so that nothing else would see it."""
    step = b'{"do":"x","at":"2026-03-01T08:00:00Z","by":"' + hand + b'"}'
    assert strip(b'{"procedure":"log","job":{},"steps":[' + step + b"," + step + b"]}") is None


LINES = st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from(["", "1", "2", "3"])), min_size=1, max_size=4)


def stripped(line: list[tuple[str, str]]) -> Strip:
    """A line of entries, each with a beginning and a rest, as ``strip`` cuts it."""
    begins = [begin.encode() for begin, _ in line]
    ends = [b"},{" + begin for begin in begins[1:]] + [b""]
    pieces = [rest.encode() + end for (_, rest), end in zip(line, ends, strict=True)]
    return Strip("", "", "", HAND, "2026-03-01", "Z", begins[0], pieces, list(range(len(line))), b"},{", "")


LETTERS = st.dictionaries(st.tuples(st.sampled_from("abc"), st.sampled_from(["", "1", "2", "3"])), st.integers(0, 2))


def even(known: list[tuple[str, int]]) -> bool:
    return len(known) % 2 == 0


def odd(known: list[tuple[str, int]]) -> bool:
    return not even(known)


@given(
    LETTERS,
    st.lists(LINES, max_size=30),
    st.sampled_from([0, 2, 5]),
    st.sets(st.integers(0, 3)),
    st.sampled_from(["", "1", "none"]),
)
def test_a_chain_that_is_known_means_what_its_entries_mean(
    letter: dict[tuple[str, str], int],
    lines: list[list[tuple[str, str]]],
    dropped: int,
    looked: set[int],
    unread: str,
) -> None:
    """Whatever letters entries have, by beginning and rest: what is found is what the line itself would give.

    Some chains are ``dropped`` from time to time, and one rest is left ``unread``. Entries are right at the places that
    are ``looked`` at.
    """
    chains: Chains[list[tuple[str, int]]] = Chains()

    def read(_: Strip, begun: bytes, rest: bytes) -> tuple[int, Entry] | None:
        begin, end = begun.decode(), rest.decode()
        number = letter.get((begin, end), 0)
        return None if end == unread else (number, Entry(begin, (), (), "done", end, {}, {}))

    for time in range(3):
        for place, line in enumerate(lines):
            if dropped and place % dropped == 1:
                chains.keep(even if place % 2 else odd)
            truth = [(begin, letter.get((begin, rest), 0)) for begin, rest in line]
            found = chains.of(stripped(line))
            if found is None and chains.take(stripped(line), read):
                found = chains.of(stripped(line))
            if found is not None:
                assert found[0] == truth
                said = [(entry.step, entry.note) for entry in found[1]]
                assert len(said) == len(line)
                assert all(said[k] == line[k] for k in looked if k < len(line))
            else:
                assert time < 2 or dropped  # a piece comes to stand for itself at most once, in the first round
                entries = [Entry(begin, (), (), "done", rest, {}, {}) for begin, rest in line]
                chains.meet(stripped(line), [number for _, number in truth], entries, truth, looked)
