"""What a cell of a reading says: a measure with its unit as written, or the reason why it is not taken.

Checked in the order in which spreadsheets spoil cells: broken formulas, numbers turned into dates, decimal
commas, two readings in a cell, meters over their range, bare numbers, units mixed up. The text that is taken
is the crew's own, with the unit of the heading behind a bare number.
"""

from __future__ import annotations

import re

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.columns import Column, fold
from ringcut.archive.days import MONTHS
from ringcut.archive.ledger import Ledger, NotTakenKind
from ringcut.archive.likelier import inside, likelier
from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, Refusal, read_measure, read_yes_no, show, show_span
from ringcut.reading.suggest import canonical

NOTHING = ("", "-", "--", "---", "\u2013", "\u2014", "n/a", "na", "nil")
"""What people write where there is no reading."""

_ERROR = re.compile(r"#(?:REF|DIV/0|VALUE|N/A|NAME|NUM|NULL|SPILL|CALC|BLOCKED|FIELD)[!?]?|#{2,}", re.IGNORECASE)
_MONTH = "(?:" + "|".join(MONTHS) + ")[a-z]*"
_DAY_MONTH = re.compile(
    rf"(\d{{1,2}})[- ]({_MONTH})(?:[- ]\d{{2,4}})?|({_MONTH})[- ](\d{{1,2}})(?:,? ?\d{{4}})?", re.IGNORECASE
)
_DATE = re.compile(r"\d{1,4}([/.-])\d{1,2}\1\d{2,4}")
"""With one sign throughout: 5-7/16 is a length."""
_COMMA = re.compile(r"(?P<sign>[<>]? ?-?)(?P<whole>\d+),(?P<rest>\d+)(?P<unit> ?[^\d,]*)")
_LONGEST = 200
_POINT = re.compile(r"[<>\u2264\u2265]? ?-?\d+\.(?P<rest>\d+) ?[^\d.,]*")
_NUMBER = r"[<>\u2264\u2265]? ?-?\d+(?:[.,]\d+)?"
_MIXED = r"\d+(?:-| )\d+/\d+|\d+/\d+|\d+(?:\.\d+)?"
_TWO_MIXED = re.compile(
    rf"(?P<one>{_MIXED})(?P<first>|\"| ?[a-z]+)(?: (?:-|\u2013|/|to|->|\u2192) | ?; ?)"
    rf"(?P<two>{_MIXED})(?P<second>|\"| ?[a-z]+)",
    re.IGNORECASE,
)
"""Two numbers of which either may have a fraction, with blanks around what stands between them."""
_TWO = re.compile(
    rf"(?P<one>{_NUMBER})(?P<first> ?[^\d<>/;\u2013\u2192-]*?) ?(?:-|\u2013|/|to|->|\u2192|;) ?"
    rf"(?P<two>{_NUMBER})(?P<second> ?[^\d/]*)",
    re.IGNORECASE,
)
_FRACTION = re.compile(r"(?P<above>\d+) ?/ ?(?P<below>\d+) ?(?P<unit>[^\d]*)")
_METRIC = ("mm", "cm", "m")
_OVER = re.compile(r"o\.?l\.?|over ?-?range|ovr|overload", re.IGNORECASE)
_RAW_DATES = {"month-first": "{month}/{day}", "day-first": "{day}/{month}"}


class Spoiled(msgspec.Struct, frozen=True):
    """Why a cell is not taken, and the likelier reading in words."""

    kind: NotTakenKind
    says: str
    likelier: str = ""


class Context(msgspec.Struct, frozen=True):
    """Where a value stands: its column, the unit meant there, the order of dates, an earlier reading of the
    column."""

    column: Column
    heading: str = ""
    unit: str = ""
    dates: str = ""
    before: str = ""
    reading: str = ""
    """``step.reading``, or both of a cell as ``step.first..second``."""


