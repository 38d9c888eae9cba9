"""Look-ups. No row, an empty cell or two rows: no value, with that reason."""

from __future__ import annotations

from fractions import Fraction

from ringcut.language.ruletext import TableText
from ringcut.reading.measures import Refusal, read_measure, to_base
from ringcut.reading.phrase import Phrase
from ringcut.relations.spans import Missing, Span, Value, Words, exactly
from ringcut.relations.truth import Cause


def look_up(table: TableText, keys: tuple[Value, ...], column: str) -> Value:
    """The cell for some keys: exact (by word), range (rounded to the printed resolution, both ends in) or column."""
    rows = list(table.rows)
    for key, (name, how) in zip(keys, table.keys.items(), strict=True):
        if isinstance(key, Missing):
            return key
        if how == "column":
            column = key.options[0] if isinstance(key, Words) and len(key.options) == 1 else ""
        elif how == "range":
            number = key.low if isinstance(key, Span) and key.exact else None
            if number is None:
                return _none(f"{table.table}: {name} is not one value")
            number = _rounded(table, name, number)
            rows = [row for row in rows if _within(table, name, row, number)]
        else:
            word = key.options[0] if isinstance(key, Words) and len(key.options) == 1 else ""
            at = table.columns.index(name)
            rows = [row for row in rows if row[at].text.lower() == word.lower()]
            if not rows and word:
                said = (
                    f"the {table.table.replace('-', ' ')} has no {name.replace('-', ' ')} {_spelled(word, table, at)}"
                )
                return Missing(Cause("table", said, why="not covered", others=(name,)))
    if len(rows) != 1 or column not in table.columns:
        return _none(
            f"{table.table} has {'no' if not rows else len(rows)} row for this"
            if column
            else f"{table.table}: no column"
        )
    cell = rows[0][table.columns.index(column)]
    if not cell.text:
        return _none(f"{table.table} has an empty cell here")
    if not table.kind_of(column):
        return Words((cell.text,))
    return exactly(number_of(cell, table.kind_of(column), table.unit_of(column)))


def _spelled(word: str, table: TableText, at: int) -> str:
    """A key that is not there, in capitals where the list writes its keys so."""
    return word.upper() if all(row[at].text == row[at].text.upper() for row in table.rows) else word


def _rounded(table: TableText, name: str, number: Fraction) -> Fraction:
    """A key as it would be printed in the table."""
    if table.resolution is not None:
        grid = read_measure(table.resolution.text, table.kind_of(name))
        if not isinstance(grid, Refusal) and grid.low:
            steps = number / grid.low
            return grid.low * ((2 * steps.numerator + steps.denominator) // (2 * steps.denominator))
    return number


def _within(table: TableText, name: str, row: tuple[Phrase, ...], number: Fraction) -> bool:
    kind, unit = table.kind_of(name), table.unit_of(name)
    first, last = (number_of(row[table.columns.index(edge)], kind, unit) for edge in ("from", "to"))
    return first <= number <= last


def number_of(cell: Phrase, kind: str, unit: str) -> Fraction:
    """The number in a cell, in the base unit of its kind."""
    number = Fraction(cell.text)
    base = to_base(number, unit, kind) if unit else number
    return number if isinstance(base, Refusal) else base


def _none(why: str) -> Missing:
    return Missing(Cause("table", why, why="not covered"))
