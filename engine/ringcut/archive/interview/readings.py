"""Questions about columns of readings: of which steps, in which unit, with decimal commas, over the meter's range."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from ringcut.archive.cells import Cell
from ringcut.archive.columns import Column, Marks, squeeze
from ringcut.archive.headings import take_apart
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import column_said, readings_of, shown, unit_behind
from ringcut.archive.interview.question import Interview, NotAnAnswer, Note, Question, one_of, quoted, yes_no
from ringcut.archive.interview.sight import SeenColumn, SeenRow, Sight
from ringcut.archive.interview.words import having, reading_words
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.marks import read_mark
from ringcut.archive.readingcells import target_of
from ringcut.archive.tasks import TaskBook
from ringcut.archive.values import is_nothing
from ringcut.language import ir
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, kinds_of_unit, read_measure
from ringcut.reading.suggest import canonical

_TWO = re.compile(r"-?\d+(?:\.\d+)? ?(?:-|\u2013|/|to|->|\u2192|;) ?-?\d+(?:\.\d+)?[^\d/]*", re.IGNORECASE)
_COMMA = re.compile(r"[<>]? ?-?\d+,\d+[^\d,]*")
_OVER = re.compile(r"o\.?l\.?|over ?-?range|ovr|overload", re.IGNORECASE)
Pair = tuple[str, str]


def reading_column(column: SeenColumn, sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """What a column that seems to hold readings holds."""
    pairs = _such_cells(column, readings_of(column.heading, draft.spec.sides, lexicon), lexicon)
    placed, sure = _by_rows(column, pairs, sight, draft, lexicon)
    if draft.spec.shape == "ticks" and not placed:
        ticked = {step for spec in draft.spec.columns.values() for step in spec.step}
        placed = [f"{step}.{name}" for step, name in pairs if step in ticked]
        sure = len(placed) == 1
    if placed and sure:
        meant = Column(reading=tuple(placed))
        yield Note(f"{column.heading} holds {shown(meant)}: by its heading and the steps of its rows")
        why = "by its heading and the steps of its rows"
    else:
        # of several that its rows do not tell apart, one would be a guess without a ground
        guess = placed or [".".join(pair) for pair in pairs if len(pairs) == 1]
        said = yield Question(
            f"columns.{column.heading}", f'What does "{column.heading}" hold?',
            lambda text: column_said(text, lexicon, draft.spec.shape),
            (quoted(column.texts),), _CHOICES, ", ".join(guess), "by its heading" if guess else "",
        )  # fmt: skip
        if said is None:
            draft.leave(f"columns.{column.heading}", "not known, so it is not read")
            return
        meant, why = said, "as said"
    draft.column(column.heading, meant, why)
    yield from said_column(column, sight, draft, lexicon)


def sides_of_alike(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """The sides of two columns that hold the same readings, where their headings do not tell them, as A end and B
    end."""
    alike: dict[tuple[str, ...], list[SeenColumn]] = {}
    for column in sight.columns:
        spec = draft.spec.column(column.heading)
        sided = spec is not None and any(word.sided for each in spec.reading for word in words_of(each, lexicon))
        if spec is not None and sided and not spec.side and not take_apart(column.heading, draft.spec.sides)[1]:
            alike.setdefault(spec.reading, []).append(column)
    for columns in alike.values():
        for column in columns if len(columns) == 2 else ():
            words = [word.upper() for word in column.heading.split()]
            guess = next((side for side in ("A", "B") if side in words), "")
            said = yield Question(
                f"columns.{column.heading}", f'Which side is under "{column.heading}"?', one_of("a", "b", "none"),
                (quoted(column.texts),), (("A", "the office side"), ("B", "the other"), ("none", "it is no side")),
                guess, "its heading has the letter" if guess else "",
            )  # fmt: skip
            if said is not None and said != "none":
                spec = draft.spec.columns[column.heading]
                draft.column(column.heading, replace(spec, side=said.upper()), "its side as said")


def _such_cells(column: SeenColumn, pairs: Sequence[Pair], lexicon: Lexicon) -> list[Pair]:
    """Of the readings that a heading may mean, those that its cells may be: numbers for a quantity, none for words."""
    cells = [squeeze(cell.text) for _, cell in column.cells if not is_nothing(cell)]
    numbers = sum(any(map(str.isdigit, text)) for text in cells)
    words = {canonical(text) for text in cells}

    def fits(word: ir.Word | None) -> bool:
        if word is None or not cells:
            return True
        if word.kind == "yes-no":
            return bool(words & {"yes", "no", "y", "n", "true", "false"}) or any(map(_is_mark, cells))
        return word.kind not in KINDS or 2 * numbers >= len(cells)

    return [pair for pair in pairs if fits(lexicon.word(*pair))]


def _is_mark(text: str) -> bool:
    return len(text) == 1 and not text.isalnum() or read_mark(text, Marks()) is not None


def said_column(column: SeenColumn, sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """What else has to be known of a column whose meaning is said."""
    spec = draft.spec.columns[column.heading]
    if spec.reading:
        loose = _without_step(column, spec, sight, draft, lexicon)
        if loose:
            yield from _otherwise(column, loose, draft)
        yield from _details(column, sight, draft, lexicon)


_CHOICES = (
    ("step.reading", "as assemble-sleeve.bond-length; several with commas"),
    ("step.first..second", "two readings in a cell, as hold-test.start-pressure..end-pressure"),
    ("a role", "note, side, time, date, by, reference, status, task, evidence"),
    ("ignore", "read by nobody"),
)  # fmt: skip


def steps_by_row(sight: Sight, draft: Draft, lexicon: Lexicon) -> Callable[[SeenRow], tuple[str, ...]]:
    """The steps that a row's task names."""
    book = TaskBook(draft.spec, lexicon)
    column = next((each.column for each in having(sight, draft, "task")), 0)

    def steps(seen: SeenRow) -> tuple[str, ...]:
        said = book.read(squeeze(seen[column].text), "") if column and seen[column] else None
        return said.steps if said else ()

    return steps


