"""Reports as JUnit XML: a suite a log, a case a rule that applies. There is no published standard; this is the plain
form that build servers read: failure for nonconforming, skipped for what cannot be said, error for what cannot be read.

Undetermined is ``skipped`` and never a pass: a build server shows it apart from both.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from ringcut.judge.findings import NONCONFORMING, NOT_APPLICABLE, UNDER_CONCESSION, UNDETERMINED, Finding, Report
from ringcut.report.published import NotRead

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

BEGIN = '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="ringcut audit">\n'
END = "</testsuites>\n"


def suite(report: Report, closure: str = "") -> Iterator[str]:
    """The lines of one log's suite; ``closure``: which of the order it is of, where it has several.

    Build servers know a case by its class and name: the class names the log too, since a file has many.
    """
    cases = [each for each in report.rules if each.verdict != NOT_APPLICABLE]
    failures = sum(each.verdict == NONCONFORMING for each in cases)
    skipped = sum(each.verdict == UNDETERMINED for each in cases)
    log = " ".join(part for part in (report.reference, f"closure {closure}" if closure else "") if part)
    name, of = _attribute(log or report.file), _attribute(f"{report.file} {log}".strip())
    counts = f'tests="{len(cases)}" failures="{failures}" errors="0" skipped="{skipped}"'
    yield f"  <testsuite name={name} {counts}>\n"
    by_rule: dict[str, list[Finding]] = {}
    for finding in report.findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    for rule in cases:
        found = by_rule.get(rule.rule, [])
        head = f"    <testcase classname={of} name={_attribute(rule.rule)}"
        if rule.verdict == NONCONFORMING:
            yield f"{head}><failure type={_attribute(rule.class_)} {_told(found, NONCONFORMING)}</failure></testcase>\n"
        elif rule.verdict == UNDETERMINED:
            message = _attribute("; ".join(_line(each) for each in found) or "cannot say")
            yield f"{head}><skipped message={message}/></testcase>\n"
        elif rule.verdict == UNDER_CONCESSION:
            out = "; ".join(f"under concession: {each.concession}" for each in found)
            yield f"{head}><system-out>{_text(out)}</system-out></testcase>\n"
        else:
            yield f"{head}/>\n"
    yield "  </testsuite>\n"


def unread_suite(found: NotRead) -> Iterator[str]:
    """The suite of a file or log that could not be read."""
    name = _attribute(found.file)
    yield f'  <testsuite name={name} tests="1" failures="0" errors="1" skipped="0">\n'
    said = "\n".join(f"{each.line}: {each.found}. {each.expected}. {each.hint}" for each in found.problems)
    message = _attribute(found.problems[0].found if found.problems else "cannot be read")
    yield f'    <testcase classname={name} name="can be read">\n'
    yield f"      <error message={message}>{_text(said)}</error>\n    </testcase>\n"
    yield "  </testsuite>\n"


def _told(findings: list[Finding], verdict: str) -> str:
    mine = [each for each in findings if each.verdict == verdict]
    return f"message={_attribute('; '.join(map(_line, mine)))}>{_text(chr(10).join(_whole(each) for each in mine))}"


def _line(each: Finding) -> str:
    where = f"{each.line}{f':{each.letter}' if each.letter else ''} " if each.line else ""
    why = f" ({each.why_undetermined})" if each.why_undetermined else ""
    return f"{where}{each.message}{why}"


def _whole(each: Finding) -> str:
    return "\n".join([_line(each), *each.evidence, each.remedy])


def _text(text: str) -> str:
    return escape(_NOT_XML.sub("\ufffd", text))


def _attribute(text: str) -> str:
    return quoteattr(_NOT_XML.sub("\ufffd", text))
