"""Job facts in every combination: the product of what decides the steps, and seeded draws of everything else."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import combinations, product

from ringcut.draft.models import Job, facts, job_view
from ringcut.judge import cover
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import NOWHERE, Problem

Fact = str | dict[str, str] | list[str]
YES_NO: list[Fact] = ["no", "yes"]

CABLE: dict[str, list[Fact]] = {
    "work": ["sheath-repair", "trouble-opening", "inter-sheath-dam", "auxiliary-repair", "sleeve-removal"],
    "sheath": ["lead", "polyethylene", {"A": "lead", "B": "polyethylene"}, {"A": "polyethylene", "B": "lead"}],
    "construction": ["single", "double"],
    "jacket": ["none", "plastic", "jute"],
    "core": ["paper", "plastic", "filled"],
    "pressurized": YES_NO,
    "fed": YES_NO,
    "two-volumes": YES_NO,
    "location": ["manhole", "vault", "pit", "buried", "aerial", "building"],
}
"""What decides most steps; taken in full."""

SPECIAL = ["diameter-change", "bonding-hardware", "long-repair", "cable-band"]


def subsets(words: list[str]) -> list[Fact]:
    """Every set of some words."""
    return [list(some) for size in range(len(words) + 1) for some in combinations(words, size)]


REST: dict[str, list[Fact]] = {
    "special": subsets(SPECIAL),
    "special-procedure": subsets([*SPECIAL, "double-sheath", "taped-auxiliary"]),
    "old-adhesive": ["same-place-same-kind", "other", "no-new-sleeve"],
    "new-plant": YES_NO,
    "manhole-depth": ["3 ft", "4 ft", "4 ft 1 in", "9 ft"],
    "pit-depth": ["3 ft", "4 ft", "4 ft 1 in", "5 ft", "8 ft"],
    "joint-with-power": YES_NO,
    "in-traffic": YES_NO,
    "traffic-uncorrected": YES_NO,
    "unusual-water": YES_NO,
    "water-in-hole": YES_NO,
    "gas-seepage": YES_NO,
    "other-cables": YES_NO,
    "vault-ventilated": YES_NO,
    "vault-flame-allowed": YES_NO,
    "can-burn": YES_NO,
    "toxic-gas-suspected": YES_NO,
    "tank-allowed": YES_NO,
    "lashed": YES_NO,
    "windy": YES_NO,
    "people-below": YES_NO,
    "old-hose-clamps": YES_NO,
    "shield-type": ["A", "B", "C", "D", "E", "F"],
}
"""Everything else that a rule, a step of a model, a warning or the cover asks for; drawn."""

NAMED = 0.8
"""Share of the jobs whose plan names a house procedure for all that is special, so that the rulebook covers them."""

SIZES: Job = {"cable-diameter": "2.05 in"}
"""Sizes that no ``when`` asks for; the opening is that of the model's example."""


def cables() -> Iterator[Job]:
    """Every combination of the facts in :data:`CABLE`, possible or not."""
    for values in product(*CABLE.values()):
        yield dict(zip(CABLE, values, strict=True))


def drawn(cable: Job, chance: random.Random) -> Job:
    """A whole job: the rest drawn, without what a fact already drawn makes impossible by its own words."""
    rest = {name: chance.choice(choices) for name, choices in REST.items()}
    if cable["location"] != "vault":
        rest["vault-ventilated"] = "no"
    if cable["work"] != "sleeve-removal" and cable["work"] != "trouble-opening":
        rest["old-adhesive"] = "other"
    if cable["core"] == "paper":
        rest["new-plant"] = "no"
    special, named = rest["special"], rest["special-procedure"]
    if cable["work"] == "inter-sheath-dam" and isinstance(special, list):
        rest["special"] = special = [each for each in special if each != "long-repair"]
    if chance.random() < NAMED and isinstance(special, list) and isinstance(named, list):
        needed = [name for name in [*special, "double-sheath"] if name not in named]
        rest["special-procedure"] = named = [*named, *needed]
    if cable["construction"] == "single" and isinstance(named, list):
        rest["special-procedure"] = [name for name in named if name != "double-sheath"]
    return {**SIZES, **cable, **rest}


def refused(job: Job, book: Rulebook) -> list[str]:
    """The reasons for which a job's facts cannot stand together."""
    problems: list[Problem] = []
    view = job_view(facts(job, NOWHERE), book, problems, NOWHERE)
    assert not problems, problems
    return [problem.expected for problem in cover.impossible(view.whole, book)]


def gaps(job: Job, book: Rulebook) -> list[str]:
    """What the rulebook does not cover of a job, in words."""
    problems: list[Problem] = []
    return cover.not_covered(job_view(facts(job, NOWHERE), book, problems, NOWHERE))
