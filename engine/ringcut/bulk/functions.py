"""Checks as Python functions: one that gives the outcome of every check, one that tells whether all are as before.

Times never run backwards, so that a gap that is short has no long one inside it: of all the gaps only the widest
short ones and the narrowest long ones need be looked at again.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from math import ceil, floor
from typing import Any

import msgspec

from ringcut.bulk.checks import Check, Gap, Healed, Reach, Said, Sign
from ringcut.bulk.numbers import NAMES, NEAR

Function = Callable[..., Any]
Span = tuple[int, int]
Ends = tuple[int, int, int, Sequence[int]]
"""The places of the first and of the last entry that was done, their number, and all of them."""
_KNOWN = re.compile(r"\((known\d+\.get\(.*\)) or exact")
"""What finds a comparison that was judged exactly, by the texts of its readings."""
_PLACE = re.compile("«([0-9]+)»")
_ENTRY = re.compile(r"\be\[([0-9]+)\]")
_NUMBERS, _WHOLE, _TIME = (
    re.compile(r"\be([0-9]+)\.numbers"),
    re.compile(r"\be([0-9]+)\b"),
    re.compile(r"\bt\[([0-9]+)\]"),
)
_ROUNDING = "1e-5"
"""More than the rounding of sums of numbers that are not very large."""
_TAKES = "e, t, q, view, first, last, count, done"
_SPACE: dict[str, object] = NAMES | {
    "__builtins__": {"min": min},
    "bisect_left": bisect_left,
    "bisect_right": bisect_right,
}


def outcomes(checks: Sequence[Check], names: dict[str, object]) -> Function:
    """A function of a log and of the places ``at`` that gives a tuple, one outcome a check."""
    lengths = _Lengths()
    texts = [_PLACE.sub(r"at[\1]", _text(check, lengths)) for check in checks]
    return _made(f"{_TAKES}, at", [], f"({', '.join(texts)},)", names | lengths.names)


def _text(check: Check, lengths: _Lengths) -> str:
    match check:
        case Gap(one, two, op, length):
            return f"t[{two}] - t[{one}] {op} {lengths.of(length)}"
        case Reach(one, length, before):
            return f"bisect_{'left' if before else 'right'}(t, t[{one}] + {lengths.of(length)})"
        case Healed(one, lapse, starts, length):
            ends = f"t[done[min(bisect_left(done, t[{one}] + {lengths.of(lapse)}, key=t.__getitem__), count - 1)]]"
            since = ", ".join(f"t[{start}]" for start in starts)
            return f"bisect_left([{since}], {ends} - {lengths.of(length)})"
        case Sign(left, right, exact):
            return f"((1 if (g := {left} - {right}) > (r := {_room(check)}) else 2 if g < -r else 0) or {exact})"
        case Said(text):
            return text


def _room(check: Sign) -> str:
    """By how much two numbers may seem to differ that do not; where they differ by less, the check itself is asked."""
    return f"{NEAR} * ({check.size})" if check.size else _ROUNDING


class _Lengths:
    """Lengths of time in seconds, as functions write them."""

    def __init__(self) -> None:
        self.names: dict[str, object] = {}

    def of(self, seconds: Fraction) -> str:
        """A length as a number, or the name of one that is no whole number."""
        if seconds.denominator == 1:
            return str(seconds.numerator)
        name = f"d{seconds.numerator}_{seconds.denominator}"
        self.names[name] = seconds
        return name


class Alike:
    """Gathers the checks of a log with their outcomes into a function that tells whether another log has the same."""

    def __init__(self, ends: Ends, size: int | None = None) -> None:
        """``size``: how many entries a rule looks at, for its checks alone; the function then takes their places."""
        self.ends, self.size = ends, size
        self.short: dict[Span, int] = {}
        """Gaps with the most whole seconds that they last."""
        self.long: dict[Span, int] = {}
        """Gaps with the least."""
        self.texts: dict[str, None] = {}
        self.names: dict[str, object] = {}
        self.lengths = _Lengths()

    def add(self, checks: Sequence[Check], names: dict[str, object], at: Sequence[int], found: Sequence[Any]) -> None:
        """Take the checks of one rule with their outcomes; its k-th entry is at ``at[k]``."""
        where = "at"
        if self.size is None:
            where = f"at{len(self.names)}"
            self.names[where] = at
        else:
            at = range(self.size)
        self.names |= names
        for check, outcome in zip(checks, found, strict=True):
            match check:
                case Gap(one, two, op, length):
                    self._gap((self._place(one, at), self._place(two, at)), op, length, outcome)
                case Reach(one, length, before):
                    self._reach(self._place(one, at), ">=" if before else ">", length, outcome)
                case Healed(starts=starts):
                    fewer = msgspec.structs.replace(check, starts=starts[max(outcome - 1, 0) : outcome + 1])
                    text = f"{_text(fewer, self.lengths)} == {min(outcome, 1)}"
                    self.texts[self._placed(text, at, where)] = None
                case Sign(left, right) if outcome in (1, 2):
                    more, less = (left, right) if outcome == 1 else (right, left)
                    self.texts[self._placed(f"{more} > {less} + {_room(check)}", at, where)] = None
                case _:
                    text = f"{_text(check, self.lengths)} == {outcome}"
                    known = _KNOWN.match(check.exact) if isinstance(check, Sign) else None
                    if known is not None:  # the same texts were judged exactly before, and are not compared again
                        text = f"({known[1]} == {outcome} or {text})"
                    self.texts[self._placed(text, at, where)] = None

    def _placed(self, text: str, at: Sequence[int], where: str) -> str:
        placed = _PLACE.sub(lambda found: str(at[int(found[1])]), text)
        return _ENTRY.sub(r"e\1", placed).replace(", at, ", f", {where}, ")

    def _place(self, said: str, at: Sequence[int]) -> int:
        """A place in the log, or among the entries of the rule; there the ends of the log lie beyond them."""
        if said == "first":
            return self.ends[0] if self.size is None else -1
        if said == "last":
            return self.ends[1] if self.size is None else self.size
        return at[int(said[1:-1])]

    def _time(self, place: int) -> str:
        if self.size is None or 0 <= place < self.size:
            return f"t[{place}]"
        return "t[first]" if place < 0 else "t[last]"

    def _gap(self, span: Span, op: str, length: Fraction, holds: bool) -> None:
        least = floor(length) + 1 if op == ">" else ceil(length)
        if holds:
            self.long[span] = max(least, self.long.get(span, least))
        else:
            self.short[span] = min(least - 1, self.short.get(span, least - 1))

    def _reach(self, one: int, op: str, length: Fraction, end: int) -> None:
        if end > one + 1:
            self._gap((one, end - 1), op, length, False)
        if end <= self.ends[1]:
            self._gap((one, end), op, length, True)

    def function(self) -> Function:
        """A function that tells whether the outcomes of all checks are those that were added."""
        time = self._time
        texts = [f"{time(two)} - {time(one)} <= {most}" for (one, two), most in sorted(_widest(self.short))]
        texts += [f"{time(two)} - {time(one)} >= {least}" for (one, two), least in sorted(_narrowest(self.long))]
        texts += self.texts
        takes, place = (_TAKES, "{0}") if self.size is None else (f"{_TAKES}, at", "at[{0}]")
        whole = [_NUMBERS.sub("", text) for text in texts]
        before = [f"t{each} = t[{place.format(each)}]" for each in _places(_TIME, texts)]
        before += [f"n{each} = e[{place.format(each)}].numbers" for each in _places(_NUMBERS, texts)]
        before += [f"e{each} = e[{place.format(each)}]" for each in _places(_WHOLE, whole)]
        body = _NUMBERS.sub(r"n\1", _TIME.sub(r"t\1", " and ".join(texts) or "True"))
        return _made(takes, before, body, self.names | self.lengths.names)


def _places(named: re.Pattern[str], texts: Sequence[str]) -> list[int]:
    return sorted({int(place) for text in texts for place in named.findall(text)})


def _widest(spans: Mapping[Span, int]) -> list[tuple[Span, int]]:
    """Of gaps that last at most so long those from which the others follow."""
    kept: list[tuple[Span, int]] = []
    for (one, two), most in sorted(spans.items(), key=lambda each: each[0][0] - each[0][1]):
        if one != two and not any(a <= one and two <= b and known <= most for (a, b), known in kept):
            kept.append(((one, two), most))
    return kept


def _narrowest(spans: Mapping[Span, int]) -> list[tuple[Span, int]]:
    """Of gaps that last at least so long those from which the others follow."""
    kept: list[tuple[Span, int]] = []
    for (one, two), least in sorted(spans.items(), key=lambda each: each[0][1] - each[0][0]):
        if not any(one <= a and b <= two and known >= least for (a, b), known in kept):
            kept.append(((one, two), least))
    return kept


def _made(takes: str, before: Sequence[str], body: str, names: dict[str, object]) -> Function:
    space: dict[str, Any] = _SPACE | names
    exec("\n    ".join([f"def made({takes}):", *before, f"return {body}"]), space)
    made: Function = space["made"]
    return made
