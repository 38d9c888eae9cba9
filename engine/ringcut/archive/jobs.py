"""The jobs file: facts of each work order (and closure), joined to logs by reference.

A table or YAML. In a table the headings are names of job facts (``reference`` and, where facts differ by
closure, ``closure`` among them; ``sheath A`` and ``sheath B`` where the ends differ); in YAML a
list of mappings, or a mapping from reference to facts. A reference is found whatever its letter case, blanks and
hyphens; one that only looks like another is not taken for it.
"""

from __future__ import annotations

import re
from pathlib import Path

import msgspec

from ringcut.archive.cells import Cell
from ringcut.archive.factcells import fact_problem
from ringcut.archive.lexicon import Lexicon, meant
from ringcut.archive.tables import read_table
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.raw import RawReading
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlnodes import kind_of
from ringcut.reading.yamltext import Map, Node, Scalar, Seq, load

_REFERENCE = frozenset(["reference", "ref", "order", "work-order", "wo", "ticket", "job", "job-order"])
_NUMBER = re.compile(r"[- ]*(?:#|no\.?|nr\.?|num\.?|number|id)$", re.IGNORECASE)


def names_reference(text: str) -> bool:
    """Whether a heading says that a column holds the reference of the job: ``WO``, ``Job No.``, ``Ticket #``."""
    return canonical(_NUMBER.sub("", " ".join(text.split()))) in _REFERENCE


_LONG = 5
"""In a shorter reference one other character is another reference."""


def one_slip(one: str, other: str) -> bool:
    """Whether one character too many, too few or another, or two neighbours that changed places, tell them apart."""
    short, long = sorted((one, other), key=len)
    start = next((at for at, (a, b) in enumerate(zip(short, long, strict=False)) if a != b), len(short))
    if len(short) == len(long):
        rest_a, rest_b = short[start:], long[start:]
        return rest_a[1:] == rest_b[1:] or rest_a[1::-1] + rest_a[2:] == rest_b
    return len(long) - len(short) == 1 and short[start:] == long[start + 1 :]


class Job(msgspec.Struct, frozen=True):
    """The facts of one order, or of one closure of it."""

    reference: str
    facts: tuple[RawReading, ...]
    closure: str = ""
    place: Place = Place()


def key_of(reference: str) -> str:
    """A reference as it is compared: letters and digits, in lower case; ``2044.0`` is 2044."""
    plain = re.sub(r"^(\d+)\.0+$", r"\1", reference.strip())
    return re.sub(r"[^0-9a-z]", "", plain.casefold())


class Jobs:
    """Every job of a jobs file."""

    def __init__(self, file: str, jobs: tuple[Job, ...]) -> None:
        self.file = file
        self.jobs = jobs
        self._found: dict[str, list[Job]] = {}
        for job in jobs:
            self._found.setdefault(key_of(job.reference), []).append(job)

    def of(self, reference: str) -> list[Job]:
        """The job with this reference; several where its closures differ."""
        return self._found.get(key_of(reference), [])

    def likelier(self, reference: str) -> str:
        """The one reference of the file that this one may be a spoiled form of, or nothing.

        The same digits behind other letters, or one slip of the pen in a long enough reference. Orders are numbered in
        a row, so that a slip which would give several of them says nothing.
        """
        key = key_of(reference)
        digits = re.sub(r"\D", "", key)
        same = {job.reference for job in self.jobs if digits and re.sub(r"\D", "", key_of(job.reference)) == digits}
        slips = {job.reference for job in self.jobs if len(key) >= _LONG and one_slip(key, key_of(job.reference))}
        near = same or slips
        return next(iter(near)) if len(near) == 1 else ""


def read_jobs(source: Path | bytes, name: str, lexicon: Lexicon | None = None) -> Jobs:
    """Read a jobs file. Raises Unreadable with every problem: no reference, an order twice, an unknown
    fact."""
    problems: list[Problem] = []
    if name.lower().endswith((".yaml", ".yml", ".json")):
        jobs = _from_yaml(source, name, problems)
    else:
        jobs = _from_table(source, name, problems)
    _check(jobs, lexicon, problems)
    if problems:
        raise Unreadable(problems)
    return Jobs(name, tuple(jobs))


