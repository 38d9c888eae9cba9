"""Answers to the questions about a table, made into a column file and written as YAML."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

import msgspec
import yaml

from ringcut.archive.columns import Column, ColumnFile, LeftOut, Marks, Role, Task
from ringcut.reading.problems import Place, Problem, Unreadable

KEPT = {"symbol-font": "a symbol font's tick or cross"}
"""An answer that is no plain word of the format."""

_CHOSEN = ("contractor", "shape", "dates", "clock", "time-means", "records", "week", "timezone", "decimal")


def _under(answers: Mapping[str, str], room: str) -> dict[str, str]:
    return {key[len(room) + 1 :]: value.strip() for key, value in answers.items() if key.startswith(room + "/")}


def columns_of(answers: Mapping[str, str]) -> dict[str, Column]:
    """The columns that have been answered, with their units and sides. An empty answer: the column is not
    read."""
    said = _under(answers, "columns")
    details = {key: value for key, value in said.items() if key.endswith(("/unit", "/side"))}
    columns = {}
    for name, value in said.items():
        if name in details:
            continue
        unit, side = details.get(f"{name}/unit", ""), details.get(f"{name}/side", "")
        targets = tuple(part.strip() for part in value.split(",") if part.strip())
        if not value or value in get_args(Role):
            columns[name] = Column(holds=msgspec.convert(value or "ignore", Role), unit=unit, side=side)
        else:
            columns[name] = Column(reading=targets, unit=unit, side=side)
    return columns


def column_file(answers: Mapping[str, str]) -> ColumnFile:
    """The column file that the answers make. Raises Unreadable for an answer that no column file can hold."""
    made: dict[str, Any] = {key: answers[key] for key in _CHOSEN if answers.get(key)}
    made["heading-row"] = int(answers["heading-row"]) if answers.get("heading-row", "").isdigit() else 0
    made["columns"] = {name: msgspec.to_builtins(column) for name, column in columns_of(answers).items()}
    made["fill-down"] = [name for name, value in _under(answers, "fill-down").items() if value == "yes"]
    made["leave-out"] = _left_out(answers)
    made["marks"] = _marks(_under(answers, "marks"))
    made["sides"] = _sides(_under(answers, "sides"))
    made["tasks"] = [msgspec.to_builtins(task) for task in _tasks(_under(answers, "tasks"))]
    try:
        return msgspec.convert(made, ColumnFile)
    except msgspec.ValidationError as error:
        raise Unreadable([Problem(Place("answers"), str(error))]) from error


def _left_out(answers: Mapping[str, str]) -> list[Any]:
    """``leave-out/COLUMN`` = the words by which such a row is known."""
    rules = [LeftOut(name, value, "left out") for name, value in _under(answers, "leave-out").items() if value]
    return [msgspec.to_builtins(rule) for rule in rules]


def _marks(said: dict[str, str]) -> Any:
    usual = Marks()
    made: dict[str, Any] = {}
    for mark, means in said.items():
        if means == KEPT["symbol-font"]:
            made["symbol-font"] = True
        elif means:
            key = means.replace("-", "_")
            made.setdefault(means, list(getattr(usual, key, ()))).append(mark)
    return made


def _sides(said: dict[str, str]) -> dict[str, list[str]]:
    sides: dict[str, list[str]] = {}
    for name, side in said.items():
        if side:
            sides.setdefault(side, []).append(name)
    return sides


def _tasks(said: dict[str, str]) -> list[Task]:
    tasks = []
    for words, value in said.items():
        steps = tuple(part.strip() for part in value.split(",") if part.strip())
        if not steps:
            continue
        tasks.append(Task(say=(words,), do=() if steps == ("none",) else steps))
    return tasks


def write_columns(spec: ColumnFile) -> str:
    """The column file as YAML that reads back the same; what is as usual is left away."""
    plain = msgspec.to_builtins(spec)
    plain["columns"] = {
        name: value["holds"] if isinstance(value, dict) and list(value) == ["holds"] else value
        for name, value in plain["columns"].items()
    }
    return yaml.safe_dump(_plain(plain), allow_unicode=True, sort_keys=False, width=100, default_flow_style=None)


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
