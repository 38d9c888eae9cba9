"""Job packets: the facts of many jobs in one file, of which a draft takes one by its reference.

CSV: a heading with names of facts, one job a line. YAML: a list of jobs, a mapping from reference to facts, or the
facts of one job.
"""

from __future__ import annotations

import csv
import io

from ringcut.draft.jobfacts import said_as
from ringcut.draft.models import Job
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import canonical, near
from ringcut.reading.textbytes import text_of
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq
from ringcut.reading.yamltext import load

REFERENCE = ("reference", "order", "work-order", "wo", "ticket", "job", "job-number")
"""What the column of references may be called."""


def read_packet(data: bytes, file: str, reference: str = "") -> Job:
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
    found = [job for job in jobs if canonical(_reference(job)) == canonical(reference)]
    if len(found) == 1:
        return found[0]
    told = f"{reference} stands in this packet {len(found)} times" if found else f"no job {reference} in this packet"
    close = near(reference, [_reference(job) for job in jobs])
    hint = f"did you mean {close}?" if close and not found else ""
    raise Unreadable([Problem(Place(file), told, "one job with this reference", hint)])


def _reference(job: Job) -> str:
    return str(job.get("reference", ""))


def _named(name: str) -> str:
    return "reference" if canonical(name) in REFERENCE else canonical(name)


def _csv_jobs(data: bytes, file: str, problems: list[Problem]) -> list[Job]:
    text = text_of(data, file, problems)
    if text is None:
        return []
    lines = list(csv.reader(io.StringIO(text)))
    heads = [_named(cell) for cell in lines[0]] if lines else []
    jobs: list[Job] = []
    for number, line in enumerate(lines[1:], 2):
        if len(line) > len(heads) and any(cell.strip() for cell in line[len(heads) :]):
            told = f"{len(line)} cells under {len(heads)} headings"
            problems.append(
                Problem(Place(file, number), told, "as many cells", 'put a text with a comma in quotes: "..."')
            )
        pairs = [(head, cell.strip()) for head, cell in zip(heads, line, strict=False) if head and cell.strip()]
        if pairs:
            jobs.append({head: said_as(cell) for head, cell in pairs})
    return jobs


def _yaml_jobs(data: bytes, file: str, problems: list[Problem]) -> list[Job]:
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
        return [{**_job(value, problems), "reference": key.text} for key, value in root.entries]
    return [_job(root, problems)]


def _has_fact_names(root: Map) -> bool:
    return any(_named(key.text) in ("reference", "work", "sheath", "location") for key, _ in root.entries)


def _job(node: Node, problems: list[Problem]) -> Job:
    if not isinstance(node, Map):
        problems.append(Problem(node.place, "no mapping of facts", "{reference: ..., work: ...}"))
        return {}
    job: Job = {}
    for key, value in node.entries:
        name = _named(key.text)
        if isinstance(value, Scalar):
            if not value.null:
                job[name] = said_as(value.text) if value.plain else value.text
        elif isinstance(value, Seq):
            job[name] = [item.text for item in value.items if isinstance(item, Scalar)]
        else:
            job[name] = {side.text: item.text for side, item in value.entries if isinstance(item, Scalar)}
    return job
