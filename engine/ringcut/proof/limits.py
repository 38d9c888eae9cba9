"""Limits that no value satisfies, by themselves or together, and limits that no value breaks."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.conflicts import Jobs, conflicts
from ringcut.proof.solving import Solver
from ringcut.proof.told import Remark


def limits(book: ir.Rulebook, jobs: Jobs, about: Collection[str]) -> list[Remark]:
    """What is wrong with the limits of a rulebook that has these rules, taken at one side, everything known."""
    found: list[Remark] = []
    solver = Solver(book)
    rules = [rule for rule in book.rules if isinstance(rule.form, ir.Limit)]
    sound: list[ir.Rule] = []
    for rule in rules:
        what = _what(rule)
        if rule.id not in about:
            sound.append(rule)
            continue
        if not solver.possible([what]):
            said = f"no value satisfies {rule.id}: {rule.text.get('limit', '')}."
            instead = "Look at the direction of each sign."
            found.append(Remark(rule.place, "limit-never", said, instead, rules=(rule.id,)))
            continue
        sound.append(rule)
        if not solver.possible([n.Not(what)]) and not switched_off(rule):
            said = f"no value breaks {rule.id}: {rule.text.get('limit', '')} holds for every possible reading."
            instead = "Move the limit, or withdraw the rule."
            found.append(Remark(rule.place, "limit-always", said, instead, rules=(rule.id,)))
    for group in _connected(sound):
        if any(rule.id in about for rule in group):
            found += _together(group, solver, jobs)
    return found


def switched_off(rule: ir.Rule) -> bool:
    """Whether a limit waits for a district to set it: its house values are zero until then."""
    values = rule.values.values()
    return bool(rule.values) and all(value.basis.house and re.match(r"0(\.0*)?(\s|$)", value.text) for value in values)


def _what(rule: ir.Rule) -> n.Node:
    assert isinstance(rule.form, ir.Limit)
    return rule.form.what


def _together(group: Sequence[ir.Rule], solver: Solver, jobs: Jobs) -> list[Remark]:
    found = []
    for conflict in conflicts(group, lambda part: solver.possible([_what(rule) for rule in part]), jobs):
        *first, last = conflict.ids
        said = f"no value satisfies {', '.join(first)} and {last} together."
        place = max(rule.place for rule in conflict.rules)
        instead = "Change one of the limits, or the jobs to which it applies."
        found.append(Remark(place, "limits-conflict", said, instead, rules=conflict.ids))
    return found


def _connected(rules: Sequence[ir.Rule]) -> list[list[ir.Rule]]:
    """Rules that share a reading or a fact, directly or through others; groups of one are left out."""
    groups: list[tuple[set[n.Node], list[ir.Rule]]] = []
    for rule in rules:
        names: set[n.Node] = {node for node in n.walk(_what(rule)) if isinstance(node, n.Reading | n.Fact)}
        members = [rule]
        for other in [each for each in groups if each[0] & names]:
            groups.remove(other)
            names |= other[0]
            members = [*other[1], *members]
        groups.append((names, members))
    return [sorted(members, key=rules.index) for _, members in groups if len(members) > 1]
