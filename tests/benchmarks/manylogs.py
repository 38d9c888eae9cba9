"""Seeded logs of 40 steps on average for measuring the audit of many: good work of all kinds, each tenth with a flaw.

The good procedures are those of ``tests.oracle``; readings, minutes, crews and the facts of the job vary as they do in
the field, so that hardly two logs are the same text. The same seed gives the same logs. All data are invented.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

from tests.oracle.procedures import GOOD, TAKES
from tests.rulebook.agreement.adapter import job as adapted
from tests.rulebook.agreement.adapter import step as worded

Raw = dict[str, Any]

NAMES = ("R. Example", "S. Example", "T. Example", "U. Example", "V. Example", "W. Example")


def inches(low: int, high: int, rng: random.Random) -> str:
    """A length from ``low`` to ``high`` sixteenths, as people write it."""
    whole, part = divmod(rng.randint(low, high), 16)
    if not part:
        return f"{whole} in"
    fraction = Fraction(part, 16)
    return f"{whole}-{fraction} in" if whole else f"{fraction} in"


VARIES: dict[str, Any] = {
    "bond-length": lambda rng: {"A": inches(80, 88, rng), "B": inches(80, 84, rng)},
    "oxygen": lambda rng: f"{rng.randint(206, 210) / 10} %",
    "combustible-gas": lambda rng: f"{rng.randint(0, 3)} %LFL",
    "voltage": lambda rng: f"{rng.randint(0, 12)} V",
    "resistance": lambda rng: f"{rng.randint(20, 900)} megohm",
    "smallest": lambda rng: f"{rng.randint(150, 165) / 100} in",
    "largest": lambda rng: f"{rng.randint(230, 250) / 100} in",
    "overlap": lambda rng: {"A": inches(14, 18, rng), "B": inches(14, 16, rng)},
    "end-pressure": lambda rng: f"{rng.randint(606, 612) / 100} psi",
    "surface-temperature": lambda rng: f"{rng.randint(70, 85)} degF",
}
"""Readings that differ from log to log within what is good."""


def varied(step: Raw, rng: random.Random) -> Raw:
    """A step with readings of its own."""
    return {key: VARIES[key](rng) if key in VARIES else value for key, value in step.items()}


def flawed(steps: list[Raw], rng: random.Random) -> None:
    """One flaw: a step left out, two out of order, a reading missing or bad, or a step not recorded."""
    place = rng.randrange(len(steps))
    kind = rng.randrange(5)
    if kind == 0:
        del steps[place]
    elif kind == 1:
        other = rng.randrange(len(steps))
        steps[place], steps[other] = steps[other], steps[place]
    elif kind == 2:
        steps[place] = {"do": steps[place]["do"]}
    elif kind == 3:
        bad = {"bond-length": "4-7/8 in", "gauge-pressure": "0.6 psi", "combustible-gas": "22 %LFL", "layers": "1"}
        steps[place] = {key: bad.get(key, value) for key, value in steps[place].items()}
    else:
        steps[place] = {"do": steps[place]["do"], "status": "not-recorded", "reason": "page lost"}


def made(number: int, rng: random.Random) -> Raw:
    """A log."""
    name = rng.choice(list(GOOD))
    steps = [varied(worded(step), rng) for step in GOOD[name]["steps"]]
    if rng.random() < 0.1:
        flawed(steps, rng)
    crew = rng.sample(NAMES, 2)
    now = datetime(2026, 3, 2, 7, 30, tzinfo=UTC) + timedelta(days=rng.randrange(250), minutes=rng.randrange(40))
    timed = []
    for step in steps:
        now += timedelta(minutes=TAKES.get(step["do"], 2) * rng.choice((1, 1, 1, 1.5)), seconds=rng.randrange(30))
        timed.append({"do": step["do"], "at": now.strftime("%Y-%m-%dT%H:%M:%SZ"), "by": crew[0], **step})
    facts = adapted(GOOD[name]["job"]) | {"cable-diameter": f"{rng.randint(140, 210) / 100} in"}
    return {"procedure": "log", "job": {"reference": f"NS-{number:07}", **facts}, "steps": timed}


def logs(count: int, seed: int = 1) -> Iterator[Raw]:
    """``count`` logs."""
    rng = random.Random(seed)
    for number in range(count):
        yield made(number, rng)


def write(path: Path, count: int, seed: int = 1) -> None:
    """The logs as JSON Lines, without blanks between keys."""
    with path.open("w", encoding="utf-8") as stream:
        for log in logs(count, seed):
            stream.write(json.dumps(log, separators=(",", ":"), ensure_ascii=False) + "\n")
