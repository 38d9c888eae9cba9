"""One cause told once: findings with the same cause are one group, under the rule that names the cause best.

A group is headed by an include or record rule if it has one, else by the gravest class, else by rule order; a rule that
``follows-from`` another with a finding is told under it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from ringcut.judge.findings import CLASSES, Finding
from ringcut.language import ir
from ringcut.relations.truth import Cause


class Draft(msgspec.Struct):
    """A finding on its way: with its causes and its rule's place in the rulebook."""

    finding: Finding
    causes: tuple[Cause, ...]
    rule: ir.Rule
    rank: int


BACKWARDS = "times run back"
"""The cause of everything in a log that rests on a time against the list."""


def key_of(cause: Cause, demanded: frozenset[str]) -> str:
    """The text that findings with one cause share. ``demanded``: steps that an include finding already asks for."""
    side = f" {cause.side}" if cause.side else ""
    match cause.kind:
        case "absent":
            named = next(
                (step for step in cause.others if step in demanded),
                cause.others[0] if cause.others else cause.what,
            )
            return f"no {named}"
        case "fact":
            return f"fact {cause.what} unknown"
        case "reading":
            return f"reading {cause.what} #{cause.at}{side} missing"
        case "lost":
            return f"{cause.what}{side} lost at #{cause.at}"
        case "swapped":
            return f"#{cause.at} before #{cause.by}"
        case "time":
            return f"no time: {cause.what}"
        case "table" if cause.others:
            return cause.what
        case "backwards":
            return BACKWARDS
    return ""


def grouped(drafts: Sequence[Draft], site: Collection[str] = ()) -> list[Finding]:
    """The findings in their total order, each told under the head of its group.

    ``site``: the steps that hold for every closure; where one is absent, that is one cause for all of them.
    """
    demanded = frozenset(
        step
        for draft in drafts
        if isinstance(draft.rule.form, ir.Include)
        for cause in draft.causes
        for step in cause.others
    )
    parent = list(range(len(drafts)))

    def root(index: int) -> int:
        while parent[index] != index:
            parent[index] = parent[parent[index]]
            index = parent[index]
        return index

    first_of_key: dict[tuple[str, str], int] = {}
    first_of_rule: dict[tuple[str, str], int] = {}
    keys: list[str] = []
    for index, draft in enumerate(drafts):
        key = key_of(draft.causes[0], demanded) if draft.causes else ""
        keys.append(key)
        if key:
            closure = "" if key.removeprefix("no ") in site else draft.finding.closure
            other = first_of_key.setdefault((closure, key), index)
            parent[root(index)] = root(other)
        first_of_rule.setdefault((draft.finding.closure, draft.rule.id), index)
    for index, draft in enumerate(drafts):
        for name in draft.rule.follows_from:
            other_rule = first_of_rule.get((draft.finding.closure, name))
            if other_rule is not None and root(index) != root(other_rule) and _same_verdict(draft, drafts[other_rule]):
                parent[root(index)] = root(other_rule)
    groups: dict[int, list[int]] = {}
    for index in range(len(drafts)):
        groups.setdefault(root(index), []).append(index)
    result: list[tuple[tuple[object, ...], Finding]] = []
    for number, members in enumerate(sorted(groups.values())):
        head = min(members, key=lambda index: _head_order(drafts[index], {drafts[i].rule.id for i in members}))
        others = sorted({drafts[i].rule.id for i in members} - {drafts[head].rule.id})
        for index in members:
            finding = drafts[index].finding
            cause = keys[index] or keys[head] or f"{finding.rule}: {finding.found}"
            again = drafts[index].rule.id == drafts[head].rule.id and keys[index] != keys[head]
            under = "" if index == head or again else drafts[head].rule.id
            changed = msgspec.structs.replace(
                finding, cause=cause, told_under=under, also=tuple(others) if index == head else ()
            )
            result.append((_finding_order(drafts[head], number, index != head, drafts[index]), changed))
    return [finding for _, finding in sorted(result, key=lambda pair: pair[0])]


def _same_verdict(one: Draft, two: Draft) -> bool:
    return one.finding.verdict == two.finding.verdict


def _head_order(draft: Draft, members: set[str]) -> tuple[object, ...]:
    named = isinstance(draft.rule.form, ir.Include | ir.Record)
    follows = any(name in members for name in draft.rule.follows_from)
    return (
        draft.finding.verdict != "nonconforming",
        follows,
        not named,
        CLASSES.index(draft.rule.class_),
        draft.rank,
    )


def _finding_order(head: Draft, group: int, under: bool, own: Draft) -> tuple[object, ...]:
    worst = CLASSES.index(head.finding.class_)
    verdicts = ("nonconforming", "undetermined", "under concession")
    return (
        verdicts.index(head.finding.verdict), worst, head.rank, head.finding.line, head.finding.side, group, under,
        own.rank, own.finding.line, own.finding.column, own.finding.side, own.finding.found,
    )  # fmt: skip
