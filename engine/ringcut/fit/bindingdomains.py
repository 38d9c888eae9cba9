"""The values that a reading may have: the grid of its range, its choices, the keys of a table.

What a plan decides is not decided outside the range in which it usually lies, because it would be asked about.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor

from ringcut.fit.problem import Domain, Value
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import Refusal, read_measure, show, show_span

LARGEST = 5000
"""Values of the finest grid that is looked at; a reading with more is left to be judged when it is read."""
QUARTER_TURN_OF_A_CLOCK = Fraction(15, 2)
"""Around the cable people speak in quarters of an hour."""
WIRES = ("14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0")


def domain_of(word: ir.Word, keys: tuple[str, ...] = ()) -> Domain | None:
    """The values of a reading, numbers ascending in the base unit; None where they are not finite.

    ``keys``: the rows of a table that it names.
    """
    if keys:
        return keys
    if word.kind == "choice" and word.choices:
        return word.choices
    if word.kind == "yes-no":
        return ("no", "yes")
    if word.kind == "angle":
        return _grid(Fraction(0), 360 - QUARTER_TURN_OF_A_CLOCK, word.resolution or QUARTER_TURN_OF_A_CLOCK)
    if word.kind == "wire-size":
        return _wires()
    if word.possible is None or not word.resolution:
        return None
    usual = word.plausible if word.planned and word.plausible else word.possible
    return _grid(*usual, word.resolution)


def table_keys(book: ir.Rulebook) -> dict[tuple[str, str], tuple[str, ...]]:
    """(step, reading) -> the exact keys of the table in which some limit looks that reading up."""
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for rule in book.rules:
        if not isinstance(rule.form, ir.Limit):
            continue
        for node in n.walk(rule.form.what):
            if isinstance(node, n.Lookup):
                table = book.tables[node.table]
                for key, (name, how) in zip(node.keys, table.keys.items(), strict=True):
                    if isinstance(key, n.Reading) and how == "exact":
                        at = table.columns.index(name)
                        found[key.step, key.name] = tuple(dict.fromkeys(row[at].text for row in table.rows))
    return found


def as_in(domain: Domain, value: Value) -> Value:
    """A word as the domain writes it, whatever its letter case; numbers stay as they are."""
    if isinstance(value, Fraction):
        return value
    return next((each for each in domain if isinstance(each, str) and each.lower() == value.lower()), value)


def words_of(values: Sequence[Value], word: ir.Word, whole: Domain) -> str:
    """Some values of a domain as people say them: ranges where the grid has no gap."""
    if tuple(values) == whole:
        return "any value"
    every: Sequence[Value] = whole
    position = {value: at for at, value in enumerate(every)}
    runs: list[list[Fraction]] = []
    texts = [value for value in values if isinstance(value, str)]
    if texts:
        return " or ".join(texts)
    for value in values:
        if isinstance(value, Fraction):
            if runs and position[value] == position[runs[-1][-1]] + 1:
                runs[-1].append(value)
            else:
                runs.append([value])
    return " or ".join(_run(run, word, whole) for run in runs)


def _run(run: list[Fraction], word: ir.Word, whole: Domain) -> str:
    if len(run) == 1:
        return show(run[0], word.kind, word.unit)
    low = None if run[0] == whole[0] else run[0]
    high = None if run[-1] == whole[-1] else run[-1]
    return show_span(low, high, False, False, word.kind, word.unit)


def nearest(values: Sequence[Value], wanted: Fraction) -> Fraction:
    """The number of a domain that is nearest to one that is wanted; the smaller of two."""
    numbers = [value for value in values if isinstance(value, Fraction)]
    return min(numbers, key=lambda value: (abs(value - wanted), value))


@lru_cache(maxsize=256)
def _grid(low: Fraction, high: Fraction, step: Fraction) -> Domain | None:
    first, last = ceil(low / step), floor(high / step)
    if last - first >= LARGEST or last < first:
        return None
    return tuple(step * count for count in range(first, last + 1))


@lru_cache(maxsize=1)
def _wires() -> Domain:
    found = [read_measure(f"{size} AWG", "wire-size") for size in WIRES]
    return tuple(sorted(each.low for each in found if not isinstance(each, Refusal) and each.low is not None))
