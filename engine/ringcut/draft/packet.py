"""Job packets: the facts of many jobs in one file, of which a draft takes one by its reference.

CSV: a heading with names of facts (of one side: ``sheath A``), one job a line. YAML: a list of jobs, a mapping from
reference to facts, or the facts of one job.
"""

from __future__ import annotations

import msgspec

from ringcut.draft.jobfacts import said_as
from ringcut.draft.models import Job
from ringcut.draft.sheet import read_sheet
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import canonical, near
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq
from ringcut.reading.yamltext import load

REFERENCE = ("reference", "order", "work-order", "wo", "ticket", "job", "job-number")
"""What the column of references may be called."""
SIDES = ("A", "B")


class Packed(msgspec.Struct, frozen=True):
    """The facts of one job, and where each stands."""

    job: Job
    places: dict[str, tuple[Place, Place]] = {}


def read_packet(data: bytes, file: str, reference: str = "") -> Packed:
    """The facts of one job; without ``reference`` the packet must hold one only.

    Empty cells are facts that are not given. :class:`Unreadable` where the packet or the job in it is not to be found.
    """
    problems: list[Problem] = []
    yaml = file.lower().endswith((".yaml", ".yml", ".json"))
    jobs = _yaml_jobs(data, file, problems) if yaml else _csv_jobs(data, file, problems)
    if problems:
        raise Unreadable(problems)
    if not jobs:
        raise Unreadable([Problem(Place(file), "no job in this packet")])
    if not reference:
        if len(jobs) == 1:
            return jobs[0]
        told = f"{len(jobs)} jobs in this packet"
        raise Unreadable([Problem(Place(file), told, "which one", f"--reference {_reference(jobs[0])}")])
    found = [each for each in jobs if canonical(_reference(each)) == canonical(reference)]
    if len(found) == 1:
        return found[0]
    if found:
        told = f"{reference} stands in this packet {len(found)} times"
        raise Unreadable([Problem(Place(file), told, "one job with this reference")])
    close = near(reference, [_reference(each) for each in jobs])
    hint = f"Did you mean {close}?" if close else ""
    raise Unreadable([Problem(Place(file), f"no job {reference} in this packet", "", hint)])


def _reference(packed: Packed) -> str:
    return str(packed.job.get("reference", ""))


def _named(name: str) -> str:
    return "reference" if canonical(name) in REFERENCE else canonical(name)


def _csv_jobs(data: bytes, file: str, problems: list[Problem]) -> list[Packed]:
    heading, rows = read_sheet(data, file, problems)
    heads = [_head(cell.text) for cell in heading]
    for at, head in enumerate(heads):
        if head[0] and head in heads[:at]:
            told = f"the heading {heading[at].text} stands here twice"
            problems.append(Problem(heading[at].place, told, "each fact once, or once a side"))
    found = []
    for row in rows:
        packed = Packed({}, {})
        for (name, side), named, cell in zip(heads, heading, row, strict=False):
            if name and cell.text:
                _put(packed, name, side, cell, named.place, problems)
        if packed.job:
            found.append(packed)
    return found


def _head(text: str) -> tuple[str, str]:
    """(fact, side) of a heading: ``sheath A`` and ``A sheath`` are of side A; a bare name of both."""
    words = text.split()
    if len(words) > 1:
        for side, rest in ((words[-1], words[:-1]), (words[0], words[1:])):
            if side in SIDES:
                return _named(" ".join(rest)), side
    return _named(text), ""


def _put(packed: Packed, name: str, side: str, cell: Phrase, head: Place, problems: list[Problem]) -> None:
    known = packed.job.get(name)
    packed.places[f"{name} {side}".strip()] = (head, cell.place)
    if not side and known is None:
        packed.job[name] = said_as(cell.text)
    elif side and (known is None or isinstance(known, dict)):
        packed.job[name] = {**(known or {}), side: cell.text}
    else:
        told = f"{name} is given for both sides and for one of them"
        problems.append(Problem(cell.place, told, f"{name}, or {name} A and {name} B"))


def _yaml_jobs(data: bytes, file: str, problems: list[Problem]) -> list[Packed]:
    root = load(data, file, problems)
    if isinstance(root, Seq):
        return [_job(item, problems) for item in root.items]
    if not isinstance(root, Map):
        return []
    inner = next((value for key, value in root.entries if canonical(key.text) in ("job", "jobs")), None)
    if isinstance(inner, Seq):
        return [_job(item, problems) for item in inner.items]
    if isinstance(inner, Map):
        root = inner
    if all(isinstance(value, Map) for _, value in root.entries) and not _has_fact_names(root):
        return [_under(_job(value, problems), key) for key, value in root.entries]
    return [_job(root, problems)]


def _has_fact_names(root: Map) -> bool:
    return any(_named(key.text) in ("reference", "work", "sheath", "location") for key, _ in root.entries)


def _under(packed: Packed, key: Scalar) -> Packed:
    """A job that stands under its reference."""
    return Packed({**packed.job, "reference": key.text}, {**packed.places, "reference": (key.place, key.place)})


def _job(node: Node, problems: list[Problem]) -> Packed:
    if not isinstance(node, Map):
        problems.append(Problem(node.place, "no mapping of facts", "{reference: ..., work: ...}"))
        return Packed({})
    packed = Packed({}, {})
    for key, value in node.entries:
        name = _named(key.text)
        packed.places[name] = (key.place, value.place)
        if isinstance(value, Scalar):
            if not value.null:
                packed.job[name] = said_as(value.text) if value.plain else value.text
        elif isinstance(value, Seq):
            packed.job[name] = [text for item in value.items if (text := _text(item, problems)) is not None]
        else:
            sides = [(side, item.place, _text(item, problems)) for side, item in value.entries]
            packed.job[name] = {side.text: text for side, _, text in sides if text is not None}
            packed.places.update((f"{name} {side.text}", (key.place, where)) for side, where, _ in sides)
    return packed


def _text(node: Node, problems: list[Problem]) -> str | None:
    """What stands for one side or in a list, which is never a list itself; None where that is told."""
    if isinstance(node, Scalar):
        return node.text
    problems.append(Problem(node.place, "a list or a mapping inside a fact", "one text"))
    return None
