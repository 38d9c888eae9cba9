"""From the plain data of the oracle to what the engine reads, word by word where the two use different words."""

from __future__ import annotations

import json
from typing import Any

from ringcut.judge import cover
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.procedurefile import read_jsonl_line
from ringcut.relations.resolve import resolve

Raw = dict[str, Any]

DAY = "2026-03-04"
SIZES = {"2": "S-3"}
# In a log of the engine these end at their "at" where they also have a "started"; the oracle's only begin.
LASTING = {"ventilate"}
VOLUMES = {"inter-sheath": "outer"}


def clock(minutes: float) -> str:
    """Minutes since midnight of the first day as RFC 3339."""
    days, rest = divmod(round(minutes * 60), 86400)
    return f"2026-03-{4 + days:02}T{rest // 3600:02}:{rest % 3600 // 60:02}:{rest % 60:02}Z"


def step(raw: Raw) -> Raw:
    """One step; a count of ways stands where the oracle names them."""
    found = dict(raw)
    if found["do"] in LASTING:
        found.pop("started", None)
    for key in ("at", "started"):
        if key in found:
            found[key] = clock(found[key])
    if "ways" in found:
        found["ways"] = str(len(str(found["ways"]).split(",")))
    if "size" in found:
        found["size"] = SIZES.get(found["size"], found["size"])
    if "volume" in found:
        found["volume"] = VOLUMES.get(found["volume"], found["volume"])
    return {key: value for key, value in found.items() if value is not None}


def job(raw: Raw) -> Raw:
    """Job facts; the depth of a pit has a name of its own."""
    found = dict(raw)
    if found.get("location") in ("pit", "buried") and "manhole-depth" in found:
        found["pit-depth"] = found.pop("manhole-depth")
    return found


def document(procedure: Raw) -> Raw:
    """The whole procedure in the keys of a plan or a log file."""
    found: Raw = {"procedure": procedure["procedure"], "job": job(procedure["job"])}
    if "records" in procedure:
        found["records"] = procedure["records"]
    found["steps"] = [step(each) for each in procedure["steps"]]
    return found


def judged(procedure: Raw, book: Rulebook) -> Report:
    """The engine's report; :class:`Unreadable` where it refuses the input."""
    raw = read_jsonl_line(json.dumps(document(procedure)).encode(), "made.json", 1)
    problems: list[Problem] = []
    read = resolve(raw, book, problems)
    if not problems:
        problems += cover.impossible(read, book)
    if problems:
        raise Unreadable(problems)
    return judge_procedure(read, book, file="made.json")
