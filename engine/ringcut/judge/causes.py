"""One cause told once: findings with the same cause are one group, under the rule that names the cause best.

Findings have one cause where one mend is enough for each of them (:mod:`ringcut.judge.mends`). Of a finding that might
be mended in several ways nobody can tell which is meant: it is told for itself, unless its rule ``follows-from`` one of
the group's. A group is headed by the gravest class, so that nothing grave is told under something slight; then by the
rule that others follow from, an include or record rule, the order of the rulebook. What is broken and what cannot be
said have heads of their own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import msgspec

from ringcut.judge.findings import CLASSES, Finding
from ringcut.judge.mends import ANYWHERE, Mend, Mends, both, enough, in_words, many_enough, surely
from ringcut.judge.sharing import Group, shared
from ringcut.language import ir
from ringcut.relations.truth import Cause, Truth, meant
from ringcut.relations.view import View


class Draft(msgspec.Struct):
    """A finding on its way: with its causes and its rule's place in the rulebook."""

    finding: Finding
    told: Truth
    rule: ir.Rule
    rank: int
    view: View
    loose: str = ""
    """What is said of the step without a place that alone has brought it about."""

    @property
    def causes(self) -> tuple[Cause, ...]:
        """What makes it false or unknown."""
        return self.told.causes

    @property
    def possible(self) -> tuple[tuple[Cause, ...], ...]:
        """The ways, of a rule that keeps something those too by which what went on meanwhile would have ended."""
        return self.told.ways if isinstance(self.rule.form, ir.Keep) else self.ways

    @property
    def ways(self) -> tuple[tuple[Cause, ...], ...]:
        """The sets of causes, each of which, healed as a whole, heals it.

        Of a rule that keeps one thing while another holds, either may be meant, but where a step ended what was
        to be kept at that very moment, it is that.
        """
        ways = self.told.ways
        if isinstance(self.rule.form, ir.Keep):
            kept = self.causes[:1]
            return tuple(way for way in ways if {*kept} <= {*way} and all(map(_broken_off, way))) or ways
        return meant(ways)


BACKWARDS = "times run back"
"""The cause of everything in a log that rests on a time against the list."""


def _broken_off(cause: Cause) -> bool:
    return cause.kind == "lost" and cause.at >= 0 and cause.at == cause.use


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


def grouped(drafts: Sequence[Draft]) -> list[Finding]:
    """The findings in their total order, each told under the head of its group."""
    demanded = frozenset(
        step
        for draft in drafts
        if isinstance(draft.rule.form, ir.Include)
        for cause in draft.causes
        for step in cause.others
    )
    result: list[tuple[tuple[object, ...], Finding]] = []
    for number, group in enumerate(_groups(drafts)):
        for verdict in dict.fromkeys(drafts[i].finding.verdict for i in group.members):
            members = [i for i in group.members if drafts[i].finding.verdict == verdict]
            rules = {drafts[i].rule.id for i in members}
            head = min(members, key=lambda index: _head_order(drafts[index], rules))
            for index in members:
                own = msgspec.structs.replace(
                    drafts[index].finding, cause=_cause(drafts[index], demanded), group=number
                )
                if index == head:
                    own = _heading(own, group, rules - {own.rule}, [drafts[i].view for i in group.members])
                else:
                    own = msgspec.structs.replace(own, told_under=drafts[head].rule.id)
                result.append((_finding_order(drafts[head], number, index != head, drafts[index]), own))
    found = [finding for _, finding in sorted(result, key=lambda pair: pair[0])]
    numbers = {group: place for place, group in enumerate(dict.fromkeys(each.group for each in found), 1)}
    return [msgspec.structs.replace(each, group=numbers[each.group]) for each in found]


def causes_in(findings: Iterable[Finding]) -> int:
    """How many separate causes findings have; one without a number is one for itself."""
    return len({each.group or -number - 1 for number, each in enumerate(findings)})


