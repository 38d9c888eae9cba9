"""The guide's page on the keys of a column file: each example is read, and gives the lines that stand under it.

An example is some lines of a column file (none: those of the base alone), rows of a sheet, and lines with -> for a step
or the job and ?? for a cell that is not taken.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import Column, ColumnFile, Label, LeftOut, Marks, Task
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.language.compile import compile_partly
from ringcut.language.sources import read_sources
from ringcut.reading.raw import RawReading, RawStep
from ringcut_cli.commands.guide import topics

ROOT = Path(__file__).parents[2]
PAGE = topics()["columns"]
BLOCK = re.compile(r"(?:^ {4}.*\n|^\n(?= {4}))+", re.MULTILINE)
BASE = {"Date": "date", "Time": "time", "Task": "task", "Remarks": "note", "Order": "reference"}


def examples() -> list[tuple[str, str, list[str]]]:
    """(column file, sheet, what is read) in the order of the page."""
    found: list[tuple[str, str, list[str]]] = []
    for block in BLOCK.findall(PAGE):
        parts = [re.sub(r"^ {4}", "", part, flags=re.MULTILINE) for part in re.split(r"\n\n", block.strip("\n"))]
        parts = ["", *parts] if len(parts) == 2 else parts
        assert len(parts) == 3, block
        found.append((parts[0], parts[1] + "\n", parts[2].splitlines()))
    return found


@pytest.fixture(scope="module")
def words() -> RulebookLexicon:
    return RulebookLexicon(compile_partly(read_sources(ROOT / "rulebook"), []))


def reading(columns: str, sheet: str, words: RulebookLexicon) -> Reading:
    """The sheet by the column file, to which headings that the base knows are added."""
    said = yaml.load(columns, yaml.BaseLoader) or {}
    named = said.get("columns", {})
    cells = {cell.strip() for line in sheet.splitlines() for cell in line.split(",")}
    added = {} if said.get("shape") == "ticks" else {each: role for each, role in BASE.items() if each in cells}
    if said.get("shape") == "job-sheets":
        del added["Order"]
    said["columns"] = {**added, **named}
    spec = read_columns(yaml.safe_dump(said, allow_unicode=True, sort_keys=False).encode(), "columns.yaml", words)
    return read_spreadsheet(sheet.encode(), "sheet.csv", words, spec)


def told(found: Reading) -> list[str]:
    lines: list[tuple[int, str]] = []
    for log in found.logs:
        for step in log.raw.steps:
            if isinstance(step, RawStep):
                lines.append((step.place.line, f"-> {_step(step)}"))
    lines += [(each.place.line, f'?? {each.where} "{each.text}"') for each in found.not_taken]
    return [text for _, text in sorted(lines, key=lambda each: each[0])]


def _step(step: RawStep) -> str:
    parts = [step.do.text]
    parts += [step.status.text] if step.status else []
    parts += [f"side {side.text}" for side in step.side]
    parts += ["by " + " and ".join(each.text for each in step.by)] if step.by else []
    parts += [f"at {step.at.text.replace('T', ' ')}"] if step.at else []
    for each in step.readings:
        parts += [f"{each.name.text} {each.value.text}"] if each.value else []
        parts += [f"{each.name.text} {side.text} {value.text}" for side, value in each.sides]
    parts += [f"note {step.note.text}"] if step.note else []
    return ", ".join(parts)


def job(found: Reading) -> dict[str, str]:
    facts: tuple[RawReading, ...] = found.logs[0].raw.job
    return {each.name.text: each.value.text for each in facts if each.value}


@pytest.mark.parametrize("example", examples(), ids=lambda each: (each[0] or each[1]).split("\n")[0])
def test_an_example_gives_what_stands_under_it(example: tuple[str, str, list[str]], words: RulebookLexicon) -> None:
    columns, sheet, wanted = example
    found = reading(columns, sheet, words)
    assert told(found) == [line for line in wanted if not line.startswith("-> job: ")]
    for line in wanted:
        if line.startswith("-> job: "):
            facts = dict(part.split(" ", 1) for part in line.removeprefix("-> job: ").split(", "))
            assert facts.items() <= job(found).items()


def test_every_key_is_explained_and_most_have_an_example() -> None:
    kinds = (ColumnFile, Column, Label, Task, Marks, LeftOut)
    keys = {name.replace("_", "-") for kind in kinds for name in kind.__annotations__}
    assert {key for key in keys if not re.search(rf"(?<![\w-]){key}(?![\w-])", PAGE)} == set()
    shown = "\n".join(columns for columns, _, _ in examples())
    without = {"encoding", "separator", "sheets", "heading-row", "timezone", "time-means", "week", "records", "sorted",
               "contractor", "closure", "over-range", "symbol-font", "not-recorded", "not-applicable"}  # fmt: skip
    assert {key for key in keys - without if not re.search(rf"(?<![\w-]){key}:", shown)} <= {"holds", "side"}
