"""The same line judged by the bulk and by the reference interpreter."""

from __future__ import annotations

from ringcut.bulk.judging import Bulk
from ringcut.bulk.seen import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDETERMINED
from ringcut.judge import cover
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.procedurefile import read_jsonl_line
from ringcut.relations.resolve import resolve

SAID = {
    NOT_APPLICABLE: "not applicable", CONFORMS: "conforms", UNDETERMINED: "undetermined",
    NONCONFORMING: "nonconforming",
}  # fmt: skip


def reference(line: bytes, book: Rulebook) -> Report | None:
    """The report on a line; None where it is not judged."""
    try:
        raw = read_jsonl_line(line, "", 1)
    except Unreadable:
        return None
    problems: list[Problem] = []
    read = resolve(raw, book, problems)
    if problems or cover.impossible(read, book):
        return None
    return judge_procedure(read, book)


def differences(line: bytes, bulk: Bulk, book: Rulebook) -> list[str] | None:
    """The rules whose verdicts part; None where the bulk leaves the line to the audit of single logs."""
    judged = bulk.judge(line)
    if judged is None:
        return None
    report = reference(line, book)
    if report is None:
        return ["the reference does not judge it"]
    assert [rule for rule, _ in bulk.rules] == [verdict.rule for verdict in report.rules]
    parted = [
        f"{verdict.rule}: bulk {SAID[code]}, reference {verdict.verdict}"
        for verdict, code in zip(report.rules, judged.codes, strict=True)
        if SAID[code] != verdict.verdict
    ]
    return parted + (["uncovered"] if judged.uncovered != report.uncovered else [])
