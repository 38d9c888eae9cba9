"""What the comparisons with plain numbers say of a reading or fact: of values with the same answers one will do."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.atoms import Numbers, Reader
from ringcut.proof.sight import Sight
from ringcut.proof.slots import Telling
from ringcut.proof.solving import HOLDS


def telling(node: n.Fact | n.Reading, sights: Sequence[Sight]) -> Telling | None:
    """The answers that a value of a reading or fact gives; None where other readings have a part in them."""
    asked: list[tuple[str, Fraction, Fraction]] = []
    for each in sights:
        for top in _tops(node, each.nodes):
            if not isinstance(top, n.Compare):
                return None
            found = _alone(node, top, each.book)
            if found is None:
                return None
            asked.append((top.op, *found))
    asked = list(dict.fromkeys(asked))
    return lambda value: tuple(HOLDS[op](factor * value + constant) for op, factor, constant in asked)


def _tops(node: n.Fact | n.Reading, nodes: Sequence[n.Node]) -> list[n.Node]:
    """The smallest yes-or-no expressions that a reading or fact stands in, and look-ups."""
    kinds = (n.Compare, n.Is, n.Has)
    return [each for each in nodes if isinstance(each, kinds) and node in n.walk(each)]


def _alone(node: n.Fact | n.Reading, compare: n.Compare, book: ir.Rulebook) -> tuple[Fraction, Fraction] | None:
    """Factor and constant of a comparison with nought, where nothing but this reading or fact is in it."""
    reader = Reader(book)
    own = reader.numbers(node)
    found: Numbers = reader.difference(compare)
    terms = {name: factor for name, factor in found.terms.items() if factor}
    if set(terms) != set(own.terms):
        return None
    return next(iter(terms.values())), found.constant
