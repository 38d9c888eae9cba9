"""The words of a rulebook as far as a sheet needs them: what a step is called, and what its readings may
hold."""

from __future__ import annotations

import difflib
from typing import Protocol

from ringcut.archive.evident import evident, turned
from ringcut.language import ir
from ringcut.reading.suggest import canonical, near


class Lexicon(Protocol):
    """Looks words up; nothing here judges."""

    def step(self, text: str) -> str | None:
        """The step with this name or synonym."""

    def sided(self, step: str) -> bool:
        """Whether a step is done on one side or the other."""

    def near_step(self, text: str) -> str:
        """The step that looks most like it, or nothing."""

    def shared(self, text: str) -> tuple[str, ...]:
        """The steps that the trade calls so alike, of which the job says which is meant; none where it is one alone."""

    def step_spoken_of(self, text: str) -> str:
        """The step that looks most like it, if whole words or their beginnings bear it out, or nothing; where several
        steps share these words, the shared word."""

    def steps_named(self, text: str) -> tuple[str, ...]:
        """The steps in whose names, or whose words of the trade, all words of a text stand."""

    def word(self, step: str, reading: str) -> ir.Word | None:
        """What a reading of a step may hold: kind, unit, possible and plausible range (base unit)."""

    def fact(self, name: str) -> ir.Word | None:
        """What a job fact may hold."""

    def near_fact(self, text: str) -> str:
        """The job fact that looks most like it, or nothing."""

    def fact_called(self, text: str) -> ir.Word | None:
        """The one job fact that is called so, by its name, its beginning or what the trade calls it."""

    def fact_named_in(self, text: str) -> ir.Word | None:
        """The one job fact whose name, or whose word of the trade, stands whole in a longer text."""

    def steps_with(self, reading: str) -> tuple[str, ...]:
        """The steps that have a reading of this name."""

    def readings_called(self, text: str) -> tuple[tuple[str, str], ...]:
        """(step, reading) that the vocabulary or the trade calls so, or shows in this unit."""

    def readings_of(self, step: str) -> tuple[ir.Word, ...]:
        """The readings of a step."""


class RulebookLexicon:
    """The lexicon of a compiled rulebook."""

    def __init__(self, book: ir.Rulebook) -> None:
        self._book = book

    def step(self, text: str) -> str | None:
        """The step with this name or synonym."""
        name = canonical(text)
        name = self._book.synonyms.get(name, name)
        return name if name in self._book.steps else None

    def sided(self, step: str) -> bool:
        """Whether a step is done on one side or the other."""
        found = self._book.steps.get(self.step(step) or step)
        return found is not None and found.sided

    def near_step(self, text: str) -> str:
        """The step that looks most like it, or nothing."""
        return near(text[:60], self._book.steps, self._book.synonyms) or ""

    def shared(self, text: str) -> tuple[str, ...]:
        """The steps that the trade calls so alike, of which the job says which is meant; none where it is one alone."""
        return self._book.shared.get(canonical(text), ())

    def step_spoken_of(self, text: str) -> str:
        """The step that looks most like it, if whole words or their beginnings bear it out, or nothing; where several
        steps share these words, the shared word."""
        step = self.near_step(text)
        if len(self.steps_named(text)) > 1:
            return ""  # a word of several steps, as pressure, speaks of none of them
        names = [step, *(other for other, own in self._book.synonyms.items() if own == step)]
        # what is undone is no doing of it
        names = [name for name in names if step and not turned(text, name)]
        if evident(text, [name for name in names if not self.shared(name)]):
            return step
        return next((name for name in names if self.shared(name) and evident(text, [name])), "")

    def steps_named(self, text: str) -> tuple[str, ...]:
        """The steps in whose names, or whose words of the trade, all words of a text stand."""
        wanted = set(canonical(text).split("-"))
        names = {**{name: name for name in self._book.steps}, **self._book.synonyms}
        found = {step for name, step in names.items() if wanted <= set(canonical(name).split("-"))}
        return tuple(name for name in self._book.steps if name in found)

    def word(self, step: str, reading: str) -> ir.Word | None:
        """What a reading of a step may hold."""
        found = self._book.steps.get(step) or self._book.steps.get(self.step(step) or step)
        return found.readings.get(reading) if found else None

    def fact(self, name: str) -> ir.Word | None:
        """What a job fact may hold."""
        return self._book.facts.get(canonical(name))

    def near_fact(self, text: str) -> str:
        """The job fact that looks most like it, or nothing."""
        also = {other: word.name for word in self._book.facts.values() for other in word.also}
        return near(text[:60], self._book.facts, also) or ""

    def fact_called(self, text: str) -> ir.Word | None:
        """The one job fact that is called so, by its name, its beginning or what the trade calls it."""
        said = canonical(text)
        facts = self._book.facts.values()
        found = [word for word in facts if said in (word.name, *map(canonical, word.also))]
        found = found or [word for word in facts if len(said) > 3 and word.name.startswith(said)]
        return found[0] if len(found) == 1 else None

    def fact_named_in(self, text: str) -> ir.Word | None:
        """The one job fact whose name, or whose word of the trade, stands whole in a longer text."""
        said = set(canonical(text.rstrip("?.: ")).split("-"))
        found = [
            word
            for word in self._book.facts.values()
            if any(set(canonical(each).split("-")) <= said for each in (word.name, *word.also))
        ]
        return found[0] if len(found) == 1 else None

    def steps_with(self, reading: str) -> tuple[str, ...]:
        """The steps that have a reading of this name."""
        return tuple(name for name, step in self._book.steps.items() if reading in step.readings)

    def readings_called(self, text: str) -> tuple[tuple[str, str], ...]:
        """(step, reading) that the vocabulary or the trade calls so, or shows in this unit."""
        wanted = canonical(text)
        return tuple(
            (step.name, name)
            for step in self._book.steps.values()
            for name, word in step.readings.items()
            if wanted in (canonical(word.says), canonical(word.unit), *map(canonical, word.also))
            or name.endswith(f"-{wanted}")
            or (len(wanted) > 2 and any(part.startswith(wanted) for part in name.split("-")))
        )

    def readings_of(self, step: str) -> tuple[ir.Word, ...]:
        """The readings of a step."""
        found = self._book.steps.get(step)
        return tuple(found.readings.values()) if found else ()


def meant(near: str) -> str:
    """The question whether a near word is meant; nothing where there is none."""
    return f"did you mean {near}?" if near else ""


def near_word(text: str, known: list[str]) -> str:
    """The known word that looks most like ``text``, or nothing."""
    close = difflib.get_close_matches(text[:60], known, n=1, cutoff=0.6)
    return close[0] if close else ""
