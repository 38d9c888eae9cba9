"""Any file of logs: a spreadsheet, YAML, or JSON Lines that are streamed.

The kind is seen by the name's ending, else by the first bytes.
"""

from __future__ import annotations

import gzip
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import msgspec

from ringcut.archive.columns import NamedColumns
from ringcut.archive.jobs import Jobs, key_of
from ringcut.archive.jsonlines import as_log, read_json_lines
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.logs import ReadLog
from ringcut.archive.spreadsheets import Reading, read_by_fitting
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure, RawReading
from ringcut.reading.suggest import canonical

_LINES = (".jsonl", ".ndjson")
_WHOLE = (".yaml", ".yml", ".json")
_LARGEST = 64_000_000


class Opened(msgspec.Struct):
    """A file of logs. ``logs`` is read once: each log, or the problem in its place. ``sheet`` tells of
    spreadsheets."""

    kind: str
    """spreadsheet, procedure (YAML or JSON) or json-lines."""
    logs: Iterator[ReadLog | Problem]
    sheet: Reading | None = None


def read_logs(
    path: Path,
    name: str,
    lexicon: Lexicon,
    columns: Sequence[NamedColumns] = (),
    jobs: Jobs | None = None,
    corrected: Mapping[tuple[str, int, int], str] | None = None,
) -> Opened:
    """Open a file of logs; of several column files each table is read by that one which fits it. Raises Unreadable
    where nothing in it can be read; JSON Lines go on behind a bad line."""
    ending = path.suffix.lower()
    if ending in _LINES or path.name.lower().endswith(tuple(f"{each}.gz" for each in _LINES)):
        return Opened("json-lines", (_joined(each, jobs) for each in _lines(path, name)))
    if ending in _WHOLE:
        log = as_log(read_procedure(_bytes(path, name), name))
        return Opened("procedure", iter([_joined(log, jobs)]))
    sheet = read_by_fitting(path, name, lexicon, columns, jobs, corrected)
    return Opened("spreadsheet", iter((*sheet.logs, *sheet.undecided)), sheet)


def read_line(line: bytes, name: str, number: int, jobs: Jobs | None = None) -> list[ReadLog | Problem]:
    """A line of JSON Lines by itself: its log, or its problems; nothing for a blank line."""
    return [_joined(each, jobs) for each in read_json_lines([line], name, number)]


def _bytes(path: Path, name: str) -> bytes:
    try:
        if path.stat().st_size > _LARGEST:
            raise Unreadable(
                [Problem(Place(name), f"the file has more than {_LARGEST:,} bytes", "", "give JSON Lines")]
            )
        return path.read_bytes()
    except OSError as error:
        raise Unreadable([Problem(Place(name), f"cannot be opened: {error.strerror or error}")]) from error


def _lines(path: Path, name: str) -> Iterator[ReadLog | Problem]:
    try:
        with gzip.open(path) if path.suffix.lower() == ".gz" else path.open("rb") as stream:
            yield from read_json_lines(stream, name)
    except (OSError, EOFError) as error:
        yield Problem(Place(name), f"cannot be read to its end: {getattr(error, 'strerror', None) or error}")


def _joined(found: ReadLog | Problem, jobs: Jobs | None) -> ReadLog | Problem:
    """The log with the facts of the jobs file that it does not state itself."""
    if isinstance(found, Problem) or jobs is None:
        return found
    known = {canonical(fact.name.text): fact for fact in found.raw.job}
    closure = known["closure"].value if "closure" in known else None
    every = jobs.of(found.reference)
    own = [job for job in every if closure and key_of(job.closure) == key_of(closure.text)]
    job = next(iter(own or [each for each in every if not each.closure]), None)
    if job is None:
        return msgspec.structs.replace(found, matched=False, likelier=jobs.likelier(found.reference))
    facts: dict[str, RawReading] = {canonical(fact.name.text): fact for fact in job.facts} | known
    facts.setdefault("reference", RawReading(Phrase("reference", job.place), Phrase(job.reference, job.place)))
    raw: RawProcedure = msgspec.structs.replace(found.raw, job=tuple(facts.values()))
    return msgspec.structs.replace(found, raw=raw)
