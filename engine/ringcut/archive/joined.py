"""Gaps in a log put together where they share something, directly or through others: one question for each part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import msgspec

from ringcut.archive.results import Wanted

MOST_AT_ONCE = 6
"""Things of several rows that are asked for together."""
Token = tuple[object, ...]
"""What gaps may have in common: the row, a cell, a step, a reading that both are compared with."""


class Gap(msgspec.Struct):
    """Things to ask for, the rules that wait for them, and what they share with others."""

    wants: tuple[Wanted, ...]
    rules: tuple[str, ...]
    shares: frozenset[Token]


def joined(gaps: Iterable[Gap]) -> list[Gap]:
    """The connected parts, each with the wants of its members by row and their rules, each once."""
    parts: list[Gap] = []
    for gap in gaps:
        mine = msgspec.structs.replace(gap, shares=gap.shares | {("wanted", *_key(each)) for each in gap.wants})
        met = [part for part in parts if part.shares & mine.shares]
        parts = [part for part in parts if part not in met]
        parts.append(_one([*met, mine]))
    return parts


def answerable(gaps: Sequence[Gap]) -> Iterator[Gap]:
    """Gaps put together; where more than one can answer in one breath lie in several rows, a question a row."""
    for whole in joined(gaps):
        if len(whole.wants) <= MOST_AT_ONCE or len({each.row for each in whole.wants}) == 1:
            yield whole
            continue
        keys = {(each.row, each.step, each.reading) for each in whole.wants}
        own = [gap for gap in gaps if any((each.row, each.step, each.reading) in keys for each in gap.wants)]
        rows = [msgspec.structs.replace(gap, shares=frozenset([("row", gap.wants[0].row)])) for gap in own]
        yield from joined(rows)


def _one(members: list[Gap]) -> Gap:
    wants: dict[Token, Wanted] = {}
    for each in (one for member in members for one in member.wants):
        wants.setdefault(_key(each), each)
    # what is asked of the step is not asked of one of its sides as well
    wants = {key: each for key, each in wants.items() if not each.side or (*key[:-1], "") not in wants}
    return Gap(
        tuple(wants[key] for key in sorted(wants)),
        tuple(dict.fromkeys(rule for member in members for rule in member.rules)),
        frozenset().union(*(member.shares for member in members)),
    )


def _key(wanted: Wanted) -> tuple[int, str, str, str, str]:
    return wanted.row, wanted.column, wanted.step, wanted.reading, wanted.side
