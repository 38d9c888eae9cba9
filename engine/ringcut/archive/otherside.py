"""The side that is right beside the side that is not: nobody then argues with the mean of the two."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

import msgspec

from ringcut.forms.telling import written_unit
from ringcut.judge.findings import NONCONFORMING, Finding
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span


def with_other_side(findings: Iterable[Finding], procedure: Procedure, book: ir.Rulebook) -> tuple[Finding, ...]:
    """The findings; a limit on one reading that fails on one side only gets the other side as evidence."""
    told = list(findings)
    failing = {(each.rule, each.closure, each.side) for each in told}
    return tuple(_beside(each, failing, procedure, book) for each in told)


def _beside(finding: Finding, failing: set[tuple[str, str, str]], procedure: Procedure, book: ir.Rulebook) -> Finding:
    reading = _reading(book.rule(finding.rule), book)
    if finding.verdict != NONCONFORMING or not finding.side or reading is None:
        return finding
    values = _values(reading, finding.closure, procedure)
    others = [side for side in values if side != finding.side]
    if len(values) != 2 or any((finding.rule, finding.closure, side) in failing for side in others):
        return finding
    (other,) = others
    word = book.steps[reading.step].readings[reading.name]
    mean = (values[other][0] + values[finding.side][0]) / 2
    units = {written_unit(text, word.kind) for _, text in values.values()}
    unit = (units.pop() if len(units) == 1 else "") or word.unit
    said = f"side {other} {values[other][1]} conforms; the mean, {show(mean, word.kind, unit)}, does not count"
    changed: Finding = msgspec.structs.replace(finding, evidence=(*finding.evidence, said))
    return changed


def _reading(rule: ir.Rule | None, book: ir.Rulebook) -> n.Reading | None:
    """The one reading that a limit compares, where it is a quantity with a value a side."""
    if rule is None or not isinstance(rule.form, ir.Limit) or not isinstance(rule.form.what, n.Compare):
        return None
    found = {each for each in n.walk(rule.form.what) if isinstance(each, n.Reading)}
    only = next(iter(found)) if len(found) == 1 else None
    return only if only is not None and book.steps[only.step].readings[only.name].sided else None


def _values(reading: n.Reading, closure: str, procedure: Procedure) -> dict[str, tuple[Fraction, str]]:
    """By side the exact value and its text, of the latest doing."""
    found: dict[str, tuple[Fraction, str]] = {}
    for each in procedure.occurrences:
        if each.step == reading.step and each.closure == closure:
            for side in each.sides:
                value = each.readings.get((reading.name, side))
                text = each.texts.get((reading.name, side)) or each.texts.get((reading.name, ""))
                if isinstance(value, Span) and value.exact and value.low is not None and text:
                    found[side] = (value.low, text[0])
    return found
