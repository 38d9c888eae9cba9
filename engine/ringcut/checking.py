"""The short way through the engine: bytes of a plan or a log in, a report out."""

from __future__ import annotations

from ringcut.judge import cover
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.procedurefile import read_raw
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve


def read(data: bytes, file: str, book: Rulebook) -> Procedure:
    """Read a plan or a log on a rulebook's vocabulary; :class:`Unreadable` with every problem of the file."""
    problems: list[Problem] = []
    raw = read_raw(data, file, problems)
    procedure = resolve(raw, book, problems) if raw is not None else None
    if procedure is not None and not problems:
        problems += cover.impossible(procedure, book)
    if problems or procedure is None:
        raise Unreadable(problems)
    return procedure


def check(data: bytes, file: str, book: Rulebook, as_of: str = "") -> Report:
    """Read and judge; :class:`Unreadable` where there is nothing to judge."""
    return judge_procedure(read(data, file, book), book, file=file, as_of=as_of)
