"""Job facts that nobody gave and that were taken as yes, on which what is broken rests: worth asking for."""

from __future__ import annotations

from ringcut.judge.findings import NONCONFORMING, Report
from ringcut.language import ir
from ringcut.language import nodes as n

_TAKEN = " taken as yes"


def taken_as_yes(report: Report, book: ir.Rulebook) -> dict[str, list[str]]:
    """Such facts by name, each with the broken rules that were applied because of it."""
    taken = {each.removesuffix(_TAKEN) for each in report.assumptions if each.endswith(_TAKEN)}
    found: dict[str, list[str]] = {}
    for name in dict.fromkeys(each.rule for each in report.findings if each.verdict == NONCONFORMING):
        rule = book.rule(name)
        for node in n.walk(rule.when) if rule is not None and rule.when is not None else ():
            if isinstance(node, n.Fact) and node.name in taken:
                found.setdefault(node.name, []).append(name)
    return found
