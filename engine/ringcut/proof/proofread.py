"""Proofreading a rulebook: what keeps it from being in force, and what reads well but is wrong or may not be meant."""

from __future__ import annotations

from pathlib import Path

import msgspec

from ringcut.language import ir
from ringcut.language.compile import compile_partly
from ringcut.language.editions import days_alike
from ringcut.language.layering import Layered, Refused, look_at_layers
from ringcut.language.ruletext import RuleText
from ringcut.language.sense import Sense
from ringcut.language.sources import Sources
from ringcut.proof.blame import loosening_place, problems_at_house, remarks_at_house
from ringcut.proof.casecover import case_cover, wrong_cases
from ringcut.proof.conflicts import Jobs
from ringcut.proof.contradictions import ORDERING, contradictions
from ringcut.proof.dead import dead_rules
from ringcut.proof.ids import ids
from ringcut.proof.limits import limits
from ringcut.proof.meant import every_doing, undoable
from ringcut.proof.told import ADVICE, MISTAKE, REFUSED, Remark
from ringcut.proof.twokinds import two_kinds
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.refusals import KIND_WORDS

KEYS = {
    "every-doing": "limit",
    "limit-never": "limit",
    "limit-always": "limit",
    "limits-conflict": "limit",
    "dead-when": "when",
    "order-cycle": "order",
    "order-undone": "order",
}
"""Which key of a rule a look is about: it is told there."""


class Proof(msgspec.Struct):
    """What proofreading found. ``problems`` and refused changes keep the rulebook from being in force."""

    file: str
    problems: tuple[Problem, ...] = ()
    remarks: tuple[Remark, ...] = ()
    """In the order of the file: mistakes, advice, and changes that are not allowed as they are written."""
    read_as: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    """What the changes that are allowed do, in words."""
    book: ir.Rulebook | None = None
    rules: int = 0
    """How many rules are its own, or touched by it."""

    @property
    def in_force(self) -> bool:
        """Whether procedures can be judged by it."""
        return not self.problems and not self.refused and self.book is not None

    @property
    def refused(self) -> tuple[Remark, ...]:
        """What a change or word of it loosens without leave: one for each rule."""
        return tuple(each for each in self.remarks if each.weight == REFUSED)

    @property
    def mistakes(self) -> tuple[Remark, ...]:
        """What ought to be mended."""
        return tuple(each for each in self.remarks if each.weight == MISTAKE)

    @property
    def advice(self) -> tuple[Remark, ...]:
        """What may not be meant."""
        return tuple(each for each in self.remarks if each.weight == ADVICE)


def proofread(path: Path, builtin: Path, as_of: str = "") -> Proof:
    """Proofread a rulebook folder or a house file on the layers below it. Raises OSError."""
    problems: list[Problem] = []
    try:
        found = look_at_layers(path, builtin, problems, as_of)
    except Unreadable as error:
        problems += error.problems
        found = None
    if found is not None:
        problems = problems_at_house(problems, found)
    if found is not None and found.house is not None:
        problems += days_alike(path)
    problems = sorted({_plainer(each) for each in problems})
    if found is None or found.sources is None:
        return Proof(path.name, tuple(problems))
    refused = [each for each in found.refused if not (problems and each.by_breakage)]
    remarks = [_loosened(each, found) for each in _by_effect(refused)]
    own = _own_rules(found, path)
    remarks += _quick(found, path, own, builtin) if problems else _all(found, path, own, builtin)
    remarks = sorted(set(remarks_at_house(_placed(remarks, found.sources), found)))
    read_as = found.house.read_as if found.house else ()
    changes = [each for each in found.book.aloud if found.house and each not in read_as]
    return Proof(
        path.name, tuple(problems), tuple(remarks), read_as, tuple(changes), found.book, len({rule.id for rule in own}),
    )  # fmt: skip


def _own_rules(found: Layered, path: Path) -> tuple[ir.Rule, ...]:
    """The rules that this rulebook wrote or touched."""
    if found.house is None:
        return found.book.rules
    touched = {effect.rule for _, effect in found.effects}
    return tuple(rule for rule in found.book.rules if rule.id in touched or rule.place.file == path.name)


