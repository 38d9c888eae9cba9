"""Seeded logs that are meant to part the bulk from the reference: nothing in them is likely, everything is readable.

Good procedures are shuffled, cut off, doubled, thinned out; readings go missing, stand for one side only, are far too
large, stand exactly at a limit or leave room; entries are said not to be done; hours are stretched and squeezed until
gaps stand exactly at the lengths of time that rules name; jobs change their facts. All data are invented.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from tests.oracle.procedures import GOOD, TAKES
from tests.rulebook.agreement.adapter import job as adapted
from tests.rulebook.agreement.adapter import step as worded

Raw = dict[str, Any]
Steps = list[Raw]
KEYS = {"do", "at", "by", "side", "status", "reason", "note"}
NAMES = ("R. Example", "S. Example", "T. Example")
NOTES = ("rain", "All steps done per practice", "by the book")
GAPS = (0, 0, 0.5, 1, 2, 4, 5, 6, 10, 14, 15, 16, 20, 29, 30, 31, 45, 59, 60, 61, 90, 240, 1500)
"""Minutes between entries; those around the lengths that rules name."""
VALUES: dict[str, tuple[str, ...]] = {
    "in": ("0 in", "1/8 in", "3/4 in", "1 in", "5 in", "4-15/16 in", "6 in", "127 mm", "12.7 cm", "7 in", "300 in",
           "<5 in", ">1 in", "5 in to 6 in", "28 in", "14 in", "16-1/8 in"),
    "psi": ("0 psi", "0.1 psi", "6.1 psi", "9.9 psi", "10 psi", "14.7 psi", "42 kPa", "-0.1 psi"),
    "%LFL": ("0 %LFL", "<1 %LFL", "10 %LFL", "10.1 %LFL", "40 %LFL"),
    "%": ("20.9 %", "19.5 %", "19.4 %", "23.6 %"),
    "min": ("0 min", "3 s", "29 min", "30 min", "60 min", "2 h"),
    "degF": ("68 degF", "70 degF", "20 degC", "200 degF"),
    "V": ("0 V", "3 V", "50 V", "51 V"),
    "o'clock": ("12 o'clock", "3 o'clock", "6 o'clock", "9 o'clock", "85 deg"),
    "yes": ("yes", "no"),
}  # fmt: skip
WORDS = {"A", "B"}


def unit(text: str) -> str:
    """The last word of a measure, or yes for a yes or no."""
    return "yes" if text in ("yes", "no") else text.rsplit(" ", 1)[-1]


def shuffled(steps: Steps, rng: random.Random) -> None:
    """Some entries in other places; sometimes all."""
    if rng.random() < 0.3:
        rng.shuffle(steps)
    for _ in range(rng.randrange(6)):
        step = steps.pop(rng.randrange(len(steps)))
        steps.insert(rng.randrange(len(steps) + 1), step)


def truncated(steps: Steps, rng: random.Random) -> None:
    """Only the first, only the last, or only one entry."""
    size = rng.choice((1, 1, 2, len(steps) // 2, max(len(steps) - 3, 1)))
    start = rng.choice((0, len(steps) - size, rng.randrange(len(steps) - size + 1)))
    steps[:] = steps[start : start + size]


def thinned(steps: Steps, rng: random.Random) -> None:
    """Entries left out."""
    for _ in range(min(rng.randrange(1, 8), len(steps) - 1)):
        del steps[rng.randrange(len(steps))]


def doubled(steps: Steps, rng: random.Random) -> None:
    """Entries done again, near or far from the first time."""
    for _ in range(rng.randrange(1, 6)):
        step = dict(rng.choice(steps))
        steps.insert(rng.randrange(len(steps) + 1), step)


def unread(steps: Steps, rng: random.Random) -> None:
    """Readings left out."""
    for _ in range(rng.randrange(1, 8)):
        step = rng.choice(steps)
        names = [key for key in step if key not in KEYS]
        if names:
            del step[rng.choice(names)]


def extreme(steps: Steps, rng: random.Random) -> None:
    """Readings of another size in the same unit."""
    for _ in range(rng.randrange(1, 8)):
        step = rng.choice(steps)
        names = [key for key, value in step.items() if key not in KEYS and isinstance(value, str)]
        if names:
            name = rng.choice(names)
            step[name] = rng.choice(VALUES.get(unit(step[name]), (step[name],)))


def sided(steps: Steps, rng: random.Random) -> None:
    """Entries and readings for one side, or with a value a side."""
    for _ in range(rng.randrange(1, 6)):
        step = rng.choice(steps)
        if rng.random() < 0.5:
            step["side"] = rng.choice(("A", "B"))
        for key, value in list(step.items()):
            if key not in KEYS and isinstance(value, dict) and rng.random() < 0.5:
                value.pop(rng.choice(("A", "B")), None)
                if not value:
                    del step[key]
            elif key in ("bond-length", "overlap", "scuffed-length", "reach") and isinstance(value, str):
                step[key] = {"A": value, "B": rng.choice(VALUES["in"])}


def denied(steps: Steps, rng: random.Random) -> None:
    """Entries that say that a step was not done."""
    for _ in range(rng.randrange(1, 5)):
        number = rng.randrange(len(steps))
        steps[number] |= {"status": rng.choice(("not-done", "not-recorded", "not-applicable")), "reason": "so it was"}


def noted(steps: Steps, rng: random.Random) -> None:
    """Notes, and other hands."""
    for _ in range(rng.randrange(1, 6)):
        rng.choice(steps)["note"] = rng.choice(NOTES)
        rng.choice(steps)["by"] = rng.choice((NAMES[0], NAMES[1], list(NAMES[:2]), NAMES[2]))


def measured(steps: Steps, rng: random.Random) -> None:
    """A shield that is measured, near what the table has for it or far from it."""
    ohms = rng.choice(("0.3 ohm", "0.28 ohm", "5 ohm"))
    step = {"do": "measure-shield", "resistance": ohms, "temperature": "68 degF", "measured-length": "1000 ft"}
    steps.insert(rng.randrange(len(steps) + 1), step)


DAMAGE: tuple[Callable[[Steps, random.Random], None], ...] = (
    shuffled, truncated, thinned, doubled, unread, extreme, sided, denied, noted, measured,
)  # fmt: skip
FACTS: dict[str, tuple[Any, ...]] = {
    "pressurized": ("yes", "no"), "fed": ("yes", "no"), "jacket": ("plastic", "none", "armor"),
    "location": ("manhole", "aerial", "pit", "buried", "building", "vault"), "core": ("paper", "plastic"),
    "sheath": ("lead", "polyethylene", {"A": "lead", "B": "polyethylene"}),
    "cable-diameter": ("1.1 in", "3 in", "0.2 in"),
    "opening-length": ("6 in", "14 in"), "manhole-depth": ("3 ft", "4 ft", "9 ft"), "new-plant": ("yes", "no"),
    "shield-type": ("A", "D", "E"), "special": ("none",), "construction": ("single", "double"),
}  # fmt: skip


def job_of(name: str, rng: random.Random) -> Raw:
    """The job of a good procedure, sometimes with other facts or without some."""
    facts = adapted(GOOD[name]["job"])
    if rng.random() < 0.3:
        for fact in rng.sample(list(FACTS), rng.randrange(1, 4)):
            facts[fact] = rng.choice(FACTS[fact])
    if rng.random() < 0.2:
        facts.pop(rng.choice(list(facts)))
    return facts


def timed(steps: Steps, rng: random.Random) -> Steps:
    """The steps with times that never run backwards."""
    now = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
    usual, alone, found = rng.random() < 0.4, rng.random() < 0.5, []
    for step in steps:
        minutes = TAKES.get(step["do"], 2) if usual else rng.choice(GAPS)
        now += timedelta(minutes=minutes)
        by = {} if rng.random() < 0.2 else {"by": NAMES[0] if alone else rng.choice(NAMES)}
        found.append({"do": step["do"], "at": now.strftime("%Y-%m-%dT%H:%M:%SZ"), **by, **step})
    if rng.random() < 0.05:
        found = [{**step, "at": found[0]["at"]} for step in found]
    return found


def logs(count: int, seed: int) -> Iterator[bytes]:
    """``count`` lines of JSON."""
    rng = random.Random(seed)
    for number in range(count):
        name = rng.choice(list(GOOD))
        steps = [worded(json.loads(json.dumps(step))) for step in GOOD[name]["steps"]]
        for damage in rng.sample(DAMAGE, rng.choice((0, 1, 1, 2, 2, 3, 5))):
            damage(steps, rng)
        log: Raw = {"procedure": "log", "job": {"reference": f"X-{number}", **job_of(name, rng)}}
        if rng.random() < 0.3:
            log["records"] = rng.choice(("milestones", "every-step"))
        if rng.random() < 0.1:
            log["finished"] = "no"
        log["steps"] = timed(steps, rng)
        yield json.dumps(log, separators=rng.choice(((",", ":"), (", ", ": ")))).encode()


def siblings(line: bytes, rng: random.Random) -> Iterator[bytes]:
    """Logs that differ from one in their times, readings, hands or facts only, so that what was learnt is used."""
    for _ in range(3):
        log = json.loads(line)
        steps: Steps = log["steps"]
        if rng.random() < 0.6:
            steps = timed([{key: value for key, value in step.items() if key != "at"} for step in steps], rng)
        if rng.random() < 0.6:
            rng.choice((unread, extreme, noted))(steps, rng)
        if rng.random() < 0.3:
            log["job"]["cable-diameter"] = rng.choice(FACTS["cable-diameter"])
        log["steps"] = steps
        yield json.dumps(log).encode()


def families(count: int, seed: int) -> Iterator[bytes]:
    """``count`` logs, each followed by its siblings."""
    rng = random.Random(seed)
    for line in logs(count, seed):
        yield line
        yield from siblings(line, rng)
