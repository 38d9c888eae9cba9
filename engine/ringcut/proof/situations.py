"""The jobs that a rule tells apart in two rulebooks, each with the fewest facts that make it so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, product
from typing import Any

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.atoms import Atom
from ringcut.proof.sight import Sight
from ringcut.proof.slots import slot_of
from ringcut.proof.solving import Solver
from ringcut.proof.telling import telling

MOST_FACTS = 5
MOST_TRIED = 6000
WORDS = ("choice", "list", "yes-no")
Job = dict[str, Any]
"""Facts as YAML data."""


def situations(sights: Sequence[Sight], numbers: dict[str, set[Fraction]]) -> list[Job]:
    """Jobs, smallest first; of jobs that the rule cannot tell apart one.

    Jobs to which the rule applies in neither rulebook are left out, and those that cannot be.
    """
    facts = {name: word for each in sights for name, word in each.facts.items() if word.means is None}
    values = {name: _values(word, sights, numbers) for name, word in facts.items()}
    askers = [(each, Solver(each.book)) for each in sights]
    found: dict[tuple[Any, ...], Job] = {}
    for tried, chosen in enumerate(_assignments(values)):
        if tried >= MOST_TRIED:
            break
        atoms = _atoms(chosen, facts, values)
        plain = [(name, told) for name, told in chosen.items() if facts[name].kind not in WORDS]
        mark = (*plain, *(_mark(each, solver, chosen, atoms) for each, solver in askers))
        if mark not in found and any(_matters(each, solver, atoms) for each, solver in askers):
            found[mark] = _job(chosen, facts)
    return list(found.values())


def _values(word: ir.Word, sights: Sequence[Sight], numbers: dict[str, set[Fraction]]) -> tuple[str, ...]:
    """What a fact may be: the words that expressions name, and one that they do not."""
    mentioned: dict[str, None] = {}
    for node in (node for each in sights for node in each.nodes):
        if isinstance(node, n.Is) and node.left == n.Fact(word.name):
            mentioned |= dict.fromkeys(node.words)
        elif isinstance(node, n.Has) and node.left == n.Fact(word.name):
            mentioned[node.word] = None
        elif isinstance(node, n.Lookup) and n.Fact(word.name) in n.walk(node):
            mentioned |= dict.fromkeys(word.choices)
    if word.kind in ("choice", "list"):
        other = next((each for each in word.choices if each not in mentioned), None)
        return (*mentioned, *([other] if other else []))
    return slot_of(word, numbers, telling(n.Fact(word.name), sights)).values


def _assignments(values: dict[str, tuple[str, ...]]) -> Iterator[dict[str, str]]:
    for size in range(min(MOST_FACTS, len(values)) + 1):
        for names in combinations(values, size):
            for told in product(*(values[name] for name in names)):
                yield dict(zip(names, told, strict=True))


def _atoms(chosen: dict[str, str], facts: dict[str, ir.Word], values: dict[str, tuple[str, ...]]) -> dict[Atom, Any]:
    """The job as the solver has it; numbers are left open."""
    found: dict[Atom, Any] = {}
    for name, told in chosen.items():
        if facts[name].kind == "list":
            found |= {("has", n.Fact(name), each): each == told for each in values[name]}
        elif facts[name].kind in WORDS:
            found["word", n.Fact(name)] = told
    return found


def _mark(seen: Sight, solver: Solver, chosen: dict[str, str], atoms: dict[Atom, Any]) -> tuple[Any, ...]:
    """What the rule sees of a job: its expressions over facts as a whole, facts beside other parts one by one."""
    parts = [node for part in seen.parts for node in n.walk(part)]
    asked = [node for node in parts if isinstance(node, n.Is | n.Has) and isinstance(node.left, n.Fact)]
    keys = [
        node.name for part in parts if isinstance(part, n.Lookup) for node in n.walk(part) if isinstance(node, n.Fact)
    ]
    holds = tuple(solver.holds(node, atoms) for node in (*seen.whole, *asked))
    return *holds, *(chosen.get(name) for name in keys)


def _matters(seen: Sight, solver: Solver, atoms: dict[Atom, Any]) -> bool:
    """Whether there can be such a job, and the rule may apply to it."""
    if any(solver.holds(each.when, atoms) for each in seen.book.impossible):
        return False
    return seen.always or any(solver.holds(rule.when or n.ALWAYS, atoms) is not False for rule in seen.rules)


def _job(chosen: dict[str, str], facts: dict[str, ir.Word]) -> Job:
    """The job as it is written: a list has brackets, the month is read off a date."""
    found: Job = {}
    for name, told in chosen.items():
        if name == "month" and told.isdigit():
            found["date"] = f"2026-{int(told):02}-15"
        else:
            found[name] = [told] if facts[name].kind == "list" else told
    return found
