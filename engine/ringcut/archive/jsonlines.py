"""Logs as JSON Lines, one a line, streamed: a bad line is told with its number and the rest goes on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from io import BufferedIOBase

from ringcut.archive.logs import ReadLog
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import read_jsonl_line
from ringcut.reading.raw import RawProcedure
from ringcut.reading.suggest import canonical

LONGEST_LINE = 4_000_000
"""Bytes; a longer line is no log."""


def next_line(stream: BufferedIOBase) -> tuple[bytes, int]:
    """The next line of a file, and how many bytes it takes there; of one that is too long only the beginning.

    Nothing at the end of the file.
    """
    line = stream.readline(LONGEST_LINE + 2)
    taken = len(line)
    if len(line) > LONGEST_LINE and not line.endswith(b"\n"):
        while rest := stream.readline(1 << 20):
            taken += len(rest)
            if rest.endswith(b"\n"):
                break
    return line, taken


def read_json_lines(lines: Iterable[bytes], name: str, first: int = 1) -> Iterator[ReadLog | Problem]:
    """Each line as a log, or as the problems with it. Blank lines are passed over; nothing is raised.

    ``first``: the number of the first line given.
    """
    for number, line in enumerate(lines, start=first):
        body = line.strip()
        if not body:
            continue
        if len(body) > LONGEST_LINE:
            found = f"the line has {len(body):,} bytes"
            yield Problem(Place(name, number), found, f"a log of at most {LONGEST_LINE:,}")
            continue
        try:
            yield as_log(read_jsonl_line(body, name, number))
        except Unreadable as error:
            yield from error.problems


def as_log(raw: RawProcedure) -> ReadLog:
    """A procedure that was read, as a log of an archive. Raises Unreadable for a plan or a model."""
    if raw.kind != "log":
        found = f"this is a {raw.kind}"
        raise Unreadable([Problem(raw.place, found, "procedure: log", "plans go to check")])
    fact = next((each.value for each in raw.job if canonical(each.name.text) == "reference"), None)
    return ReadLog(fact.text if fact else "", raw, (raw.place.line,))
