"""The small procedures over a rule's alphabet, smallest first: fewest steps, then fewest details."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, product
from typing import Any, NamedTuple

from ringcut.proof.alphabet import Alphabet, Letter
from ringcut.proof.judged import Document
from ringcut.proof.situations import Job

MOST_STEPS = 4
MOST_DETAILS = 7
TEN = Fraction(36_000)
"""Ten in the morning, when the first timed entry is made."""


class Size(NamedTuple):
    """Steps; and readings, times and facts together."""

    steps: int
    details: int


def size_of(document: Document) -> Size:
    """The size of a procedure as YAML data."""
    steps = document["steps"]
    told = sum(len(step) - 1 for step in steps if isinstance(step, dict))
    return Size(len(steps), told + len(document.get("job", {})))


def procedures(letters: Alphabet, jobs: Sequence[Job]) -> Iterator[tuple[Size, Document]]:
    """Every procedure over the alphabet in the order of its size, each once."""
    for steps in range(1, MOST_STEPS + 1):
        most = _most_details(letters, steps, jobs)
        for details in range(most + 1):
            for line in _lines(letters, steps):
                for job in jobs:
                    if len(job) <= details:
                        for entries in _entries(line, details - len(job), letters):
                            yield Size(steps, details), _document(entries, job, letters)


def _most_details(letters: Alphabet, steps: int, jobs: Sequence[Job]) -> int:
    slots = max((len(each.slots) for each in letters.letters), default=0) + bool(letters.gaps)
    return min(steps * slots + max(map(len, jobs), default=0), MOST_DETAILS)


def _lines(letters: Alphabet, steps: int) -> Iterator[tuple[Letter, ...]]:
    if letters.anywhere and letters.idle is not None and steps == 1:
        yield (letters.idle,)
    for line in product(letters.letters, repeat=steps):
        if letters.anywhere or any(each.trigger for each in line):
            yield line


def _entries(line: tuple[Letter, ...], details: int, letters: Alphabet) -> Iterator[list[dict[str, Any]]]:
    """The entries of a line with so many readings and times together."""
    slots = [(at, slot) for at, letter in enumerate(line) for slot in letter.slots]
    for times in range(min(details, len(line)) + 1 if letters.gaps else 1):
        for timed in combinations(range(len(line)), times):
            for gaps in product(letters.gaps, repeat=max(times - 1, 0)):
                for chosen in combinations(slots, details - times):
                    for values in product(*(slot.values for _, slot in chosen)):
                        entries: list[dict[str, Any]] = [{"do": letter.step} for letter in line]
                        for (at, slot), value in zip(chosen, values, strict=True):
                            entries[at][slot.name] = value
                        now = TEN
                        for number, at in enumerate(timed):
                            now += gaps[number - 1] if number else 0
                            entries[at]["at"] = _clock(now)
                        yield entries


def _clock(seconds: Fraction) -> str:
    """A time of day; gaps are whole seconds wherever people write durations."""
    minutes, rest = divmod(int(seconds), 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour % 24:02}:{minute:02}" + (f":{rest:02}" if rest else "")


def _document(entries: list[dict[str, Any]], job: Job, letters: Alphabet) -> Document:
    steps = [entry if len(entry) > 1 else entry["do"] for entry in entries]
    kind = "log" if letters.log or any("at" in entry or _done(entry, letters) for entry in entries) else "plan"
    return {"procedure": kind, **({"job": job} if job else {}), "steps": steps}


def _done(entry: dict[str, Any], letters: Alphabet) -> bool:
    return any(name in letters.done.get(entry["do"], ()) for name in entry)