def _cause(draft: Draft, demanded: frozenset[str]) -> str:
    key = key_of(draft.causes[0], demanded) if draft.causes else ""
    return key or f"{draft.finding.rule}: {draft.finding.found}"


def _heading(finding: Finding, group: Group, others: Collection[str], views: Iterable[View]) -> Finding:
    common = ""
    if group.mend and others:
        # where it has to stand is counted in the line of one closure, which need not be the head's
        view = next(each for each in views if each.closure == group.stretch.closure)
        common = in_words(group.mend, group.stretch, view)
    return msgspec.structs.replace(finding, also=tuple(sorted(others)), in_common=common)


def _groups(drafts: Sequence[Draft]) -> list[Group]:
    """The findings by what mends them: what most of them have in common first, then what follows from one of them."""
    able = [{} if draft.loose else surely(draft.ways, draft.view, not draft.finding.side) for draft in drafts]
    left = dict.fromkeys(range(len(drafts)))
    found = [*_by_loose(drafts), *shared(able)]
    for group in found:
        for index in group.members:
            del left[index]
    enough_for = {
        index: enough(drafts[index].possible, drafts[index].view, not drafts[index].finding.side) for index in left
    }
    for index in left:
        place = next((i for i, group in enumerate(found) if _belongs(index, group, drafts, enough_for)), None)
        if place is None:
            found.append(Group((index,)))
        else:
            found[place] = _joined(index, found[place], enough_for)
    return sorted(found, key=lambda group: min(group.members))


def _by_loose(drafts: Sequence[Draft]) -> list[Group]:
    """What a step without a place has brought about, by that step."""
    found: dict[str, list[int]] = {}
    for index, draft in enumerate(drafts):
        if draft.loose:
            found.setdefault(draft.loose, []).append(index)
    return [
        Group(tuple(members), Mend("loose", words), ANYWHERE._replace(closure=drafts[members[0]].view.closure))
        for words, members in found.items()
    ]


def _belongs(index: int, group: Group, drafts: Sequence[Draft], able: Mapping[int, Mends]) -> bool:
    """Whether a finding follows from one of a group, and what mends the group mends it too."""
    if not any(_follows(drafts[index], drafts[other]) for other in group.members):
        return False
    common = both(_mends_of(group, able), able[index])
    return bool(common) and (group.mend is None or common[group.mend] == group.stretch)


def _joined(index: int, group: Group, able: Mapping[int, Mends]) -> Group:
    mend, stretch = next(iter(both(_mends_of(group, able), able[index]).items()))
    return Group((*group.members, index), mend, stretch)


def _mends_of(group: Group, able: Mapping[int, Mends]) -> Mends:
    """What mends a group, or a finding that stands alone: where its doing would be out of place, others must say so."""
    if group.mend is not None:
        return {group.mend: group.stretch}
    alone = able[group.members[0]]
    return {mend: stretch for mend, stretch in alone.items() if many_enough(mend, stretch)}


def _follows(one: Draft, other: Draft) -> bool:
    """Whether the rulebook says that what breaks one of two rules may break the other."""
    return one.rule.id in other.rule.follows_from or other.rule.id in one.rule.follows_from


def _head_order(draft: Draft, members: set[str]) -> tuple[object, ...]:
    named = isinstance(draft.rule.form, ir.Include | ir.Record)
    follows = any(name in members for name in draft.rule.follows_from)
    return (CLASSES.index(draft.rule.class_), follows, not named, draft.rank, draft.finding.line)


def _finding_order(head: Draft, group: int, under: bool, own: Draft) -> tuple[object, ...]:
    worst = CLASSES.index(head.finding.class_)
    verdicts = ("nonconforming", "undetermined", "under concession")
    return (
        verdicts.index(head.finding.verdict), worst, head.rank, head.finding.line, head.finding.side, group, under,
        own.rank, own.finding.line, own.finding.column, own.finding.side, own.finding.found,
    )  # fmt: skip
