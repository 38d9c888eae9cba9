"""What in a limit says only whether it applies: the words behind its "if", of which nothing is asked."""

from __future__ import annotations

from ringcut.language import nodes as n

Name = tuple[str, str]
"""(step, reading)."""


def readings_in(node: n.Node) -> frozenset[Name]:
    """The readings that an expression looks at."""
    return frozenset((each.step, each.name) for each in n.walk(node) if isinstance(each, n.Reading))


def premises(node: n.Node) -> frozenset[Name]:
    """The readings that stand only behind an "if": in one way to be true that asks for nothing but a word.

    ``if conductor is bar then bar-length <= taped`` is true for a strap, however long: ``conductor`` is a premise,
    ``bar-length`` none.
    """
    found: set[Name] = set()
    for each in n.walk(node):
        if isinstance(each, n.Or):
            found.update(*(readings_in(item) for item in each.items if _is_word(item)))
    asked = set().union(*_asked(node))
    return frozenset(found - asked)


def _asked(node: n.Node) -> list[frozenset[Name]]:
    """The readings of which something is asked, by the places where it is."""
    if isinstance(node, n.Or):
        asking = [item for item in node.items if not _is_word(item)]
        return [found for item in asking or node.items for found in _asked(item)]
    if isinstance(node, n.And):
        return [found for item in node.items for found in _asked(item)]
    return [readings_in(node)]


def _is_word(node: n.Node) -> bool:
    """Whether an expression only compares words."""
    return not any(isinstance(each, n.Compare | n.Lookup) for each in n.walk(node))
