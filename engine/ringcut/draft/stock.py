"""The sleeves there are: a user's stock list in place of the table of the rulebook, and how sizes compare."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.draft.sheet import read_sheet
from ringcut.language import ir
from ringcut.language.ruletext import TableText
from ringcut.language.words import Basis
from ringcut.reading.measures import Refusal, read_measure, to_base
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import canonical, near
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq
from ringcut.reading.yamltext import load

TABLE = "stock-list"
COLUMNS = ("size", "slips-over", "shrinks-to", "length")


class Sleeve(msgspec.Struct, frozen=True):
    """One row of a stock list, lengths in metres (the base unit)."""

    size: str
    slips_over: Fraction
    shrinks_to: Fraction
    length: Fraction


def sleeves(book: ir.Rulebook) -> tuple[Sleeve, ...]:
    """The stock list in force, in its order; empty where the rulebook has none or its cells are no numbers."""
    table = book.tables.get(TABLE)
    if table is None or not set(COLUMNS) <= set(table.columns):
        return ()
    found = []
    for row in table.rows:
        cells = dict(zip(table.columns, row, strict=True))
        numbers = [to_base(Fraction(cells[name].text), table.units.get(name, "in"), "length") for name in COLUMNS[1:]]
        found.append(Sleeve(cells["size"].text, *(n for n in numbers if not isinstance(n, Refusal))))
    return tuple(found)


def read_stock(data: bytes, file: str) -> TableText:
    """A user's stock list: CSV (a heading with the columns) or YAML (a list of mappings, or rows).

    Every length has its unit: in the cell, or in the heading as ``length in``. :class:`Unreadable` with every problem.
    """
    problems: list[Problem] = []
    yaml = file.lower().endswith((".yaml", ".yml"))
    rows = _yaml_rows(data, file, problems) if yaml else _csv_rows(data, file, problems)
    found = [_row(cells, place, problems) for cells, place in rows]
    if not rows and not problems:
        problems.append(Problem(Place(file), "no sleeve in this stock list", ", ".join(COLUMNS)))
    sizes = [row[0].text.lower() for row in found if row]
    for row in found:
        if row and sizes.count(row[0].text.lower()) > 1:
            problems.append(Problem(row[0].place, f"size {row[0].text} stands here twice", "each size once"))
    if problems:
        raise Unreadable(problems)
    kinds = dict.fromkeys(COLUMNS[1:], "length")
    return TableText(
        table=TABLE,
        says=f"Wraparound sleeves in stock, as {file} lists them.",
        basis=Basis(house=f"the user's stock list {file}"),
        keys={"size": "exact"},
        kinds=kinds,
        units=dict.fromkeys(kinds, "in"),
        columns=COLUMNS,
        rows=tuple(row for row in found if row),
    )


def with_stock(book: ir.Rulebook, table: TableText) -> ir.Rulebook:
    """The rulebook with another stock list."""
    return msgspec.structs.replace(book, tables={**book.tables, TABLE: table})


Cells = dict[str, Phrase]


def _row(cells: Cells, place: Place, problems: list[Problem]) -> tuple[Phrase, ...]:
    missing = [name for name in COLUMNS if not cells.get(name, Phrase("")).text.strip()]
    if missing:
        problems.append(Problem(place, f"no {' and no '.join(missing)}", ", ".join(COLUMNS)))
        return ()
    lengths = []
    for name in COLUMNS[1:]:
        found = read_measure(cells[name].text, "length")
        if isinstance(found, Refusal):
            problems.append(Problem(cells[name].place, f"{name}: {found.found}", found.expected, found.hint))
        elif found.low is None or found.low != found.high or found.low <= 0:
            problems.append(Problem(cells[name].place, f"{name}: {cells[name].text}", "one length over 0 in"))
        else:
            lengths.append(Phrase(str(found.low / Fraction("0.0254")), cells[name].place))
    if len(lengths) == 3 and Fraction(lengths[0].text) <= Fraction(lengths[1].text):
        over, to = (cells[name].text for name in COLUMNS[1:3])
        hint = "are slips-over and shrinks-to exchanged?"
        problems.append(
            Problem(lengths[1].place, f"shrinks-to: {to}, and it slips over {over}", "less than that", hint)
        )
    return (cells["size"], *lengths) if len(lengths) == 3 else ()


def _csv_rows(data: bytes, file: str, problems: list[Problem]) -> list[tuple[Cells, Place]]:
    heading, rows = read_sheet(data, file, problems)
    named = [_column(cell.text) for cell in heading]
    if heading and not _all_there([(name, cell) for (name, _), cell in zip(named, heading, strict=True)], problems):
        return []
    found = []
    for row in rows:
        cells = {}
        for (name, unit), cell in zip(named, row, strict=False):
            if name:
                whole = f"{cell.text} {unit}" if unit and cell.text and name != "size" else cell.text
                cells[name] = Phrase(whole, cell.place)
        found.append((cells, Place(file, row[0].place.line)))
    return found


def _column(heading: str) -> tuple[str, str]:
    """(column, unit) of a heading such as ``slips over (in)`` or ``length mm``; no column where it is none of them."""
    head = canonical(heading)
    for name in COLUMNS:
        rest = head.removeprefix(name)
        unit = rest.strip("-()")
        bracketed = rest.removeprefix("-").startswith("(")
        measured = (
            rest.startswith("-") and name != "size" and not isinstance(read_measure(f"1 {unit}", "length"), Refusal)
        )
        if head.startswith(name) and (not rest or bracketed or measured):
            return name, unit
    return "", ""


def _all_there(named: list[tuple[str, Phrase]], problems: list[Problem]) -> bool:
    """Whether every column stands in a heading, and once; what does not is told at the heading that looks like it."""
    known: dict[str, Phrase] = {}
    twice = False
    for name, cell in named:
        if name and known.setdefault(name, cell) is not cell:
            problems.append(Problem(cell.place, f"{cell.text} is {name} again", "each column once"))
            twice = True
    there = {name for name, _ in named}
    missing = [name for name in COLUMNS if name not in there]
    spare = {cell.text: cell.place for name, cell in named if not name and cell.text}
    for name in missing:
        meant = near(name, spare)
        if meant is None:
            place = msgspec.structs.replace(named[0][1].place, column=0, letter="")
            problems.append(Problem(place, f"no column {name}", ", ".join(COLUMNS)))
        else:
            problems.append(Problem(spare[meant], f"{meant} is no column here", "", f"Did you mean {name}?"))
    return not missing and not twice


def _yaml_rows(data: bytes, file: str, problems: list[Problem]) -> list[tuple[Cells, Place]]:
    root = load(data, file, problems)
    if isinstance(root, Map):
        root = next((value for key, value in root.entries if canonical(key.text) in ("stock", "sleeves", "rows")), root)
    if not isinstance(root, Seq):
        if root is not None:
            problems.append(
                Problem(root.place, "no list of sleeves", "a list of {size, slips-over, shrinks-to, length}")
            )
        return []
    if _misnamed(root, problems):
        return []
    return [(_cells(item), item.place) for item in root.items]


def _misnamed(root: Seq, problems: list[Problem]) -> bool:
    """Whether a name in the list looks like a column that its sleeve lacks; told once, at the first."""
    told: dict[str, Problem] = {}
    for item in root.items:
        keys = {canonical(key.text): key for key, _ in item.entries} if isinstance(item, Map) else {}
        spare = [name for name in keys if name not in COLUMNS]
        for name in COLUMNS if keys else ():
            meant = near(name, spare) if name not in keys else None
            if meant is not None and meant not in told:
                found = f"{keys[meant].text} is no column here"
                told[meant] = Problem(keys[meant].place, found, "", f"Did you mean {name}?")
    problems += told.values()
    return bool(told)


def _cells(item: Node) -> Cells:
    if isinstance(item, Seq):
        texts = [cell for cell in item.items if isinstance(cell, Scalar)]
        return {name: Phrase(cell.text, cell.place) for name, cell in zip(COLUMNS, texts, strict=False)}
    if isinstance(item, Map):
        pairs = [(canonical(key.text), value) for key, value in item.entries if isinstance(value, Scalar)]
        return {name: Phrase(value.text, value.place) for name, value in pairs}
    return {}
