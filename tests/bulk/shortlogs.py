"""Short logs of invented steps, many of which show a rule the same and yet are not the same."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from random import Random
from typing import Any

from tests.bulk.comparing import differences

from ringcut.bulk.judging import Bulk
from ringcut.language.ir import Rulebook

Entry = dict[str, Any]
HAND = "P. Example"


def rules(**forms: str) -> str:
    """Rules as YAML; each is named by its key, with ``_`` for ``-``."""
    return "".join(
        f"  - {{rule: {name.replace('_', '-')}, says: a, class: major, {form}, reason: r, basis: common practice}}\n"
        for name, form in forms.items()
    )


def log(entries: Iterable[Entry], job: dict[str, Any] | None = None, **keys: str) -> bytes:
    """A log of some entries, each ``after`` so many seconds, by one hand where nobody else is named."""
    steps, seconds = [], 8 * 3600
    for entry in entries:
        seconds += entry.get("after", 60)
        clock = f"2026-03-02T{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}Z"
        step = {"do": entry["do"], "at": clock, "by": HAND} | entry
        step.pop("after", None)
        steps.append(step | ({"reason": "said"} if "status" in step else {}))
    return json.dumps({"procedure": "log", "job": job or {}, **keys, "steps": steps}, separators=(",", ":")).encode()


def parted(lines: Iterable[bytes], book: Rulebook, bulk: Bulk | None = None) -> Iterator[tuple[bytes, list[str]]]:
    """The lines, in no order, of which a bulk that learns as it goes says something else than the reference."""
    bulk, shuffled = bulk or Bulk(book), list(lines)
    Random(1).shuffle(shuffled)
    told = ((line, differences(line, bulk, book)) for line in shuffled)
    return ((line, said) for line, said in told if said)
