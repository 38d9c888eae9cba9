"""Leave for what a house rulebook loosens: a reason and a named person who may; and what its changes do, in words."""

from __future__ import annotations

from collections.abc import Collection

from ringcut.language.house import ChangeText, HouseText, names_a_person
from ringcut.language.sense import Sense
from ringcut.language.strictness import Effect
from ringcut.reading.problems import Place, Problem


def refusals(
    change: ChangeText | None, effect: Effect, house: HouseText, place: Place, classes: Collection[str]
) -> list[Problem]:
    """Why a loosening is not in force: beyond a legal bound, or no reason, no approver, no name, not their class.

    ``classes``: of all rules that the change loosens; whoever approves it has to be named for each.
    """
    told = (
        f"{effect.rule} is loosened: {effect.words}"
        if effect.sense != Sense.CANNOT_TELL
        else f"{effect.rule}: {effect.words}; whether that loosens cannot be told, so it counts as loosening"
    )
    if effect.beyond_bound:
        return [Problem(place, told, "the clause itself fixes this value; it cannot be loosened")]
    may = house.may_approve.get(effect.class_, ())
    able = [each for each in may if all(each in house.may_approve.get(one, ()) for one in classes)]
    if change is None:
        step = next((name for kind, name in effect.sources if kind == "step" and name in house.steps), "its name")
        person = able[0] if able else "a named person"
        hint = f"add {{step: {step}, reason: why, approved-by: {person}}} under change"
        return [Problem(place, told, "a reason, and approved-by a named person who may", hint)]
    wanted = [] if change.said("reason") else ["reason: why"]
    who = change.said("approved-by")
    if not who:
        wanted.append(f"approved-by: {' or '.join(able or may) or 'a named person'}")
        return [Problem(place, told, ", ".join(wanted))]
    found = [Problem(place, told, each) for each in wanted]
    at = change.given["approved-by"].place
    if not names_a_person(who):
        found.append(Problem(at, f"{told}; «{who}» is not a name", "approved-by: a named person"))
    elif house.may_approve and who not in may:
        of = ", ".join(each for each in ("critical", "major", "minor") if each in classes)
        hint = "" if able else f"name one person under may-approve for {of}"
        said = f"{told}; {who} may not approve {effect.class_} rules"
        found.append(Problem(at, said, f"approved-by: {' or '.join(able)}" if able else "", hint))
    return found


def in_words(effects: list[tuple[ChangeText | None, Effect]]) -> list[str]:
    """What the changes do, in words: one line a change, with the rules that it touches."""
    found: dict[tuple[str, str], list[str]] = {}
    for change, effect in effects:
        if change is None:
            continue
        said = effect.words
        who = f", approved by {change.said('approved-by')}" if change.said("approved-by") else ""
        found.setdefault((said, f"({effect.sense.value}){who}"), []).append(effect.rule)
    return [
        f"{rules[0]}: {said} {how}" if len(rules) == 1 else f"{said} {how}: {', '.join(rules)}"
        for (said, how), rules in found.items()
    ]
