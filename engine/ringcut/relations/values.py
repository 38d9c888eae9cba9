"""The values of readings and job facts: words, measures and sides as typed, made into what rules can look at."""

from __future__ import annotations

from collections.abc import Iterable

from ringcut.language import ir
from ringcut.reading.measures import Refusal, read_measure, read_yes_no, show
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.raw import RawReading
from ringcut.reading.suggest import canonical, near
from ringcut.relations.evaluate import compared
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Listed, Span, Value, Words, exactly
from ringcut.relations.truth import NO


class ValueReader:
    """Reads values for one procedure; what is wrong goes to ``problems``."""

    result: Procedure
    plan: bool
    problems: list[Problem]
    _uncertainties: int = 0

    def _uncertain(self) -> str:
        """A name for the uncertainty of one reading: two readings are independent, one used twice is not.

        A place would not do: all that stands in one line of JSON Lines has the same.
        """
        self._uncertainties += 1
        return f"u{self._uncertainties}"

    def _problem(self, place: Place, found: str, expected: str = "", hint: str = "") -> None:
        self.problems.append(Problem(place, found, expected, hint))

    def _unknown(self, phrase: Phrase, what: str, known: Iterable[str], synonyms: dict[str, str] | None = None) -> None:
        close = near(phrase.text, known, synonyms or {})
        self._problem(phrase.place, f"{phrase.text}: no such {what}", "", f"Did you mean {close}?" if close else "")

    def _side(self, phrase: Phrase) -> str | None:
        for side in self.result.sides:
            if canonical(phrase.text).removeprefix("side-") == canonical(side):
                return side
        self._problem(phrase.place, f"{phrase.text}: no such side", "one of " + ", ".join(self.result.sides))
        return None

    def _values(self, given: RawReading, word: ir.Word, sides: tuple[str, ...]) -> list[tuple[str, Value]]:
        """(side, value) pairs; side is empty for a word that does not differ by side."""
        if given.sides:
            return self._values_by_side(given, word, sides)
        if word.kind == "list":
            phrases = given.items if given.is_list else (given.value,) if given.value else ()
            words = [self._choice(phrase, word) for phrase in phrases]
            return [("", Listed(tuple(each for each in words if each)))]
        if given.is_list or given.value is None:
            what = "a list" if given.is_list else "empty"
            self._problem(given.name.place, f"{given.name.text}: {what}", "one value")
            return []
        value = self._value(given.value, word)
        if value is None:
            return []
        return [(side, value) for side in sides] if word.sided else [("", value)]

    def _values_by_side(self, given: RawReading, word: ir.Word, sides: tuple[str, ...]) -> list[tuple[str, Value]]:
        if not word.sided:
            self._problem(given.name.place, f"{given.name.text} has a value for each side", "one value for both")
            return []
        pairs: list[tuple[str, Value]] = []
        for label, phrase in given.sides:
            side = self._side(label)
            value = self._value(phrase, word)
            if side and value is not None:
                pairs.append((side, value))
        return pairs

    def _value(self, phrase: Phrase, word: ir.Word) -> Value | None:
        if word.kind in ("text", "date", "names"):
            return Words((phrase.text,))
        if word.kind == "yes-no":
            answer = read_yes_no(phrase.text)
            if answer is None:
                self._problem(phrase.place, f"{word.name}: {phrase.text}", "yes or no")
                return None
            return Words(("yes" if answer else "no",))
        if word.kind == "choice":
            choice = self._choice(phrase, word)
            return Words((choice,)) if choice else None
        found = read_measure(phrase.text, word.kind, plan=self.plan)
        if isinstance(found, Refusal):
            self._problem(phrase.place, f"{word.name}: {found.found}", found.expected, found.hint)
            return None
        terms = ((self._uncertain(), found.uncertainty),) if found.uncertainty else ()
        span = Span(found.low, found.high, found.low_open, found.high_open, False, found.tolerance, terms)
        return span if self._possible(phrase, word, span) else None

    def _possible(self, phrase: Phrase, word: ir.Word, span: Span) -> bool:
        if word.possible is None:
            return True
        least, most = word.possible
        if compared(">=", span, exactly(least)).level == NO or compared("<=", span, exactly(most)).level == NO:
            width = f"{show(least, word.kind, word.unit)} to {show(most, word.kind, word.unit)}"
            self._problem(phrase.place, f"{word.name}: {phrase.text} cannot be", width)
            return False
        return True

    def _choice(self, phrase: Phrase, word: ir.Word) -> str | None:
        name = canonical(phrase.text)
        if not phrase.text.strip():
            self._problem(phrase.place, f"{word.name} is empty", ", ".join(word.choices))
            return None
        known = {canonical(choice): choice for choice in word.choices}
        found = known.get(name) or word.reads_as.get(name)
        if found is None and word.choices:
            close = near(name, word.choices, word.reads_as)
            hint = f"Did you mean {close}?" if close else ""
            self._problem(phrase.place, f"{word.name}: {phrase.text}", "one of " + ", ".join(word.choices), hint)
            return None
        return found or name
