"""Questions about rows: which is the heading, what one row is, what stands above, what is filled down or left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import get_args

from ringcut.archive.cells import Cell, Row
from ringcut.archive.claimed import claim_of
from ringcut.archive.columns import Label, LeftOut, Shape, fold, squeeze
from ringcut.archive.days import Day, read_day
from ringcut.archive.headings import take_apart
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import guess_column
from ringcut.archive.interview.question import Interview, NotAnAnswer, Question, chosen, one_of, quoted, yes_no
from ringcut.archive.interview.sight import HeadingRow, SeenRow, Sight, joined_heading, two_rows, without
from ringcut.archive.interview.words import choice_words
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tables import Table
from ringcut.reading.measures import kinds_of_unit
from ringcut.reading.suggest import canonical

SHAPES: dict[Shape, str] = {
    "step-rows": "a row for each step",
    "long": "a row for each reading, with its name, value and unit in columns",
    "ticks": "a row for each job, with a column for each step",
    "job-sheets": "a sheet or file for each job, with facts of the job above the steps",
}
_FILLED = ("reference", "closure", "date", "by", "fact", "task")
_ABOVE = ("reference", "closure", "date", "by")
_TOTALS = ("total", "subtotal", "sum", "hours", "hrs")


def heading_row(tables: Sequence[Table], found: Sequence[HeadingRow]) -> Interview:
    """Which row is the heading."""
    table, best = tables[0], found[0]

    def check(text: str) -> int:
        row = table.row(int(text)) if text.isdigit() else None
        if row is None or sum(bool(cell) for cell in row.cells) < 2:
            raise NotAnAnswer(f"{text!r} is no row with headings; a number from 1 to {len(table.rows)}.")
        return row.line

    shown = []
    for each in found[:4]:
        row = table.row(each.line)
        shown.append(f"{each.line}: {quoted([squeeze(cell.text) for cell in row.cells if cell] if row else [])}")
    why = (
        f"{best.known} of its {best.cells} cells are words that headings have"
        if best.known
        else "the first with a text"
    )
    return (yield Question("heading-row", "Which row holds the headings?", check, tuple(shown),
                           guess=str(best.line), why=why))  # fmt: skip


def heading_rows(table: Table, line: int, draft: Draft, lexicon: Lexicon) -> Interview:
    """Whether the heading stands in two rows: its upper row, and how many there are."""
    upper = two_rows(table, line, lexicon)
    pair = [row for each in (upper, upper + 1) if upper and (row := table.row(each)) is not None]
    joined = joined_heading(pair, lexicon) if pair else None
    if joined is None:
        return line, 1
    names = [squeeze(cell.text) for cell in joined.cells if cell]
    said = yield Question(
        "heading-rows", f"Do the headings stand in two rows, {upper} and {upper + 1}?", yes_no,
        (f"together they are {quoted(names, 12)}",), guess="yes", why="together they are more words that headings have",
    )  # fmt: skip
    if said is None:
        draft.leave("heading-rows", "not known; one row is taken")
    if not said:
        return line, 1
    draft.put("as said", heading_rows=2)
    return upper, 2


def shape(draft: Draft, guess: Shape | None, why: str) -> Interview:
    """What one row is."""
    wanted = tuple(name for name in get_args(Shape) if name in SHAPES)
    said = yield Question(
        "shape", "What is one row of this sheet?", one_of(*wanted), choices=tuple(SHAPES.items()),
        guess=guess or "", why=why if guess else "",
    )  # fmt: skip
    if said is None:
        draft.leave("shape", "not known; step-rows is taken")
    else:
        draft.put("as said", shape=said)


def above(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """Labels above the heading with a value right of them: the week, and facts of the job."""
    needs_reference = all(column.role != "reference" for column in draft.spec.columns.values())
    roles = {column.fact or column.role for column in draft.spec.columns.values()}
    block: dict[str, Label] = {}
    for label, value in _pairs(sight.above):
        name = squeeze(label.text).rstrip(": ")
        if "week" in name.casefold() and _is_date(value):
            draft.put(f"{squeeze(value.text)} stands beside it", week=name)
            continue
        guess = guess_column(name, [value], lexicon).column
        meant = (guess.fact or guess.holds) if guess and (guess.fact or guess.holds in _ABOVE) else ""
        if not meant and (fact := lexicon.fact_called(name.rstrip("?. "))):
            meant = fact.name
        why = "by its words"
        if not meant and draft.spec.shape == "job-sheets" and (fact := lexicon.fact_named_in(name)):
            meant, why = fact.name, "a word of it stands there"
        if not meant and draft.spec.shape == "job-sheets":
            meant, why = _near(name, lexicon), "it looks most like it"
        taken = meant in roles or (meant == "reference" and not needs_reference)
        if taken or (not meant and draft.spec.shape != "job-sheets"):
            continue
        said = yield Question(
            "facts-block", f'What is "{name}", above the steps?', _fact_check(lexicon),
            (f'{value.where} "{value.text}"',),
            (("reference, closure, date, by", "the order, its closure, its day, who did it"),
             ("the name of a job fact", "as location or cable-diameter"), ("ignore", "nothing that is judged")),
            meant or "ignore", why if meant else "",
        )  # fmt: skip
        if said is None:
            draft.leave("facts-block", f"{name} is not known")
        elif said != "ignore":
            texts = list(dict.fromkeys(squeeze(each.text) for each in _beside(sight, name)))
            words = yield from choice_words(f"facts-block.{name}", lexicon.fact(said), texts, {})
            block[name] = Label(said, words)
    if block:
        draft.put(facts_block=block)


def _near(name: str, lexicon: Lexicon) -> str:
    """A job fact that begins like a label, and that its unit may measure; nothing where there is none."""
    plain, _, unit = take_apart(name, {})
    kinds = kinds_of_unit(unit) if unit else ()
    called = [*(f"{canonical(plain)}-{kind}" for kind in kinds), lexicon.near_fact(plain)]
    found = [fact for each in called if (fact := lexicon.fact(each)) and fact.name[:4] == canonical(plain)[:4]]
    fits = [fact.name for fact in found if not unit or fact.kind in kinds]
    return fits[0] if fits else ""


def _beside(sight: Sight, name: str) -> list[Cell]:
    """What stands beside a label on each sheet."""
    rows = [row for table in sight.tables for row in table.rows if row.line < sight.heading.line]
    return [value for label, value in _pairs(rows) if fold(squeeze(label.text).rstrip(": ")) == fold(name)]


def _pairs(rows: Sequence[Row]) -> list[tuple[Cell, Cell]]:
    """A label and the cell right of it, or both in one cell with a colon."""
    found = []
    for row in rows:
        label: Cell | None = None
        for cell in (each for each in row.cells if each):
            said, colon, rest = (part.strip() for part in cell.text.partition(":"))
            if label is not None:
                found.append((label, cell))
                label = None
            elif colon and rest and not said[-1:].isdigit():
                found.append((Cell(said, cell.line, cell.column), Cell(rest, cell.line, cell.column)))
            elif not _is_number(cell):
                label = cell
    return found


def _is_number(cell: Cell) -> bool:
    return cell.text.strip()[:1].isdigit() or cell.moment is not None


def _is_date(cell: Cell) -> bool:
    return any(isinstance(read_day(cell, order), Day) for order in ("", "month-first", "day-first"))


def _fact_check(lexicon: Lexicon) -> Callable[[str], str]:
    def check(text: str) -> str:
        name = canonical(text)
        if name in (*_ABOVE, "ignore"):
            return name
        fact = lexicon.fact(name)
        if fact is None:
            raise NotAnAnswer(f"{text!r} is no job fact. reference, closure, date, by, a job fact, or ignore.")
        return fact.name

    return check


def fill_down(sight: Sight, draft: Draft) -> Interview:
    """Columns in which empty cells may take the value above."""
    task = next((c.column for c in sight.columns if (s := draft.spec.column(c.heading)) and s.role == "task"), 0)
    found, empty = [], {}
    for column in sight.columns:
        spec = draft.spec.column(column.heading)
        # a row without a task is likelier a total than one of the work
        rows = [row for row in sight.rows if not task or task == column.column or row[task]]
        rows = [row for row in rows if not _is_total(next((cell for cell in row.row.cells if cell), row[1]))]
        rows = [row for row in rows if claim_of(row.row.cells) is None]
        empty[column.heading] = sum(not row[column.column] for row in rows)
        first = bool(rows) and bool(rows[0][column.column])
        if spec and spec.role in _FILLED and first and empty[column.heading]:
            found.append(column)
    if not found:
        return
    names = [column.heading for column in found]
    usual = [name for name in names if draft.spec.columns[name].role != "task"]

    def check(text: str) -> tuple[str, ...]:
        if text.casefold() in ("no", "none"):
            return ()
        return chosen(text, names)

    seen = tuple(f"{column.heading}: {empty[column.heading]} of {len(sight.rows)} rows are empty" for column in found)
    says = "In which of these columns does an empty cell mean the value above? Several with ;"
    said = yield Question(
        "fill-down", says, check, seen, guess="; ".join(usual) or "none",
        why="the first row has a value" if usual else "a row without a task is likelier no step",
    )  # fmt: skip
    if said is None:
        draft.leave("fill-down", "not known whether empty cells take the value above")
    elif said:
        draft.put("as said", fill_down=said)


def skipped(sight: Sight, draft: Draft) -> Interview:
    """Rows that look like no step: without the task (or the value) that every step has."""
    filled = {fold(name) for name in draft.spec.fill_down}
    needed = [
        column for column in sight.columns
        if (spec := draft.spec.column(column.heading)) and spec.role in ("task", "reading-name")
        and fold(column.heading) not in filled
    ]  # fmt: skip
    asked: dict[tuple[int, str], SeenRow] = {}
    for seen in sight.rows:
        cells = [cell for cell in seen.row.cells if cell]
        odd = bool(needed) and not any(seen[column.column] for column in needed)
        if odd and claim_of(cells) is not None:
            continue  # "all steps per practice" under the rows is no step, and is not left out either: it is told
        if cells and (odd or _is_total(cells[0])):
            asked.setdefault((cells[0].column, fold(cells[0].text)), seen)
    for (at, _), seen in asked.items():
        heading = next((column.heading for column in sight.columns if column.column == at), "")
        text = squeeze(seen[at].text)
        if not heading:
            continue
        texts = [squeeze(cell.text) for cell in seen.row.cells if cell]
        says = f'Is row {seen.row.line} a row of the work? All with "{text[:40]}" under {heading} are taken alike.'
        said = yield Question("leave-out", says, yes_no, (quoted(texts),),
                              guess="no", why="it has no task" if needed else "it looks like a total")  # fmt: skip
        if said is False:
            draft.skip(LeftOut(heading, text, "total" if _is_total(seen[at]) else "no step"))
            without(sight, at, text)
        elif said is None:
            draft.leave("leave-out", f'not known whether rows with "{text[:40]}" under {heading} are steps')


def _is_total(cell: Cell) -> bool:
    return any(word in _TOTALS for word in squeeze(cell.text).casefold().rstrip(":").split())