def _from_table(source: Path | bytes, name: str, problems: list[Problem]) -> list[Job]:
    table = read_table(source, name)
    problems += table.problems
    heading = next(row for row in table.rows if not row.blank)
    names = {cell.column: canonical(cell.text) for cell in heading.cells if cell}
    headings = {canonical(cell.text): cell.place(name) for cell in heading.cells if cell}
    jobs = []
    for row in table.rows[heading.line :]:
        if row.blank:
            continue
        cells = {names[cell.column]: cell for cell in row.cells if cell and cell.column in names}
        reference = next((cells.pop(key) for key in list(cells) if names_reference(key)), None)
        if reference is None:
            problems.append(Problem(Place(name, row.line), "this row has no reference", "a column reference"))
            continue
        closure = cells.pop("closure", None)
        facts = _facts(cells, headings, name)
        jobs.append(
            Job(
                reference.text.strip(),
                tuple(facts),
                closure.text.strip() if closure else "",
                reference.place(name),
            )
        )
    return jobs


def _facts(cells: dict[str, Cell], headings: dict[str, Place], name: str) -> list[RawReading]:
    """Facts of a row, each name at its heading; columns ``sheath A`` and ``sheath B`` are one fact with a value a
    side."""
    facts: dict[str, RawReading] = {}
    for key, cell in cells.items():
        fact, dash, side = key.rpartition("-")
        if dash and side in ("a", "b"):
            known = facts.get(fact, RawReading(Phrase(fact, headings[key])))
            sides = (*known.sides, (Phrase(side.upper(), cell.place(name)), cell.phrase(name)))
            facts[fact] = msgspec.structs.replace(known, sides=sides)
        else:
            facts[key] = RawReading(Phrase(key, headings[key]), cell.phrase(name))
    return list(facts.values())


def _from_yaml(source: Path | bytes, name: str, problems: list[Problem]) -> list[Job]:
    try:
        data = source if isinstance(source, bytes) else source.read_bytes()
    except OSError as error:
        raise Unreadable([Problem(Place(name), f"cannot be opened: {error.strerror or error}")]) from error
    root = load(data, name, problems)
    jobs: list[Job | None] = []
    if isinstance(root, Map):
        jobs = [_yaml_job(value, problems, key.text) for key, value in root.entries]
    elif isinstance(root, Seq):
        jobs = [_yaml_job(value, problems) for value in root.items]
    elif root is not None:
        problems.append(Problem(root.place, "no jobs here", "a list of jobs, or a mapping of them by reference"))
    return [job for job in jobs if job]


def _yaml_job(node: Node, problems: list[Problem], reference: str = "") -> Job | None:
    if not isinstance(node, Map):
        problems.append(Problem(node.place, "this is no job", "a mapping of job facts"))
        return None
    facts: list[RawReading] = []
    closure = ""
    for key, value in node.entries:
        said = canonical(key.text)
        if isinstance(value, Scalar) and names_reference(said) and not reference:
            reference = value.text
        elif isinstance(value, Scalar) and said == "closure":
            closure = value.text
        else:
            facts.append(_yaml_fact(Phrase(said, key.place), value, problems))
    if not reference:
        problems.append(Problem(node.place, "this job has no reference", "reference: its order number"))
        return None
    return Job(reference.strip(), tuple(facts), closure.strip(), node.place)


def _yaml_fact(said: Phrase, node: Node, problems: list[Problem]) -> RawReading:
    if isinstance(node, Map):
        return RawReading(said, sides=tuple((_phrase(k, problems), _phrase(v, problems)) for k, v in node.entries))
    if isinstance(node, Seq):
        return RawReading(said, items=tuple(_phrase(item, problems) for item in node.items), is_list=True)
    return RawReading(said, _phrase(node, problems))


def _phrase(node: Node, problems: list[Problem]) -> Phrase:
    if isinstance(node, Scalar):
        return Phrase(node.text, node.place, node.plain)
    problems.append(Problem(node.place, f"found {kind_of(node)}", "one value"))
    return Phrase("", node.place)


def _check(jobs: list[Job], lexicon: Lexicon | None, problems: list[Problem]) -> None:
    seen: dict[tuple[str, str], Job] = {}
    for job in jobs:
        key = (key_of(job.reference), job.closure)
        if key in seen:
            line = seen[key].place.line
            problems.append(Problem(job.place, f"{job.reference} stands here again", f"first in line {line}"))
        seen[key] = job
        for fact in job.facts:
            administrative = fact.name.text in ("date", "contractor", "district", "timezone", "sides")
            word = lexicon.fact(fact.name.text) if lexicon and not administrative else None
            if lexicon and not administrative and word is None:
                said = fact.name.text
                hint = meant(lexicon.near_fact(said))
                problems.append(Problem(fact.name.place, f"{said}: no such job fact", "", hint))
            if word is not None:
                values = [*([fact.value] if fact.value else []), *(value for _, value in fact.sides), *fact.items]
                problems += [wrong for each in values if (wrong := fact_problem(each, word))]
