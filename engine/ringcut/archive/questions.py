"""Questions to the crew: one for each cell that was not taken, one for each reading whose absence decides something.

What a log of milestones need not have is not asked for. A question names the row, and what is needed to use its answer.
"""

from __future__ import annotations

from collections.abc import Iterator

from ringcut.archive.given import Given
from ringcut.archive.notes import before_the_work
from ringcut.archive.quoting import missing_reading, missing_step, unknown_fact
from ringcut.archive.results import Ask, LogReport
from ringcut.judge.findings import UNDETERMINED, Finding
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.procedure import Procedure


def asks_of(report: LogReport, given: Given, procedure: Procedure, book: ir.Rulebook) -> tuple[Ask, ...]:
    """The questions of one log, by row; a thing is asked once."""
    found = [*_cells(report, given), *_order(report, given, procedure)]
    for number, finding in enumerate(report.findings):
        if finding.verdict == UNDETERMINED and number not in report.together:
            found += _missing(finding, report, given, procedure, book)
    once: dict[tuple[object, ...], Ask] = {}
    for each in found:
        once.setdefault((each.row, each.column if not each.reading else "", each.step, each.reading, each.side), each)
    return tuple(sorted(once.values(), key=lambda each: (each.row, each.column, each.step, each.reading, each.side)))


def _ask(given: Given, report: LogReport, row: int, column: str, text: str, question: str) -> Ask:
    return Ask(given.file, given.sheet, report.reference, row, column, text, question)


def _cells(report: LogReport, given: Given) -> Iterator[Ask]:
    for each in given.not_taken:
        if each.kind == "row-end":
            continue
        question = "; ".join(part.rstrip(".") for part in (each.says, each.likelier) if part)
        question = question if question.endswith("?") else f"{question}. What should stand here?"
        yield _ask(given, report, each.place.line, each.place.letter, each.text, question)


def _order(report: LogReport, given: Given, procedure: Procedure) -> Iterator[Ask]:
    dates = next((each.letter for each in given.columns if each.holds == "date"), "")
    for note in before_the_work(given, procedure):
        text = given.cells.get(f"{note.line}:{dates}", "") if dates else note.text
        yield _ask(given, report, note.line, dates or note.letter, text, note.says)


def _missing(
    finding: Finding, report: LogReport, given: Given, procedure: Procedure, book: ir.Rulebook
) -> Iterator[Ask]:
    missing, fact = missing_reading(finding.cause), unknown_fact(finding.cause)
    if missing is not None and finding.why_undetermined != "unreadable":
        word = _word(book, missing.step, missing.name)
        column = given.letter(missing.step, missing.name, finding.side)
        noted = [each for each in given.noted if each.place.line == finding.line and each.kind == "unreadable"]
        text = noted[0].text if noted else ""
        said = f"{noted[0].says}. " if noted else ""
        question = f"{said}What was read: {word}{_side(finding.side)}?"
        yield Ask(
            given.file, given.sheet, report.reference, finding.line, column, text, question,
            missing.step, missing.name, finding.side,
        )  # fmt: skip
    elif fact and given.log.matched:
        about = book.facts[fact].says if fact in book.facts else fact
        question = f"Of the job: {(about or fact).rstrip('.?')}?"
        yield Ask(given.file, given.sheet, report.reference, given.log.raw.place.line, "", "", question, "", fact)
    elif missing_step(finding.cause):
        yield from _of_absent_steps(finding, report, given, procedure, book)


def _of_absent_steps(
    finding: Finding, report: LogReport, given: Given, procedure: Procedure, book: ir.Rulebook
) -> Iterator[Ask]:
    """The readings of steps that are not in the log, where a limit needs them."""
    rule = book.rule(finding.rule)
    if rule is None or not isinstance(rule.form, ir.Limit):
        return
    there = {each.step for each in procedure.occurrences}
    wanted = [each for each in n.walk(rule.form.what) if isinstance(each, n.Reading) and each.step not in there]
    for each in dict.fromkeys((one.step, one.name) for one in wanted):
        step, name = each
        question = f"What was it: {_word(book, step, name)}? There is no {step.replace('-', ' ')} in the log."
        yield Ask(given.file, given.sheet, report.reference, finding.line, "", "", question, step, name)


def _word(book: ir.Rulebook, step: str, name: str) -> str:
    words = book.steps[step].readings.get(name) if step in book.steps else None
    plain = name.replace("-", " ")
    return f"{plain} ({words.says})" if words is not None and words.says and words.says != plain else plain


def _side(side: str) -> str:
    return f", side {side}" if side else ""
