"""A report made again from the files it names, and compared byte for byte."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import msgspec

from ringcut import __version__
from ringcut.archive.auditreport import MadeFrom
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut_cli.audit.progress import Progress
from ringcut_cli.audit.readtext import count
from ringcut_cli.audit.running import Run, files_of
from ringcut_cli.audit.settings import Asked, sink
from ringcut_cli.exits import Exit

Told = dict[str, Any]
"""A report as JSON has it."""
Log = tuple[str, str, str, int]
"""File, reference and closure of a log, and which of those that have all three."""


def verified(report: Path) -> Exit:
    """Say whether the report comes out the same. Raises Unreadable where it is no report, or its files are gone."""
    data = report.read_bytes()
    told = _report(data, report)
    asked = _asked(told["made-from"], report)
    missing = [name for name in _files(asked) if not Path(name).exists()]
    if missing:
        where = "Run it in the folder in which the report was made"
        raise Unreadable([Problem(Place(name), "the report names it, and it is not here", where) for name in missing])
    made = bytearray()
    run = Run(asked.settings(), "minor")
    run.over(list(files_of(asked.logs)), sink("json", asked, "", made.extend), Progress(0, wanted=False))
    if bytes(made) == data:
        click.echo(f"{report}: the same, byte for byte ({len(data):,} bytes)")
        return Exit.CONFORMS
    click.echo(f"{report}: not the same")
    for line in _differences(told, json.loads(bytes(made))):
        click.echo(f"  {line}")
    return Exit.NONCONFORMING


def _report(data: bytes, path: Path) -> Told:
    try:
        told = json.loads(data)
    except (ValueError, RecursionError):
        told = None
    whole = isinstance(told, dict) and isinstance(told.get("digests"), dict) and isinstance(told.get("made-from"), dict)
    if not whole or not all(isinstance(log, dict) for log in _listed(told, "logs") or [None]):
        raise Unreadable([_no_report(path)])
    known: Told = told
    return known


def _listed(told: Told, key: str) -> list[Any]:
    found = told.get(key)
    return found if isinstance(found, list) else [None]


def _no_report(path: Path) -> Problem:
    return Problem(Place(str(path)), "this is no report of audit --format json")


def _asked(names: Told, report: Path) -> Asked:
    """What made it; a report of an earlier version lacks what could not be asked for then."""
    known = {"plans": [], **dict.fromkeys(("rulebook", "columns", "jobs", "concessions", "answers"), "")}
    known["column-files"] = [names["columns"]] if names.get("columns") else []
    try:
        made = msgspec.convert(known | names, MadeFrom)
    except msgspec.ValidationError as error:
        raise Unreadable([_no_report(report)]) from error
    if made.columns != next(iter(made.column_files), ""):
        raise Unreadable([_no_report(report)])

    def path(name: str) -> Path | None:
        return Path(name) if name else None

    return Asked(
        made.logs, made.as_of, path(made.rulebook), tuple(map(Path, made.column_files)), path(made.jobs),
        tuple(map(Path, made.plans)), path(made.concessions), path(made.answers),
    )  # fmt: skip


def _files(asked: Asked) -> list[str]:
    single = (asked.rulebook, *asked.columns, asked.jobs, asked.concessions, asked.answers)
    return [*asked.logs, *(str(each) for each in (*single, *asked.plans) if each)]


def _differences(old: Told, new: Told) -> list[str]:
    """What differs, from the inputs to the verdicts."""
    told = [*_inputs(old, new)]
    if not old.get("complete", True):
        told.append("the report was stopped before its end")
    told += _logs(old, new)
    apart = ("logs", "digests", "made-from", "complete")
    told += [
        f"{part}: not the same" for part in dict.fromkeys((*new, *old)) if part not in apart and _other(part, old, new)
    ]
    return told or ["only the form of the text"]


def _inputs(old: Told, new: Told) -> Iterator[str]:
    """What besides the logs is not what it was, by its file."""
    before, after = old["digests"], new["digests"]
    if before.get("version") != __version__:
        yield f"made by ringcut {before.get('version')}, this is {__version__}"
    if "rulebook" not in before:
        if before.get("context") != after["context"]:
            yield "rulebook, columns, jobs, plans, answers or concessions are not the same"
        return
    names = new["made-from"]
    yield from _one_by_one("the columns have changed", names["column-files"], after["column-files"], _columns(before))
    for what in ("rulebook", "jobs", "concessions", "answers"):
        if before.get(what) != after[what]:
            yield f"{names[what] or 'the built-in rulebook'}: the {what} {'have' if what[-1] == 's' else 'has'} changed"
    yield from _one_by_one("the plan has changed", names["plans"], after["plans"], before.get("plans"))


def _columns(before: Told) -> list[Any]:
    """The digests of column files; a report of an earlier version has one, under ``columns`` alone."""
    first, files = before.get("columns"), before.get("column-files")
    if not isinstance(files, list):
        return [first]
    return files if files[:1] == [first] else ["", *files[1:]]


def _one_by_one(says: str, names: list[str], digests: list[str], before: object) -> Iterator[str]:
    """Those of several files of a kind whose digest is not what it was at their place."""
    before = before if isinstance(before, list) else []
    for number, (name, digest) in enumerate(zip(names, digests, strict=True)):
        if [digest] != before[number : number + 1]:
            yield f"{name}: {says}"


def _logs(old: Told, new: Told) -> Iterator[str]:
    """Logs that are gone, new or not the same; those of one changed file under its name."""
    before, after = _by_key(old["logs"]), _by_key(new["logs"])
    yield from (f"{_called(key)}: only in the report" for key in before if key not in after)
    yield from (f"{_called(key)}: not in the report" for key in after if key not in before)
    changed: dict[str, list[Log]] = {}
    for key, log in before.items():
        if key in after and _digest(log) != _digest(after[key]):
            changed.setdefault(key[0], []).append(key)
    for file, keys in changed.items():
        named = ", ".join(map(_called, keys)) if len(keys) <= _FEW else count(len(keys), "log")
        yield f"{file} has changed: {named}"
    for key, log in before.items():
        if key in after and (said := _of_log(log, after[key])):
            yield f"{_called(key)}: {said}"


_FEW = 4


def _by_key(logs: list[Told]) -> dict[Log, Told]:
    found: dict[Log, Told] = {}
    seen: dict[tuple[str, str, str], int] = {}
    for log in logs:
        key = (str(log.get("file")), str(log.get("reference")), str(log.get("order-closure")))
        seen[key] = seen.get(key, 0) + 1
        found[(*key, seen[key])] = log
    return found


def _called(key: Log) -> str:
    return (key[1] or key[0]) + (f" ({key[3]})" if key[3] > 1 else "")


def _digest(log: Told) -> object:
    digests = log.get("digests")
    return digests.get("procedure") if isinstance(digests, dict) else None


def _other(part: str, old: Told, new: Told) -> bool:
    """Whether a part differs, or only one of the two has it."""
    return part not in old or part not in new or bool(old[part] != new[part])


def _of_log(old: Told, new: Told) -> str:
    """What is not the same of a log; nothing where only its text has changed."""
    if old.get("verdict") != new["verdict"]:
        return f"was {old.get('verdict')}, is {new['verdict']}"
    if old.get("findings") != new["findings"]:
        return "its findings differ"
    apart = ("digests",)
    return "its details differ" if any(_other(part, old, new) for part in {*old, *new} - {*apart}) else ""
