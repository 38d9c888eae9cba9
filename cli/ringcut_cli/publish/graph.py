"""The dependency graph of a model procedure, drawn: its steps in their order, and arcs from what must come before.

An arc goes from the step that makes something true to the step that needs it, and is there because of a rule.
"""

from __future__ import annotations

from html import escape

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.procedure import Procedure

ROW, TOP, LEFT, WIDTH = 26, 16, 220, 900
BOX = 18
LETTERS = 62
"""What fits into the box of a step beside its name."""


class Arc(msgspec.Struct, frozen=True):
    """``rules`` are the ids of the rules for which step ``before`` has to come before step ``after``."""

    before: int
    after: int
    rules: tuple[str, ...]
    implied: bool = False
    """Whether other arcs already lead from the one to the other: drawn faintly."""


def arcs(procedure: Procedure, book: ir.Rulebook, applying: set[str]) -> list[Arc]:
    """What the rules that apply make of the steps: for each need the latest step that makes it true."""
    found: dict[tuple[int, int], list[str]] = {}
    names = [occurrence.step for occurrence in procedure.occurrences]
    for rule in book.rules:
        if rule.id not in applying:
            continue
        for after, wanted in _asked(rule, names, book):
            before = next((at for at in reversed(range(after)) if names[at] in wanted), None)
            if before is not None and rule.id not in found.setdefault((before, after), []):
                found[before, after].append(rule.id)
    implied = _implied(set(found))
    return [Arc(*pair, tuple(rules), pair in implied) for pair, rules in sorted(found.items())]


def _implied(pairs: set[tuple[int, int]]) -> set[tuple[int, int]]:
    """The pairs that a way over other steps makes already; every pair leads to a later step."""
    behind: dict[int, set[int]] = {}
    implied: set[tuple[int, int]] = set()
    for before in sorted({before for before, _ in pairs}, reverse=True):
        behind[before] = set()
        for after in sorted(after for one, after in pairs if one == before):
            if after in behind[before]:
                implied.add((before, after))
            behind[before] |= {after} | behind.get(after, set())
    return implied


def _asked(rule: ir.Rule, names: list[str], book: ir.Rulebook) -> list[tuple[int, set[str]]]:
    """Index of a step, and the steps one of which has to come before it by the rule."""
    match rule.form:
        case ir.Order(links):
            pairs = zip(links, links[1:], strict=False)
            return [(at, set(a.names)) for a, b in pairs for at, name in enumerate(names) if name in b.names]
        case ir.Need(what, before):
            makers = [_makers(atom, book) for atom in _atoms(what, book)]
            return [(at, each) for at, name in enumerate(names) if name in before.names for each in makers if each]
        case _:
            return []


def _atoms(node: n.Node, book: ir.Rulebook) -> list[str]:
    """The conditions that stand positively in an expression; what derived ones mean in their place."""
    match node:
        case n.Condition(name):
            means = book.conditions[name].means
            return [name] if means is None else _atoms(means, book)
        case n.And(items) | n.Or(items):
            return [atom for item in items for atom in _atoms(item, book)]
        case _:
            return []


def _makers(condition: str, book: ir.Rulebook) -> set[str]:
    return {
        name
        for name, step in book.steps.items()
        for effect in step.effects
        if effect.condition == condition and effect.to != n.Fixed(False)
    }


def drawn(procedure: Procedure, book: ir.Rulebook, found: list[Arc], title: str) -> str:
    """The graph as an SVG element, to stand in a page; every arc leads to its first rule."""
    names = [occurrence.step for occurrence in procedure.occurrences]
    height = TOP * 2 + ROW * len(names)
    parts = [
        f'<svg class="graph" viewBox="0 0 {WIDTH} {height}" width="{WIDTH}" height="{height}" role="img" '
        f'aria-label="{escape(title, quote=True)}" xmlns="http://www.w3.org/2000/svg">',
        '<defs><marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" orient="auto">'
        '<path d="M0 0L8 4L0 8z"/></marker></defs>',
    ]
    parts += [_arc(arc, names) for arc in sorted(found, key=lambda arc: not arc.implied)]
    for at, name in enumerate(names):
        y = _y(at)
        parts.append(
            f'<g class="step"><rect x="{LEFT}" y="{y - BOX / 2:g}" width="{WIDTH - LEFT - 10}" height="{BOX}" rx="3"/>'
            f'<text class="number" x="{LEFT + 24}" y="{y + 4}">{at + 1}</text>'
            f'<text x="{LEFT + 34}" y="{y + 4}">{escape(name)}</text>'
            f'<text class="words" x="{LEFT + 220}" y="{y + 4}">{escape(_short(book.steps[name].says))}</text></g>'
        )
    return "\n".join([*parts, "</svg>"])


def _arc(arc: Arc, names: list[str]) -> str:
    one, two = _y(arc.before), _y(arc.after)
    reach = min(LEFT - 20, 18 + 9 * (arc.after - arc.before))
    told = f"{names[arc.before]} before {names[arc.after]}: {', '.join(arc.rules)}"
    path = f"M{LEFT} {one} C{LEFT - reach} {one} {LEFT - reach} {two} {LEFT - 2} {two}"
    return (
        f'<a href="../rules/{escape(arc.rules[0], quote=True)}.html"><title>{escape(told)}</title>'
        f'<path class="arc{" implied" if arc.implied else ""}" d="{path}" marker-end="url(#tip)"/></a>'
    )


def _short(text: str) -> str:
    return text if len(text) <= LETTERS else text[: LETTERS - 3].rpartition(" ")[0] + " ..."


def _y(at: int) -> int:
    return TOP + ROW * at + ROW // 2