def is_nothing(cell: Cell) -> bool:
    """The cell holds no reading."""
    return cell.text.strip().casefold() in NOTHING


def take_value(cell: Cell, word: ir.Word, context: Context, ledger: Ledger, said: str = "") -> str | None:
    """The value of one reading as a text with its unit; None where the cell is not taken, which is told. ``said``:
    what the cell's own text stands for."""
    spoiled = None if said else _too_long(cell) or broken(cell, context)
    if not spoiled:
        found = read_value(" ".join((said or cell.text).split()), word, context, ledger, cell)
        if isinstance(found, str):
            return found
        spoiled = found
    ledger.refuse(spoiled.kind, cell, spoiled.says, spoiled.likelier, context.reading)
    return None


def take_two(
    cell: Cell, words: tuple[ir.Word, ir.Word], contexts: tuple[Context, Context], ledger: Ledger, said: str = ""
) -> tuple[str, str] | None:
    """Two readings in one cell, as ``6.1-6.0``; None where the cell is not taken. One unit behind both counts for
    both where they are of one kind."""
    spoiled = None if said else _too_long(cell) or broken(cell, contexts[0])
    taken = spoiled or two_values(" ".join((said or cell.text).split()), words, contexts, ledger, cell)
    if isinstance(taken, Spoiled):
        ledger.refuse(taken.kind, cell, taken.says, taken.likelier, contexts[0].reading)
        return None
    return taken


def two_values(
    text: str, words: tuple[ir.Word, ir.Word], contexts: tuple[Context, Context], ledger: Ledger, cell: Cell
) -> tuple[str, str] | Spoiled:
    """The two values in a text, each with its unit, or why they are not taken."""
    two = _TWO_MIXED.fullmatch(text) or _TWO.fullmatch(text)
    if not two:
        return Spoiled("two-readings", f"{words[0].name} and {words[1].name} are expected here, as 6.1-6.0")
    alike = words[0].kind == words[1].kind
    units = (two["first"].strip() or (two["second"] if alike else ""), two["second"])
    taken = []
    for number, unit, word, context in zip((two["one"], two["two"]), units, words, contexts, strict=True):
        found = read_value(f"{number} {unit.strip()}".strip(), word, context, ledger, cell)
        if isinstance(found, Spoiled):
            return found
        taken.append(found)
    return taken[0], taken[1]


def is_one(text: str, word: ir.Word, context: Context, cell: Cell) -> bool:
    """Whether a text is one value, as 5-1/2 is, which might be taken for 5 and 1/2."""
    plain = " ".join(text.split())
    if _TWO_MIXED.fullmatch(plain):
        return False
    return not isinstance(read_value(plain, word, context, Ledger(str(cell.line)), cell), Spoiled)


def _too_long(cell: Cell) -> Spoiled | None:
    length = len(cell.text)
    return Spoiled("unreadable", f"{length:,} characters are no reading") if length > _LONGEST else None


def broken(cell: Cell, context: Context) -> Spoiled | None:
    """What a spreadsheet did to the cell, whatever it should hold."""
    text = " ".join(cell.text.split())
    if cell.kind == "error" or _ERROR.fullmatch(text):
        narrow = text.strip("#") == ""
        return Spoiled("formula", "the column was too narrow to show it" if narrow else "a broken formula")
    if cell.kind == "formula" or text.startswith("="):
        return Spoiled("formula", "a formula whose result is not in the file")
    if cell.kind == "date" and cell.moment is not None:
        day, month = getattr(cell.moment, "day", 0), getattr(cell.moment, "month", 0)
        return _turned(day, month, context.dates)
    named = _DAY_MONTH.fullmatch(text)
    if named:
        month = MONTHS.index((named[2] or named[3]).casefold()[:3]) + 1
        return _turned(int(named[1] or named[4]), month, context.dates)
    return Spoiled("spreadsheet-date", "a date where a reading belongs") if _DATE.fullmatch(text) else None