def _quick(found: Layered, path: Path, own: tuple[ir.Rule, ...], builtin: Path) -> list[Remark]:
    """Looks at single rules, for a rulebook that cannot be in force yet; broken rules without their broken parts.

    What rests on the words of the rulebook, such as how cases come out, waits until those are right.
    """
    sources = found.sources
    assert sources is not None
    compiled = {rule.id for rule in found.book.rules}
    left = [
        (subject, msgspec.structs.replace(rule, when=None))
        for subject, rule in sources.rules
        if rule.rule.text not in compiled
    ]
    mended = compile_partly(msgspec.structs.replace(sources, rules=left), []).rules if left else ()
    rules = (*own, *mended)
    remarks = [*every_doing(found.book, rules), *undoable(found.book, rules)]
    mine = tuple(rule for rule in rules if found.house is None or rule.place.file == path.name)
    return [*remarks, *case_cover(mine), *ids(path, sources, found.lower, builtin, partly=True)]


def _all(found: Layered, path: Path, own: tuple[ir.Rule, ...], builtin: Path) -> list[Remark]:
    book, sources = found.book, found.sources
    assert sources is not None
    jobs = Jobs(book)
    names = {rule.id for rule in own}
    whole = [*limits(book, jobs, names), *dead_rules(book, jobs, names)]
    if any(isinstance(rule.form, ORDERING) for rule in own):
        whole += contradictions(book, jobs)
    remarks = [each for each in whole if names & set(each.rules)]
    mine = tuple(rule for rule in own if found.house is None or rule.place.file == path.name)
    remarks += [*every_doing(book, mine), *undoable(book, mine), *case_cover(mine), *wrong_cases(book, mine)]
    remarks += [each for each in two_kinds(sources) if names & set(each.rules)]
    return remarks + ids(path, sources, found.lower, builtin)


def _placed(remarks: list[Remark], sources: Sources) -> list[Remark]:
    """Each remark at the key of the rule it is about."""
    texts = {rule.rule.place: rule for _, rule in sources.rules}
    return [msgspec.structs.replace(each, place=_key_place(texts.get(each.place), each)) for each in remarks]


def _key_place(text: RuleText | None, remark: Remark) -> Place:
    value = getattr(text, KEYS[remark.kind]) if text is not None and remark.kind in KEYS else None
    if isinstance(value, tuple) and value:
        value = value[0]
    return value.place if isinstance(value, Phrase) else remark.place


def _by_effect(refused: list[Refused]) -> list[list[Refused]]:
    """What refuses one change of one rule, together."""
    groups: dict[tuple[int, int], list[Refused]] = {}
    for each in refused:
        groups.setdefault((id(each.effect), id(each.change)), []).append(each)
    return list(groups.values())


def _loosened(refused: list[Refused], found: Layered) -> Remark:
    """A loosening that is not allowed as it stands, with everything that it lacks."""
    effect = refused[0].effect
    place = loosening_place(refused[0], found)
    place = Place(place.file, place.line)
    told = "looser" if effect.sense != Sense.CANNOT_TELL else "may be looser, which counts as looser"
    said = f"{effect.rule}, {effect.words}: {told}.{_whose(refused[0], found.book)}"
    if effect.beyond_bound:
        instead = "The clause itself fixes this value: not allowed."
        return Remark(place, "loosening", said, instead, REFUSED, (effect.rule,))
    whys = [
        each.problem.found.rpartition("; ")[2]
        for each in refused
        if "»" in each.problem.found or "may not approve" in each.problem.found
    ]
    wanted = [each.change and each.problem.expected or each.problem.hint for each in refused]
    wanted = [each for each in wanted if each and not (whys and each == "approved-by: a named person")]
    here = f" Here: {', '.join(wanted)}." if wanted else ""
    instead = "Allowed with a reason and approved-by a named person who may" + "".join(f"; {why}" for why in whys) + "."
    return Remark(place, "loosening", said, instead + here, REFUSED, (effect.rule,))


def _whose(each: Refused, book: ir.Rulebook) -> str:
    """Whose number it is, where the rule is law and the number is not."""
    rule = book.rule(each.effect.rule)
    if rule is None or not rule.basis.regulation:
        return ""
    values = [value for value in rule.values.values() if not value.bound]
    fixed = [value for value in rule.values.values() if value.bound]
    if not values or fixed:
        return ""
    return f" {rule.basis.regulation} gives no number for this; the old one is the layer's below, not the law's."


def _plainer(problem: Problem) -> Problem:
    """A number without its unit, told with the units that would do."""
    found, _, kind = problem.found.partition(" is ")
    if not problem.hint.endswith(" what?") or kind != "a count":
        return problem
    wanted = problem.expected.removesuffix(" here")
    units = next((units for words, units in KIND_WORDS.values() if words == wanted), "")
    return msgspec.structs.replace(problem, found=f"{found} has no unit", hint=f"{problem.hint} {units}".strip())
