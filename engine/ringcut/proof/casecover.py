"""Whether the cases beside a rule show what it refuses and what it lets pass, and whether they come out as expected."""

from __future__ import annotations

from ringcut.judge.cases import VERDICTS, run_cases
from ringcut.judge.findings import CONFORMS, NONCONFORMING, UNDETERMINED
from ringcut.language import ir
from ringcut.proof.limits import switched_off
from ringcut.proof.told import Remark
from ringcut.reading.suggest import canonical


def case_cover(rules: tuple[ir.Rule, ...]) -> list[Remark]:
    """Rules that no case makes nonconforming, and rules with a number that no case meets. Looks need no cases."""
    found = []
    for rule in rules:
        if isinstance(rule.form, ir.Pattern) or isinstance(rule.form, ir.Limit) and switched_off(rule):
            continue
        said = {VERDICTS.get(canonical(str(case.get("verdict", "")))) for case in rule.cases if isinstance(case, dict)}
        limit = isinstance(rule.form, ir.Limit)
        broken = NONCONFORMING in said or limit and _unclear(rule) and UNDETERMINED in said
        missing = [CONFORMS] if CONFORMS not in said else []
        missing += [] if broken else [NONCONFORMING]
        if limit and missing:
            told = f"{rule.id} has no cases on both sides of its limit: none is {' or '.join(missing)}."
            found.append(_remark(rule, "limit-cases", told, "Write one just on each side of the limit."))
        elif not broken:
            told = f"no case makes {rule.id} nonconforming."
            found.append(_remark(rule, "no-bad-case", told, "Write one with verdict: nonconforming."))
    return found


def wrong_cases(book: ir.Rulebook, rules: tuple[ir.Rule, ...]) -> list[Remark]:
    """Cases that cannot be read, or that do not come out as their author expects."""
    found = []
    by_id = {rule.id: rule for rule in rules}
    for result in run_cases(book, tuple(by_id)) if by_id else ():
        if result.passed:
            continue
        rule = by_id[result.rule]
        if result.problems:
            said = "; ".join(each.found for each in result.problems)
            hints = dict.fromkeys(each.hint or each.expected for each in result.problems)
            told = "; ".join(hint for hint in hints if hint)
            found.append(_remark(rule, "case-unread", f"{said}.", told or "Mend the case."))
        else:
            told = f"case {result.number} of {rule.id} is {result.verdict}, expected {result.expected}."
            found.append(_remark(rule, "case-wrong", told, result.message and f"The rule says: {result.message}"))
    return found


def _unclear(rule: ir.Rule) -> bool:
    return isinstance(rule.form, ir.Limit) and rule.form.unclear is not None


def _remark(rule: ir.Rule, kind: str, said: str, instead: str) -> Remark:
    return Remark(rule.place, kind, said, instead, rules=(rule.id,))