def _turned(day: int, month: int, dates: str) -> Spoiled:
    shape = _RAW_DATES.get(dates)
    orders = [shape] if shape else list(_RAW_DATES.values())
    likely = " or ".join(dict.fromkeys(each.format(day=day, month=month) for each in orders))
    return Spoiled("spreadsheet-date", f"looks like {likely} turned into a date by a spreadsheet", f"{likely}?")


def read_value(text: str, word: ir.Word, context: Context, ledger: Ledger, cell: Cell) -> str | Spoiled:
    """The value in a text: of a quantity with its unit, of words as the vocabulary has them."""
    if word.kind not in KINDS:
        return _words(text, word)
    comma = _COMMA.fullmatch(text)
    if comma and context.column.decimal == "comma":
        text = f"{comma['sign']}{comma['whole']}.{comma['rest']}{comma['unit']}"
        ledger.assume("decimal-comma", cell.line, f"a comma is the decimal sign, {ledger.by}", context.heading)
    elif comma:
        return _comma(comma, word, context)
    elif context.column.decimal == "comma" and cell.kind != "number" and (point := _POINT.fullmatch(text)):
        if len(point["rest"]) == 3:
            return Spoiled("decimal-comma", f"{text} among decimal commas: a decimal point, or thousands")
        says = f"the point in {text} is a decimal point, among decimal commas"
        ledger.assume("decimals", cell.line, says, context.heading)
    beyond = context.column.over_range
    if _OVER.fullmatch(text) and beyond and isinstance(read_measure(beyond, word.kind), Measure):
        ledger.assume("over-range", cell.line, f"{text} is {beyond}", context.heading)
        return beyond
    return _measure(text, word, context, ledger, cell)


def _words(text: str, word: ir.Word) -> str | Spoiled:
    if word.kind == "yes-no":
        answer = read_yes_no({"y": "yes", "n": "no"}.get(text.casefold(), text))
        return (
            Spoiled("unreadable", f"{text}: yes or no is expected for {word.name}")
            if answer is None
            else "yes"
            if answer
            else "no"
        )
    if word.kind == "choice" and word.choices:
        name = canonical(text)
        found = {canonical(choice): choice for choice in word.choices}.get(name) or word.reads_as.get(name)
        return found or Spoiled("unreadable", f"{text}: {word.name} is one of {', '.join(word.choices)}")
    return text


def _comma(comma: re.Match[str], word: ir.Word, context: Context) -> Spoiled:
    number = f"{comma['whole']}.{comma['rest']}"
    says = "a decimal comma" if len(comma["rest"]) != 3 else "a decimal comma, or thousands"
    unit = context.unit
    found = read_measure(number, word.kind, unit=unit)
    if isinstance(found, Measure) and not inside(found, word.plausible):
        likely = likelier(number, unit, word)
        says += f". And {number} under {context.heading or unit}"
        return Spoiled("decimal-comma", says, likely or f"{number}?")
    return Spoiled("decimal-comma", says, f"{number} {unit}?".replace(" ?", "?"))


def _measure(text: str, word: ir.Word, context: Context, ledger: Ledger, cell: Cell) -> str | Spoiled:
    unit = context.unit
    alone = read_measure(text, word.kind)
    found = alone if isinstance(alone, Measure) or not unit else read_measure(text, word.kind, unit=unit)
    if isinstance(found, Refusal):
        return _refusal(text, word, found, unit)
    if word.sided and _may_be_two(taken := text if isinstance(alone, Measure) else f"{text} {unit}", word):
        says = f"{text} may be side A and side B: {word.name}..{word.name} in the column file takes both"
        return Spoiled("two-readings", says)
    taken = text if isinstance(alone, Measure) else f"{text} {unit}"
    if isinstance(read_measure(taken, word.kind), Refusal):
        return Spoiled("unreadable", f"{text} is no {word.name}")
    number = text if not isinstance(alone, Measure) else ""
    spoiled = _range(number or text, word, found, context)
    if spoiled:
        return spoiled
    if text.startswith(("<", ">", "\u2264", "\u2265")):
        ledger.assume("interval", cell.line, f"{text} is {_interval(found, word)}", context.heading)
    return taken


