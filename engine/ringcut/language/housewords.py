"""Where a house rulebook writes the word that a change of a rule below comes from."""

from __future__ import annotations

from ringcut.language import ir
from ringcut.language.house import HouseText
from ringcut.language.strictness import Effect
from ringcut.language.words import VocabularyText
from ringcut.reading.problems import Place

SECTIONS = ("facts", "conditions", "steps", "quantities", "values")


def word_of(effect: Effect, book: ir.Rulebook, house: HouseText) -> Place | None:
    """Where the house defines the word that had this effect: one it names, or a step that the rule now looks for."""
    named = next((place for _, name in effect.sources if (place := own_word(name, house))), None)
    if named is not None:
        return named
    steps = [name for rule in book.rules if rule.id == effect.rule for name in ir.steps_named(rule.form)]
    return min((house.steps[name].place for name in steps if name in house.steps), default=None)


def own_word(name: str, house: VocabularyText) -> Place | None:
    """Where the house defines a word; None where it does not."""
    for section in SECTIONS:
        word = getattr(house, section).get(name)
        if word is not None:
            place: Place = word.place
            return place
    return None
