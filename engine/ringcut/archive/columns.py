"""The column file: what a contractor's sheets mean, written down once for each contractor and kept.

YAML, one mapping. It answers what no reader may guess: which row is the heading, which order dates have, what
a tick is, which side E is, which steps the crew's words stand for::

    contractor: C
    shape: step-rows
    heading-row: 4
    fill-down: [WO, Date]
    dates: month-first
    columns:
      WO: reference             # what the column holds; the long spelling is {holds: reference}
      Bond B: {reading: assemble-sleeve.bond-length, side: B, unit: in}
      PSI: {reading: [confirm-zero.gauge-pressure, hold-test.start-pressure..end-pressure], unit: psi}
    tasks:
      - {say: Pulled lid, do: open-manhole}
      - say: Perm bond - bar {clock} oclk
        do: place-permanent-bond
        readings: {bar-angle: "{clock} o'clock"}
"""

from __future__ import annotations

from typing import Literal

import msgspec

Shape = Literal["step-rows", "long", "ticks", "job-sheets", "own-form"]
"""step-rows: a row a step. long: a row a reading, with its name, value and unit in columns of their own.
ticks: a row a job with a column for each step. job-sheets: a sheet (or file) a job, facts above the heading.
own-form: headings are the words of the rulebook."""

Role = Literal[
    "",
    "reference",
    "closure",
    "date",
    "time",
    "started",
    "by",
    "task",
    "status",
    "side",
    "note",
    "reason",
    "evidence",
    "fact",
    "reading",
    "step",
    "reading-name",
    "value",
    "unit",
    "ignore",
]
"""What a column holds. ``step``: a tick column, the cell is a mark or a time. ``reading-name``, ``value``,
``unit``: the long form. ``ignore``: read by nobody, on purpose."""


DecimalSign = Literal["", "point", "comma"]


class Column(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True, forbid_unknown_fields=True):
    """One column. Without ``holds``: a reading where ``reading`` is given, a fact where ``fact`` is, a tick
    where ``step`` is."""

    holds: Role = ""
    reading: tuple[str, ...] = ()
    """``step.reading``; or several: the one whose step the row has, and of several of that step the first that the
    cell can be read as. ``step.first..second``: two readings in a cell, with - / ; or to between them."""
    otherwise: str = ""
    """Where the row has none of those steps: a ``step.reading``, or ``note``. One single reading brings its
    own step."""
    step: tuple[str, ...] = ()
    fact: str = ""
    words: dict[str, str] = {}
    """What the crew writes in a column of a fact or a reading, and what it means; ``{n}`` stands for any text."""
    side: str = ""
    unit: str = ""
    units: dict[str, str] = {}
    """The unit of each reading (``reading`` or ``step.reading``), where they differ."""
    decimal: DecimalSign = ""
    """The decimal sign; empty: that of the file."""
    over_range: str = ""
    """What ``OL`` on the meter means, as ``>1000 megohm``."""

    @property
    def role(self) -> Role:
        """What the column holds, in full."""
        if self.holds:
            return self.holds
        return "reading" if self.reading else "fact" if self.fact else "step" if self.step else "ignore"


class Label(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True, forbid_unknown_fields=True):
    """What stands right of a label above the heading: a job fact, or reference, closure, date or by."""

    fact: str
    words: dict[str, str] = {}
    """What the crew writes, and what it means; ``{n}`` stands for any text."""
    unit: str = ""
    decimal: DecimalSign = ""


class Task(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True, forbid_unknown_fields=True):
    """What the crew's words for a task mean. ``{name}`` in ``say`` or ``remarks`` holds a text for use in
    ``readings``. Several tasks may have the same ``say``: the first whose ``remarks`` the remark says is meant, or
    that has none."""

    say: tuple[str, ...]
    """The crew's words; one or several."""
    do: tuple[str, ...] = ()
    """The steps, in order; none for words that prove nothing (\"all steps per practice\")."""
    readings: dict[str, str] = {}
    """``reading`` of the first step that has it, or ``step.reading``, with its value."""
    remarks: str = ""
    """What the remark of this task says, as ``plan {plan}, was {length}``, or ``by hand``. Where it says something
    else, only the readings whose text stands in the words of the task count."""
    decimal: DecimalSign = ""
    """The decimal sign of the numbers in its words and remarks; empty: that of the file."""


class Marks(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True, forbid_unknown_fields=True):
    """What stands in the status column. Letter case does not matter."""

    done: tuple[str, ...] = ("y", "yes", "done", "ok")
    """Marks for done."""
    not_done: tuple[str, ...] = ("n", "no", "not done", "not-done")
    """Marks for not done."""
    not_applicable: tuple[str, ...] = ("n/a", "na", "not applicable", "not-applicable")
    """Marks for a step that does not apply."""
    not_recorded: tuple[str, ...] = ("not recorded", "not-recorded")
    """Marks for a step of which nobody wrote anything."""
    symbol_font: bool = False
    """ü and P are ticks, û and O crosses, as symbol fonts leave them in a plain text."""
    empty: Literal["done", "not-done", "not-applicable", "not-recorded"] = "not-recorded"
    """What an empty status or tick means."""