def _may_be_two(text: str, word: ir.Word) -> bool:
    """Whether a fraction is none that a tape measure shows, so that it is likelier one number for each side."""
    found = _FRACTION.fullmatch(text)
    if not found:
        return False
    above, below, unit = int(found["above"]), int(found["below"]), found["unit"]
    if unit.casefold() in _METRIC or above >= below or above % 2 == 0 or below not in (2, 4, 8, 16, 32, 64):
        return True
    whole = read_measure(text, word.kind)
    each = [read_measure(f"{number} {unit}", word.kind) for number in (above, below)]
    there = isinstance(whole, Measure) and inside(whole, word.plausible)
    return not there and all(isinstance(one, Measure) and inside(one, word.plausible) for one in each)


def _more_words(text: str) -> tuple[str, str, str]:
    """A text at its first comma or semicolon that no digit follows."""
    found = re.search(r"[,;](?!\d)", text)
    return (text, "", "") if found is None else (text[: found.start()], found[0], text[found.end() :])


def _refusal(text: str, word: ir.Word, refusal: Refusal, unit: str) -> Spoiled:
    if _OVER.fullmatch(text):
        return Spoiled("over-range", "the meter was over its range, which is not written", refusal.hint)
    if _TWO.fullmatch(text):
        return Spoiled("two-readings", f"two numbers where one {word.name} belongs")
    first, sign, rest = (part.strip() for part in _more_words(text))
    if sign and isinstance(read_measure(first, word.kind), Measure):
        return Spoiled("unreadable", f'{first}, and "{rest}" behind it', f"{first}?")
    if unit and refusal.hint:
        return Spoiled("unit-mixed-up", f"{refusal.found}, and {refusal.expected} is expected: {refusal.hint}")
    if re.fullmatch(r"[<>]? ?[\d./ -]+", text):
        return Spoiled("no-unit", refusal.expected or refusal.found, refusal.hint)
    return Spoiled("unreadable", ". ".join(part for part in (refusal.found, refusal.expected) if part), refusal.hint)


def _range(number: str, word: ir.Word, found: Measure, context: Context) -> Spoiled | None:
    """Outside what can be: refused. Outside what is plausible: refused only where another reading is
    likelier."""
    possible, plausible = inside(found, word.possible), inside(found, word.plausible)
    if possible and plausible:
        return None
    likely = likelier(number, context.unit, word)
    if possible and not likely:
        return None
    heading = context.heading or word.name
    says = f"{number} under {heading}"
    if context.before:
        says += f"; {context.before} before"
    if not possible and not likely:
        says += f"; {word.says or word.name} cannot be that"
    return Spoiled("unit-mixed-up" if likely else "out-of-range", says, likely)


def _interval(found: Measure, word: ir.Word) -> str:
    least = word.possible[0] if word.possible else None
    if found.high is not None and least == 0 and (found.low is None or found.low == 0):
        return f"0 to {show(found.high, word.kind, word.unit)}"
    return show_span(found.low, found.high, found.low_open, found.high_open, word.kind, word.unit)


def unit_of(column: Column, heading_unit: str, meant: dict[str, str], reading: str) -> str:
    """The unit that bare numbers of a column have: the one the column file gives this ``step.reading``, or all of the
    column, else the one in the heading."""
    each = {canonical(name): unit for name, unit in column.units.items()}
    own = each.get(reading) or each.get(reading.partition(".")[2])
    unit = own or column.unit or heading_unit
    return next((right for said, right in meant.items() if fold(said) == fold(unit)), unit)
