"""Where an author looks for what a house rulebook breaks in the layers below: at the change or word of the house.

A rule below is right by itself; so what a change makes of it is told at the change, with the rule's line beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import msgspec

from ringcut.language.house import ChangeText, HouseText
from ringcut.language.housewords import own_word, word_of
from ringcut.language.layering import Layered, Refused
from ringcut.language.ruletext import RuleText
from ringcut.language.sources import Sources
from ringcut.proof.told import Remark
from ringcut.reading.problems import Place, Problem


def problems_at_house(problems: Iterable[Problem], found: Layered) -> list[Problem]:
    """Problems in a layer below at the line of the house that causes them, the line below named in the hint."""
    house = found.house
    if house is None or found.sources is None:
        return list(problems)
    return [_moved_problem(each, house, found.sources) for each in problems]


def remarks_at_house(remarks: Iterable[Remark], found: Layered) -> list[Remark]:
    """Remarks on rules below at the line of the house that causes them; the rules' own lines are related."""
    if found.house is None:
        return list(remarks)
    return [_moved_remark(each, found) for each in remarks]


def loosening_place(refused: Refused, found: Layered) -> Place:
    """Where a loosening is told: the change, or the house's own word that does it."""
    if refused.change is not None or found.house is None:
        return refused.change.place if refused.change else refused.problem.place
    return word_of(refused.effect, found.book, found.house) or found.house.place


def _moved_problem(problem: Problem, house: HouseText, sources: Sources) -> Problem:
    here = house.place.file
    if problem.place.file == here:
        return problem
    rule = _rule_at(problem.place, sources)
    change = next((each for each in house.change if rule is not None and each.target == rule.rule.text), None)
    words = re.findall(r"[a-z][a-z0-9-]*", problem.found)
    named = next((place for word in words if (place := own_word(word, house))), None)
    place = _at(change, "") if change is not None else named or Place(here, house.place.line)
    seen = f"see {problem.place}" if problem.place.file else ""
    return Problem(place, problem.found, problem.expected, "; ".join(part for part in (problem.hint, seen) if part))


def _rule_at(place: Place, sources: Sources) -> RuleText | None:
    """The rule in whose text a place lies."""
    above = [text for _, text in sources.rules if text.rule.place.file == place.file and text.rule.place <= place]
    return max(above, key=lambda text: text.rule.place, default=None)


def _moved_remark(remark: Remark, found: Layered) -> Remark:
    house = found.house
    assert house is not None
    own = {rule.id: rule.place for rule in found.book.rules if rule.id in remark.rules}
    place = remark.place
    if place.file != house.place.file and place.file.endswith((".yaml", ".yml")):
        place = _cause(remark, found, house) or place
    beside = [remark.place] if place != remark.place else [each for each in own.values() if each.line != place.line]
    return msgspec.structs.replace(remark, place=place, related=tuple(dict.fromkeys(beside)))


def _cause(remark: Remark, found: Layered, house: HouseText) -> Place | None:
    """The last change, or else word, of the house that touches one of the rules."""
    touching = [(change, effect) for change, effect in found.effects if effect.rule in remark.rules]
    changes = [_at(change, remark.kind) for change, _ in touching if change is not None]
    words = [place for _, effect in touching if (place := word_of(effect, found.book, house))]
    return max(changes or words, default=None)


def _at(change: ChangeText, kind: str) -> Place:
    """The part of a change that a look is about, as near as it can be told."""
    if kind == "dead-when" and "when" in change.given:
        return change.given["when"].place
    return next(iter(change.values.values())).place if len(change.values) == 1 else change.place
