"""Job facts on their way into a plan: from options, a packet or answers, each checked as a plan's facts are."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ringcut.draft.models import HERE, NO_PLACES, Job, Model, Places, facts, job_view
from ringcut.judge import cover
from ringcut.language import ir
from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical

NOT_KNOWN = ("not known", "unknown", "not-known", "?", "don't know", "do not know")
"""Answers that are none: the plan keeps place for every case."""

_SIDES = re.compile(r"^\{?\s*A\s*[:= ]\s*(?P<A>[^,;]+?)\s*[,;]\s*B\s*[:= ]\s*(?P<B>[^,;]+?)\s*\}?$")
_LIST = re.compile(r"^\[(?P<items>.*)\]$")


def said_as(text: str) -> str | dict[str, str] | list[str]:
    """A fact as typed on one line: ``lead``, ``A lead, B polyethylene`` or ``[long-repair]``."""
    text = text.strip()
    listed = _LIST.match(text)
    if listed:
        return [item.strip() for item in listed["items"].split(",") if item.strip()]
    sides = _SIDES.match(text)
    return {"A": sides["A"], "B": sides["B"]} if sides else text


def as_typed(fact: str | dict[str, str] | list[str]) -> str:
    """A fact on one line, as :func:`said_as` reads it."""
    if isinstance(fact, dict):
        return ", ".join(f"{side} {text}" for side, text in fact.items())
    return f"[{', '.join(fact)}]" if isinstance(fact, list) else fact


def is_not_known(text: str) -> bool:
    """Whether an answer says that the answer is not known."""
    return text.strip().lower() in NOT_KNOWN


def problems_of(job: Job, book: ir.Rulebook, place: Place, places: Places = NO_PLACES) -> list[Problem]:
    """Everything that is wrong with some job facts, by the reader that plans are read with."""
    problems: list[Problem] = []
    view = job_view(facts(job, place, places), book, problems, place)
    return problems or cover.impossible(view.whole, book)


def one_for_both(job: Job, model: Model) -> list[Problem]:
    """Facts that are given once for a work that lies where they change, such as an auxiliary between two sheaths."""
    differing = {canonical(each.name.text): each for each in model.raw.job if each.sides}
    found = []
    for name, text in job.items():
        if name in differing and isinstance(text, str):
            example = ", ".join(f"{side.text} {value.text}" for side, value in differing[name].sides)
            hint = f"say which side has which, as {name}: {example}"
            found.append(Problem(HERE, f"{name}: {text} for both sides", f"{name} of each side, which differ", hint))
    return found


def merged(*jobs: Mapping[str, str | dict[str, str] | list[str]]) -> Job:
    """Facts of several sources under one spelling of their names; a later one counts."""
    found: Job = {}
    for job in jobs:
        for name, value in job.items():
            found[canonical(name)] = value
    return found
