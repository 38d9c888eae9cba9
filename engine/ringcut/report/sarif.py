"""Reports as SARIF (OASIS Static Analysis Results Interchange Format 2.1.0, 27 March 2020).

Result kinds by clause 3.27.9: ``fail`` nonconforming, ``open`` undetermined ("the specified rule was evaluated, and the
tool concluded that there was insufficient information to decide whether a problem exists"), ``review`` for questions
that only a person can settle, ``pass``, ``notApplicable``. ``level`` is "none" for every kind but ``fail`` (3.27.10).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from urllib.parse import quote

from ringcut.judge.findings import (
    CONFORMS,
    NONCONFORMING,
    NOT_APPLICABLE,
    UNDER_CONCESSION,
    UNDETERMINED,
    Finding,
    Report,
)
from ringcut.report.published import NotRead

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {"critical": "error", "major": "error", "minor": "warning"}
KINDS: dict[str, str] = {CONFORMS: "pass", NONCONFORMING: "fail", UNDETERMINED: "open", NOT_APPLICABLE: "notApplicable",
         UNDER_CONCESSION: "fail"}  # fmt: skip
"""A result under concession is a suppressed failure (3.27.23, 3.35): it stays visible."""
_SHEET = re.compile(r"(\.xls[xm])#.*", re.IGNORECASE | re.DOTALL)
_DRIVE = re.compile(r"[A-Za-z]:(?=/)")


class Rules:
    """The rules that results speak of, in the order in which they first appear, for ``tool.driver.rules``."""

    def __init__(self) -> None:
        self._index: dict[str, int] = {}
        self._about: list[dict[str, Any]] = []

    def index(self, rule: str, class_: str, says: str = "", remedy: str = "") -> int:
        """The place of a rule in the list."""
        if rule not in self._index:
            self._index[rule] = len(self._about)
            self._about.append({"id": rule, "properties": {"class": class_}})
        about = self._about[self._index[rule]]
        if says and "shortDescription" not in about:
            about["shortDescription"] = {"text": says}
            if remedy:
                about["help"] = {"text": remedy}
        return self._index[rule]

    def listed(self) -> list[dict[str, Any]]:
        """The reportingDescriptor objects."""
        return self._about


def results(report: Report, rules: Rules) -> Iterator[dict[str, Any]]:
    """One result a finding; for rules without findings one result that says pass or notApplicable."""
    told = {each.rule for each in report.findings}
    for each in report.findings:
        yield _finding(report, each, rules)
    for rule in report.rules:
        if rule.rule not in told:
            yield {
                "ruleId": rule.rule,
                "ruleIndex": rules.index(rule.rule, rule.class_),
                "kind": KINDS[rule.verdict],
                "level": "none",
                "message": {"text": f"{report.reference or report.file}: {rule.verdict}"},
                "locations": [_location(report.file, 0)],
            }


def review(rule: str, text: str, files: Iterable[str], rules: Rules) -> dict[str, Any]:
    """A question that a person has to settle."""
    return {
        "ruleId": rule,
        "ruleIndex": rules.index(rule, "minor"),
        "kind": "review",
        "level": "none",
        "message": {"text": text},
        "locations": [_location(file, 0) for file in files],
    }


def _finding(report: Report, each: Finding, rules: Rules) -> dict[str, Any]:
    kind = KINDS[each.verdict]
    lines = [each.message, *(f"Evidence: {line}" for line in each.evidence if line != each.found)]
    found: dict[str, Any] = {
        "ruleId": each.rule,
        "ruleIndex": rules.index(each.rule, each.class_, each.says, each.remedy),
        "kind": kind,
        "level": LEVELS[each.class_] if kind == "fail" else "none",
        "message": {"text": "\n".join(lines)},
        "locations": [_location(each.file or report.file, each.line, "" if each.letter else each.column, each.letter)],
        "properties": {"class": each.class_, "reference": report.reference, "whyUndetermined": each.why_undetermined,
                       "side": each.side, "closure": each.closure},
    }  # fmt: skip
    if each.verdict == UNDER_CONCESSION:
        found["suppressions"] = [{"kind": "external", "status": "accepted", "justification": each.concession}]
    return found


def _location(file: str, line: int, column: int | str = 0, letter: str = "") -> dict[str, Any]:
    place: dict[str, Any] = {"artifactLocation": {"uri": _uri(file)}}
    if line:
        place["region"] = {"startLine": line, **({"startColumn": column} if column else {})}
    where = f"{line}:{letter}" if letter else ""
    return {"physicalLocation": place, **({"logicalLocations": [{"name": where, "kind": "cell"}]} if where else {})}


def _uri(file: str) -> str:
    """The file as a URI reference (3.4.3; RFC 3986): a workbook without its sheet, a drive as an absolute URI."""
    path = _SHEET.sub(r"\1", file).replace("\\", "/")
    drive = _DRIVE.match(path)
    # a colon in the first part of a relative reference would be read as a scheme (RFC 3986, 4.2)
    return f"file:///{drive[0]}{quote(path[drive.end() :])}" if drive else quote(path)


def notification(found: NotRead) -> Iterator[dict[str, Any]]:
    """What could not be read, for ``invocations[].toolExecutionNotifications``."""
    for each in found.problems:
        text = ". ".join(part for part in (each.found, each.expected, each.hint) if part)
        yield {
            "level": "error",
            "message": {"text": text},
            "locations": [_location(each.file or found.file, each.line)],
        }


def cut_short(why: str) -> dict[str, Any]:
    """That the run ended before its end, for ``invocations[].toolExecutionNotifications``."""
    return {"level": "error", "message": {"text": why}}


def run_end(version: str, rules: Rules, notifications: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What a run object has besides its results."""
    return {
        "tool": {"driver": {"name": "ringcut", "version": version, "rules": rules.listed()}},
        "invocations": [{
            "executionSuccessful": not notifications, "toolExecutionNotifications": list(notifications),
        }],
        "columnKind": "unicodeCodePoints",
    }  # fmt: skip