class LeftOut(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True, forbid_unknown_fields=True):
    """Rows that are no steps: those where ``column`` says ``says`` (``{n}`` for any text)."""

    column: str
    """The heading."""
    says: str
    """What stands in it; {n} is any text."""
    because: str = "left out"
    """Why such rows are no steps, as the report says it."""


class ColumnFile(msgspec.Struct, frozen=True, rename="kebab", omit_defaults=True, forbid_unknown_fields=True):
    """A column file. What it leaves out and a sheet needs is told as an assumption, or its cells are not taken and
    asked for."""

    columns: dict[str, Column] = {}
    """Heading (letter case and blanks do not matter), and what the column holds."""
    contractor: str = ""
    """Who made the sheets."""
    shape: Shape = "step-rows"
    """step-rows: a row a step; long: a row a reading; ticks: a row a job; job-sheets: a sheet a job."""
    encoding: str = ""
    """Overrules what is found in a text."""
    separator: str = ""
    """Overrules what is found in a text."""
    sheets: tuple[str, ...] = ()
    """The sheets of a workbook to read; all, if none is named."""
    heading_row: int = 0
    """Row of the heading; 0: the first row in which most of the columns are found."""
    heading_rows: int = 1
    """Rows of the heading: with 2, ``Bond (in)`` above ``A`` is the heading ``Bond (in) A``."""
    fill_down: tuple[str, ...] = ()
    """Columns in which an empty cell takes the value above."""
    leave_out: tuple[LeftOut, ...] = ()
    """Rows that are no steps."""
    facts_block: dict[str, Label] = {}
    """Label above the heading, and what the cell right of it says; in short the name of the fact. A unit in the label
    counts, as in ``Cable OD (in)``."""
    job: dict[str, str] = {}
    """Job facts that hold for every job of the contractor."""
    dates: Literal["", "month-first", "day-first", "year-first"] = ""
    """The order of day, month and year."""
    week: str = ""
    """Label above the heading; the cell right of it is the first day of the sheet's week."""
    clock: Literal["", "12", "24", "mixed"] = ""
    """12: am and pm may be left away, so noon is seen by the order of the rows. 24: never. mixed: some rows one way,
    some the other. Where am or pm is written, it counts. Empty: 24, which is told; a time that goes back is asked
    for."""
    decimal: DecimalSign = ""
    """The decimal sign of every column and task that says no other; empty is a point."""
    time_means: Literal["", "finished", "started"] = ""
    """What the time of a row says; empty: finished, which is told as assumed."""
    timezone: str = ""
    """Of times that do not say theirs, as -06:00."""
    records: Literal["", "every-step", "milestones"] = ""
    """every-step: what is not in the log was not done. milestones: it was not recorded. Empty: milestones, which is
    told as assumed, so that nobody is blamed for what nobody had to write."""
    sorted: bool | None = None
    """The rows (in tick sheets: the columns) are in the order of the work; left out: yes, which is told for the columns
    of a tick sheet."""
    marks: Marks = Marks()
    sides: dict[str, tuple[str, ...]] = {}
    """Side, and what the crew calls it: ``A: [E, east]``."""
    people: dict[str, str] = {}
    """Initials, and the person."""
    between_people: str = "/"
    """What stands between several people in a cell."""
    tasks: tuple[Task, ...] = ()
    """The crew's words for what was done, and the steps they mean."""
    readings: dict[str, tuple[str, ...]] = {}
    """Long form: what the crew calls a reading, and its ``step.reading``; or several, the one whose step the row has
    is taken. ``status``: its value is a mark, as in "Done, yes". ``ignore``: it says nothing."""
    units: dict[str, str] = {}
    """Units as the crew writes them, and as they are meant: ``{\"\\\"Hg\": inHg}``."""

    def column(self, heading: str) -> Column | None:
        """The column with this heading."""
        wanted = fold(heading)
        for name, spec in self.columns.items():
            if fold(name) == wanted:
                return spec
        return None


class NamedColumns(msgspec.Struct, frozen=True):
    """A column file under the name by which it was given."""

    name: str
    spec: ColumnFile


def fold(text: str) -> str:
    """A heading or a saying as it is compared: letter case and blanks do not matter, nor curly quotes."""
    return squeeze(text).casefold()


def squeeze(text: str) -> str:
    """A text with single blanks and plain quotes, its letters as typed."""
    for curly, plain in (("\u201c", '"'), ("\u201d", '"'), ("\u2019", "'"), ("\u00a0", " ")):
        text = text.replace(curly, plain)
    return " ".join(text.split())
