"""The results of an audit for other programs: JSON, CSV, JUnit and SARIF, written while they come."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import msgspec

from ringcut import __version__
from ringcut.archive.auditreport import AuditReport, MadeFrom
from ringcut.archive.results import FileRead, LogReport, UnreadLog
from ringcut.report import csvreport, junit, sarif
from ringcut.report.published import NotRead
from ringcut_cli.audit.running import Ended
from ringcut_cli.audit.spool import Spool

Write = Callable[[bytes], None]


class JsonSink:
    """One object: ``logs`` first, as they come, then what is known at the end.

    Its keys are those of AuditReport. ``made_from``: the names and options that make the same report again.
    """

    def __init__(self, write: Write, made_from: MadeFrom) -> None:
        self.write, self.made_from = write, made_from
        self.files: Spool[FileRead] = Spool(FileRead)
        self.lost: Spool[UnreadLog] = Spool(UnreadLog)
        self.first = True
        write(b'{\n"logs": [')

    def file(self, read: FileRead) -> None:
        """Kept for the end."""
        self.files.append(read)

    def log(self, report: LogReport) -> None:
        """Written at once."""
        self.write((b"" if self.first else b",") + b"\n" + _json(report))
        self.first = False

    def unread(self, found: UnreadLog) -> None:
        """Kept for the end."""
        self.lost.append(found)

    def end(self, ended: Ended) -> None:
        """Everything else."""
        # what may be as many as the logs is written one by one, and stands empty here
        rest = AuditReport(
            (), (), (), overall(ended), ended.summary.worst_class, ended.summary, ended.patterns, (), ended.aloud,
            ended.complete, ended.as_of, ended.digests, self.made_from,
        )  # fmt: skip
        many: dict[str, Iterable[object]] = {"not_read": self.lost, "files": self.files, "questions": ended.asks}
        self.write(b"\n]")
        for field in msgspec.structs.fields(AuditReport)[1:]:
            self.write(b",\n" + json.dumps(field.encode_name).encode() + b": ")
            if field.name in many:
                self._listed(many[field.name])
            else:
                self.write(_json(getattr(rest, field.name)))
        self.write(b"\n}\n")

    def _listed(self, items: Iterable[object]) -> None:
        """A list as :func:`_json` writes it, without having it whole."""
        between = b"[\n "
        for item in items:
            self.write(between + _json(item).replace(b"\n", b"\n "))
            between = b",\n "
        self.write(b"[]" if between == b"[\n " else b"\n]")


def _json(value: object) -> bytes:
    return msgspec.json.format(msgspec.json.encode(value), indent=1)


def overall(ended: Ended) -> str:
    """One verdict over all logs, as for the rules of one: nonconforming if any, else undetermined if any.

    Logs that could not be read, or that a run cut short did not come to, are undetermined."""
    from ringcut.judge.overall import overall as over

    return over(ended.summary.verdicts, bool(ended.summary.not_read) or not ended.complete)


class CsvSink:
    """One row a finding."""

    def __init__(self, write: Write) -> None:
        # the mark by which spreadsheets know UTF-8
        self._bytes = write
        write(b"\xef\xbb\xbf")
        self.write(csvreport.heading())

    def write(self, text: str) -> None:
        """Write a row."""
        self._bytes(text.encode("utf-8", "backslashreplace"))

    def file(self, read: FileRead) -> None:
        """Nothing: the rows are about logs."""

    def log(self, report: LogReport) -> None:
        """Its findings."""
        for row in csvreport.rows(report):
            self.write(row)

    def unread(self, found: UnreadLog) -> None:
        """Its problems."""
        for row in csvreport.unread_rows(NotRead(found.file, found.problems)):
            self.write(row)

    def end(self, ended: Ended) -> None:
        """Nothing more."""


class JunitSink:
    """A suite a log."""

    def __init__(self, write: Write) -> None:
        self._bytes = write
        self.write(junit.BEGIN)

    def write(self, text: str) -> None:
        """Write a line."""
        self._bytes(text.encode("utf-8", "xmlcharrefreplace"))

    def file(self, read: FileRead) -> None:
        """Nothing: suites are logs."""

    def log(self, report: LogReport) -> None:
        """Its suite."""
        for line in junit.suite(report, report.order_closure):
            self.write(line)

    def unread(self, found: UnreadLog) -> None:
        """A suite with an error."""
        for line in junit.unread_suite(NotRead(found.file, found.problems)):
            self.write(line)

    def end(self, ended: Ended) -> None:
        """The end tag."""
        self.write(junit.END)


class SarifSink:
    """One run; what could not be read is a notification of its invocation."""

    def __init__(self, write: Write) -> None:
        self.write = write
        self.rules = sarif.Rules()
        self.lost: list[dict[str, Any]] = []
        self.first = True
        head = f'{{"version": "2.1.0", "$schema": {json.dumps(sarif.SCHEMA)}, "runs": [{{"results": ['
        write(head.encode())

    def file(self, read: FileRead) -> None:
        """Nothing: results name their file."""

    def log(self, report: LogReport) -> None:
        """Its results."""
        for each in sarif.results(report, self.rules):
            self._result(each)

    def _result(self, result: Mapping[str, Any]) -> None:
        self.write((b"\n" if self.first else b",\n") + json.dumps(result).encode())
        self.first = False

    def unread(self, found: UnreadLog) -> None:
        """Kept for the invocation."""
        self.lost += sarif.notification(NotRead(found.file, found.problems))

    def end(self, ended: Ended) -> None:
        """Questions over several logs, and the rest of the run."""
        for each in ended.patterns:
            self._result(sarif.review("copied-readings", each.says, each.files, self.rules))
        if not ended.complete:
            self.lost.append(sarif.cut_short("the run ended before its end: there are logs that were not looked at"))
        rest = json.dumps(sarif.run_end(__version__, self.rules, self.lost))
        self.write(b"\n], " + rest[1:-1].encode() + b"}]}\n")