def _by_rows(
    column: SeenColumn, pairs: Sequence[Pair], sight: Sight, draft: Draft, lexicon: Lexicon
) -> tuple[list[str], bool]:
    """The readings that the steps of the column's rows have; not sure where a step has several that it may be."""
    steps_of = steps_by_row(sight, draft, lexicon)
    placed: dict[str, None] = {}
    sure = True
    for seen, cell in column.cells:
        fits = [pair for pair in pairs if pair[0] in steps_of(seen)]
        two = _two(fits) if _TWO.fullmatch(squeeze(cell.text)) else ""
        if is_nothing(cell) or not any(map(str.isdigit, cell.text)):
            continue
        sure = sure and (bool(two) or len(fits) < 2)
        for target in [two] if two else [".".join(pair) for pair in fits]:
            placed[target] = None
    return list(placed), sure


def _two(fits: Sequence[Pair]) -> str:
    """``step.start-x..end-x`` where a step has both."""
    names = {name: step for step, name in fits}
    for name, step in names.items():
        end = name.replace("start-", "end-", 1)
        if name.startswith("start-") and names.get(end) == step:
            return f"{step}.{name}..{end}"
    return ""


def _without_step(column: SeenColumn, meant: Column, sight: Sight, draft: Draft, lexicon: Lexicon) -> list[Cell]:
    steps_of = steps_by_row(sight, draft, lexicon)
    own = {target_of(each)[0] for each in meant.reading}
    if draft.spec.shape in ("ticks", "long"):
        return []
    return [cell for seen, cell in column.cells if not is_nothing(cell) and not own & set(steps_of(seen))]


def _otherwise(column: SeenColumn, loose: list[Cell], draft: Draft) -> Interview:
    spec = draft.spec.columns[column.heading]
    places = ", ".join(f'{cell.where} "{squeeze(cell.text)}"' for cell in loose[:4])
    own = ", ".join(dict.fromkeys(target_of(each)[0] for each in spec.reading))
    choices = [("note", "keep it as a note"), ("none", "do not take it, and say so")]
    if len(spec.reading) == 1:
        choices.append(("step", f"the reading shows that there was a step {own}"))
    said = yield Question(
        f"columns.{column.heading}", f'"{column.heading}" also stands in rows that are not {own}. What of those?',
        one_of(*(word for word, _ in choices)), (places,), tuple(choices), "note", "nothing is lost by it",
    )  # fmt: skip
    if said == "note":
        draft.column(column.heading, replace(spec, otherwise="note"))


