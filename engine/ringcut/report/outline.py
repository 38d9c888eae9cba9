"""A report arranged as a person is told it: by what can happen, one cause once.

Pure arrangement, shared by the terminal and by pages: no words of its own, no widths, no colours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from ringcut.judge.findings import (
    CLASSES,
    NONCONFORMING,
    UNDER_CONCESSION,
    UNDETERMINED,
    Finding,
    Notice,
    Report,
    ToChoose,
    ToMeasure,
)

SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
"""The signal words of ANSI Z535.6, gravest first."""

ORDER_SHOWN = 12
"""The most steps of an example order that are shown whole."""


class Told(msgspec.Struct, frozen=True):
    """One cause: the finding that heads it, the other places of the same rule, and the other rules it breaks."""

    head: Finding
    places: tuple[Finding, ...] = ()
    also: tuple[Finding, ...] = ()
    """One finding of each other rule, the gravest first."""


class Outline(msgspec.Struct, frozen=True):
    """The parts of a report in the order in which they are told; an empty part is left out."""

    broken: dict[str, tuple[Told, ...]]
    """By class: what can hurt (critical), what can leak (major), what is untidy (minor)."""
    cannot_say: tuple[Told, ...]
    conceded: tuple[Told, ...]
    to_choose: tuple[ToChoose, ...]
    to_measure: tuple[ToMeasure, ...]
    warnings: tuple[Notice, ...]
    """By signal word, gravest first, else as the rulebook has them."""


def outline(report: Report) -> Outline:
    """Arrange a report. Every finding is either a head, a place of its head, or named under ``also``."""
    told = _told(report.findings)

    def having(verdict: str) -> tuple[Told, ...]:
        return tuple(each for each in told if each.head.verdict == verdict)

    broken = having(NONCONFORMING)
    return Outline(
        broken={name: tuple(each for each in broken if each.head.class_ == name) for name in CLASSES},
        cannot_say=having(UNDETERMINED),
        conceded=having(UNDER_CONCESSION),
        to_choose=report.to_choose,
        to_measure=report.to_measure,
        warnings=tuple(sorted(report.warnings, key=lambda notice: SIGNALS.index(notice.signal))),
    )


def _told(findings: tuple[Finding, ...]) -> list[Told]:
    return [_one(group) for group in in_groups(findings)]


def in_groups(findings: Iterable[Finding]) -> list[list[Finding]]:
    """Findings as they are told together, each group with its head first, in the order in which they first come.

    One verdict and one ``group``: where one of a group is under concession, the others would be lost under it. The two
    sides of one rule that lack the same, and nothing else, are told together too.
    """
    groups: dict[tuple[str, int], list[Finding]] = {}
    for number, finding in enumerate(findings):
        groups.setdefault((finding.verdict, finding.group or -number - 1), []).append(finding)
    found: list[list[Finding]] = []
    one_sided: dict[tuple[str, ...], list[Finding]] = {}
    for group in groups.values():
        other = one_sided.get(_but_for_its_side(group), [])
        if other and group[0].side not in {each.side for each in other}:
            other += group
            continue
        if key := _but_for_its_side(group):
            one_sided[key] = group
        found.append(group)
    return [sorted(group, key=lambda each: (bool(each.told_under), CLASSES.index(each.class_))) for group in found]


def _but_for_its_side(group: Sequence[Finding]) -> tuple[str, ...]:
    """What a group about one side of one rule has in common with that about the other; empty where it is no such."""
    first = group[0]
    if not first.side or len({(each.rule, each.side, each.found, each.margin) for each in group}) > 1:
        return ()
    return (first.verdict, first.rule, first.closure, first.found, first.needed, first.margin, first.concession)


def _one(group: list[Finding]) -> Told:
    head, *rest = group
    others: dict[str, Finding] = {}
    for each in sorted(rest, key=lambda each: CLASSES.index(each.class_)):
        if each.rule != head.rule:
            others.setdefault(each.rule, each)
    return Told(head, tuple(each for each in rest if each.rule == head.rule), tuple(others.values()))


def shown_order(finding: Finding) -> tuple[str, ...]:
    """The example order of a finding: whole where it is short, else from the first to the last step it is about.

    An empty text stands for steps left out.
    """
    order = finding.example_order
    if len(order) <= ORDER_SHOWN:
        return order
    about = [place for place, step in enumerate(order) if step in finding.steps]
    if not about:
        return (*order[: ORDER_SHOWN - 1], "")
    first, last = max(about[0] - 1, 0), min(about[-1] + 1, len(order) - 1)
    part = order[first : last + 1]
    if len(part) > ORDER_SHOWN:
        kept = {place for each in about for place in (each - 1, each, each + 1)} & set(range(first, last + 1))
        part = tuple(_with_gaps(order, sorted(kept)))
    return (*([""] if first else []), *part, *([""] if last < len(order) - 1 else []))


def _with_gaps(order: tuple[str, ...], kept: list[int]) -> list[str]:
    shown: list[str] = []
    before = kept[0] - 1
    for place in kept:
        shown += [""] if place != before + 1 else []
        shown.append(order[place])
        before = place
    return shown
