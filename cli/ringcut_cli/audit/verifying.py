"""A report made again from the files it names, and compared byte for byte."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from ringcut import __version__
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut_cli.audit.progress import Progress
from ringcut_cli.audit.running import Run, files_of
from ringcut_cli.audit.settings import Asked, sink
from ringcut_cli.exits import Exit


def verified(report: Path) -> Exit:
    """Say whether the report comes out the same. Raises Unreadable where it is no report, or its files are gone."""
    data = report.read_bytes()
    told = _report(data, report)
    asked = _asked(told["made-from"])
    missing = [name for name in _files(asked) if not Path(name).exists()]
    if missing:
        raise Unreadable([Problem(Place(name), "the report names it, and it is not here") for name in missing])
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


def _report(data: bytes, path: Path) -> dict[str, Any]:
    try:
        told = json.loads(data)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict) or not {"made-from", "logs", "digests"} <= set(told):
        raise Unreadable([Problem(Place(str(path)), "this is no report of audit --format json")])
    return told


def _asked(names: dict[str, Any]) -> Asked:
    def path(key: str) -> Path | None:
        return Path(names[key]) if names.get(key) else None

    return Asked(
        tuple(names["logs"]), names["as-of"], path("rulebook"), path("columns"), path("jobs"),
        tuple(Path(each) for each in names.get("plans", ())), path("concessions"), path("answers"),
    )  # fmt: skip


def _files(asked: Asked) -> list[str]:
    single = (asked.rulebook, asked.columns, asked.jobs, asked.concessions, asked.answers)
    return [*asked.logs, *(str(each) for each in (*single, *asked.plans) if each)]


def _differences(old: dict[str, Any], new: dict[str, Any]) -> list[str]:
    """What differs, from the inputs to the verdicts."""
    told = []
    if old["digests"].get("version") != __version__:
        told.append(f"made by ringcut {old['digests'].get('version')}, this is {__version__}")
    if old["digests"].get("context") != new["digests"]["context"]:
        told.append("rulebook, columns, jobs, plans, answers or concessions are not the same")
    if not old.get("complete", True):
        told.append("the report was stopped before its end")
    before = {_key(log): log for log in old["logs"]}
    after = {_key(log): log for log in new["logs"]}
    told += [f"{key[1] or key[0]}: only in the report" for key in before if key not in after]
    told += [f"{key[1] or key[0]}: not in the report" for key in after if key not in before]
    for key, log in before.items():
        if key in after and log != after[key]:
            told.append(f"{key[1] or key[0]}: {_of_log(log, after[key])}")
    apart = ("logs", "digests", "made-from", "complete")
    told += [
        f"{part}: not the same" for part in dict.fromkeys((*new, *old)) if part not in apart and _other(part, old, new)
    ]
    return told or ["only the form of the text"]


def _other(part: str, old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether a part differs, or only one of the two has it."""
    return part not in old or part not in new or bool(old[part] != new[part])


def _key(log: dict[str, Any]) -> tuple[str, str, str]:
    return str(log.get("file")), str(log.get("reference")), str(log.get("order-closure"))


def _of_log(old: dict[str, Any], new: dict[str, Any]) -> str:
    if old.get("digests", {}).get("procedure") != new["digests"]["procedure"]:
        return "the log itself has changed"
    if old.get("verdict") != new["verdict"]:
        return f"was {old.get('verdict')}, is {new['verdict']}"
    if old.get("findings") != new["findings"]:
        return "its findings differ"
    return "its details differ"