def _details(column: SeenColumn, sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """Unit, decimal comma and range of a column of readings."""
    spec = draft.spec.columns[column.heading]
    words = [word for each in spec.reading for word in words_of(each, lexicon)]
    cells = [cell for _, cell in column.cells if not is_nothing(cell)]
    yield from decimals(column, cells, draft, _beside(column, sight, draft))
    _, _, unit = take_apart(column.heading, draft.spec.sides)
    quantities = [word for word in words if word.kind in KINDS and word.kind != "count"]
    if unit == "%" and any(word.kind == "lfl" for word in quantities):
        unit = ""  # a percent of what, the heading does not say
    if having(sight, draft, "unit"):
        pass  # each row says its own
    elif len({word.kind for word in quantities}) > 1 and not unit:
        yield from _units_apart(column, sight, draft, lexicon)
    elif quantities and not unit and any(_is_bare(cell, quantities[0].kind) for cell in cells):
        yield from _unit(column, quantities[0], cells, draft)
    yield from over_range(column, cells, words, draft)
    if len({(word.kind, word.choices) for word in words}) == 1:
        yield from reading_words(column, words[0], draft)


def words_of(target: str, lexicon: Lexicon) -> list[ir.Word]:
    """The readings that ``step.reading``, or ``step.first..second``, names."""
    step, names = target_of(target)
    return [word for name in names if (word := lexicon.word(step, name))]


def _is_bare(cell: Cell, kind: str) -> bool:
    text = squeeze(cell.text).replace(",", ".")
    return not isinstance(read_measure(text, kind), Measure) and any(map(str.isdigit, text))


def unit_check(kinds: Sequence[str]) -> Callable[[str], str]:
    """A check for a unit of one of some kinds; of any, if none is given."""

    def check(text: str) -> str:
        found = kinds_of_unit(text)
        if not found or (kinds and not set(found) & set(kinds)):
            raise NotAnAnswer(f"{text!r} is no unit" + (f" of {kinds[0].replace('-', ' ')}." if kinds else "."))
        return text

    return check


def _unit(column: SeenColumn, word: ir.Word, cells: list[Cell], draft: Draft) -> Interview:
    unit: str | None
    if word.kind == "lfl" and any(name in column.heading.casefold() for name in ("lel", "lfl")):
        unit, why = word.unit, ""
    elif word.kind in kinds_of_unit(column.heading):
        small = column.heading.casefold()
        unit, why = small if word.kind in kinds_of_unit(small) else column.heading, ""
        yield Note(f"{column.heading} is in {unit}: the heading is the unit")
    else:
        bare = [squeeze(cell.text) for cell in cells if _is_bare(cell, word.kind)]
        unit = yield Question(
            f"columns.{column.heading}", f'In which unit are the bare numbers under "{column.heading}"?',
            unit_check([word.kind]), (quoted(list(dict.fromkeys(bare))),), (), *_likely_unit(column, word),
        )  # fmt: skip
        why = "its unit as said"
    if unit is None:
        draft.why[f"columns.{column.heading}"] = "the unit of its bare numbers is not known: they are not taken"
    else:
        draft.column(column.heading, replace(draft.spec.columns[column.heading], unit=unit), why)


def _likely_unit(column: SeenColumn, word: ir.Word) -> tuple[str, str]:
    """The unit that stands in the heading without brackets, or that of the vocabulary, and why."""
    behind = unit_behind(column.heading)
    if word.kind in kinds_of_unit(behind):
        return behind, "it stands in the heading"
    return word.unit, "the vocabulary shows it so"


def _units_apart(column: SeenColumn, sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """The unit of each reading of a column that holds readings of several kinds; only where it has bare numbers."""
    steps_of = steps_by_row(sight, draft, lexicon)
    units: dict[str, str] = {}
    for target in draft.spec.columns[column.heading].reading:
        step = target_of(target)[0]
        own = [cell for seen, cell in column.cells if step in steps_of(seen) and not is_nothing(cell)]
        for word in (word for word in words_of(target, lexicon) if word.kind in KINDS and word.kind != "count"):
            bare = [squeeze(cell.text) for cell in own if _is_bare(cell, word.kind)]
            if not bare or word.name in units:
                continue
            if word.kind == "lfl":
                units[word.name] = word.unit
                continue
            unit = yield Question(
                f"columns.{column.heading}",
                f'In which unit is the {word.name.replace("-", " ")} under "{column.heading}" in rows of {step}?',
                unit_check([word.kind]), (quoted(list(dict.fromkeys(bare))),), (), *_likely_unit(column, word),
            )  # fmt: skip
            if unit is not None:
                units[word.name] = unit
    if units:
        draft.column(column.heading, replace(draft.spec.columns[column.heading], units=units), "its units as said")


def _beside(column: SeenColumn, sight: Sight, draft: Draft) -> list[Cell]:
    """The cells of the other columns that hold readings, or may."""
    others = [each for each in sight.columns if each.heading != column.heading]
    specs = [(each, draft.spec.column(each.heading)) for each in others]
    return [cell for each, spec in specs if spec is None or spec.reading for _, cell in each.cells]


def decimals(column: SeenColumn, cells: list[Cell], draft: Draft, beside: Sequence[Cell] = ()) -> Interview:
    """Whether a comma in numbers is a decimal comma, where most numbers with a sign in them have one.

    ``beside``: cells of other columns of the sheet, whose commas count with them.
    """
    own = [squeeze(cell.text) for cell in cells if _COMMA.fullmatch(squeeze(cell.text))]
    points = [cell for cell in cells if re.search(r"\d\.\d", cell.text)]
    if draft.spec.decimal == "comma":
        if len(points) > len(own):
            draft.column(column.heading, replace(draft.spec.columns[column.heading], decimal="point"), "points below")
        return
    if not own:
        return
    every = [*cells, *beside]
    commas = [squeeze(cell.text) for cell in every if _COMMA.fullmatch(squeeze(cell.text))]
    points = [cell for cell in every if re.search(r"\d\.\d", cell.text)]
    numbers = [cell for cell in every if any(map(str.isdigit, cell.text))]
    # a single comma among other numbers is a slip, and is told when the sheet is read
    if len(commas) < 2 or 3 * len(commas) < len(numbers) or len(points) >= len(commas):
        return
    said = yield Question(
        "decimal", f'Is the comma in the numbers under "{column.heading}" a decimal comma?', yes_no,
        (quoted(list(dict.fromkeys([*own, *commas]))),), guess="yes", why="hardly a number has a point",
    )  # fmt: skip
    if said:
        draft.put(f"as said of {column.heading}", decimal="comma")


def over_range(column: SeenColumn, cells: list[Cell], words: Sequence[ir.Word], draft: Draft) -> Interview:
    """What a meter means that shows OL."""
    over = [cell for cell in cells if _OVER.fullmatch(squeeze(cell.text))]
    if not over:
        return

    def check(text: str) -> str:
        if not text.startswith((">", "<")) or not any(
            isinstance(read_measure(text, word.kind), Measure)
            for word in words
            if word.kind in KINDS and word.kind != "count"
        ):
            raise NotAnAnswer(f"{text!r}: write > and the end of the meter's range, as >1000 megohm.")
        return text

    where = ", ".join(cell.where for cell in over[:4])
    said = yield Question(
        f"columns.{column.heading}", f'What is "{squeeze(over[0].text)}" under "{column.heading}"? As >1000 megohm',
        check, (where,),
    )  # fmt: skip
    if said is None:
        draft.why[f"columns.{column.heading}"] = "what OL means is not known: it is not taken"
    else:
        draft.column(column.heading, replace(draft.spec.columns[column.heading], over_range=said))
