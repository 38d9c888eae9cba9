"""Values that a clause of law itself fixes: loosening beyond its number is refused; coming back to it is not."""

from __future__ import annotations

from fractions import Fraction

from ringcut.language import ir
from ringcut.language.sense import Sense
from ringcut.reading.quantity import read_quantity
from ringcut.reading.refusals import Refusal
from ringcut.reading.units import kinds_of_unit, to_base


def binds(regulation: str, book: ir.Rulebook) -> bool:
    """Whether the rulebook's jurisdiction names the regulation (by its beginning)."""
    return bool(regulation) and any(regulation.startswith(each) for each in book.jurisdiction)


def any_beyond(new: ir.Rule, old: ir.Rule, book: ir.Rulebook, sense: Sense) -> bool:
    """Whether a loosened rule has a value beyond its bound. ``sense``: what the change does to the whole rule."""
    return any(
        name in old.values and _beyond(old.values[name], value, old.basis.regulation, book, sense)
        for name, value in new.values.items()
    )


def value_beyond(name: str, old: ir.Rulebook, new: ir.Rulebook, sense: Sense) -> bool:
    """The same for a value of the vocabulary, for one rule that it loosens."""
    if name not in old.values or name not in new.values:
        return False
    return _beyond(old.values[name], new.values[name], "", new, sense)


def _beyond(old: ir.Value, new: ir.Value, law: str, book: ir.Rulebook, sense: Sense) -> bool:
    if not old.bound or old.text == new.text or not is_bound(old, law, book):
        return False
    before, after, bound = (number(text) for text in (old.text, new.text, old.bound))
    if before is None or after is None or bound is None:
        return True
    if before == bound:
        return sense in (Sense.LOOSENS, Sense.BOTH, Sense.CANNOT_TELL)
    # the value stood on the strict side of the bound: only the other side is beyond it
    return (before < bound) != (after < bound) and after != bound


def is_bound(value: ir.Value, law: str, book: ir.Rulebook) -> bool:
    """Whether the bound of a value is law here. ``law``: the clause of its rule.

    A house value keeps a bound only where the clause binds, so its own basis need not say it again.
    """
    regulation = value.basis.regulation or ("" if value.basis.house else law)
    return bool(value.bound) and (binds(regulation, book) if regulation else bool(value.basis.house))


def number(text: str) -> Fraction | None:
    """A value's number in the base unit of the first kind its unit stands for; None where it is none."""
    found = read_quantity(text)
    if isinstance(found, Refusal):
        return None
    if found.bare:
        return found.number
    kinds = kinds_of_unit(found.unit.name)
    base = to_base(found.number, found.unit.name, kinds[0]) if kinds else found.number
    return None if isinstance(base, Refusal) else base
