"""A plan put into the order of the model procedure of its job: a way on where no edit for itself helps any more.

What the plan has stays as far as it stands in the model's order already; the rest of its steps move beside the
neighbours they have there, and what only the model has is added.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable

from ringcut.correct.seats import Edited, Kind
from ringcut.draft.models import Items
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawStep


def modelled(
    items: Items, usual: list[RawStep], name_of: Callable[[RawStep], str], new: Callable[[RawStep], RawStep]
) -> Edited | None:
    """The plan in the model's order; None for one with groups or ``after``. ``new`` makes a step to add of a model's.

    A doing that the model does not have keeps its place behind the step above it.
    """
    steps = [item for item in items if isinstance(item, RawStep) and item.after is None]
    if len(steps) != len(items) or len({step.place for step in steps}) != len(steps):
        return None
    ranks = _ranks(steps, usual, name_of)
    stay = _longest_rising([rank for rank in ranks if rank is not None])
    kinds: dict[Place, Kind] = {}
    ordered: dict[float, list[RawStep]] = {}
    last = -1.0
    for step, rank in zip(steps, ranks, strict=True):
        if rank is None:
            ordered.setdefault(last, []).append(step)
            continue
        if rank in stay:
            last = rank
        else:
            kinds[step.place] = "move"
        ordered.setdefault(rank, []).insert(0, step)
    for rank, step in enumerate(usual):
        if rank not in ordered or not any(name_of(each) == name_of(step) for each in ordered[rank]):
            added = new(step)
            kinds[added.place] = "add"
            ordered.setdefault(rank, []).insert(0, added)
    return Edited(tuple(step for rank in sorted(ordered) for step in ordered[rank]), kinds)


def _ranks(steps: list[RawStep], usual: list[RawStep], name_of: Callable[[RawStep], str]) -> list[int | None]:
    """For each step its number in the model: the next free one of its name, else the last."""
    free: dict[str, list[int]] = {}
    for rank, step in enumerate(usual):
        free.setdefault(name_of(step), []).append(rank)
    found: list[int | None] = []
    for number, step in enumerate(steps):
        left = free.get(name_of(step), [])
        later = sum(name_of(each) == name_of(step) for each in steps[number + 1 :])
        # Of several doings in the model the last are those that the plan has, where it has fewer.
        while len(left) > later + 1:
            left.pop(0)
        found.append(left.pop(0) if left else None)
    return found


def _longest_rising(ranks: list[int]) -> set[int]:
    """The members of a longest rising part of a list of different numbers."""
    ends: list[int] = []
    chains: list[tuple[int, ...]] = []
    for rank in ranks:
        at = bisect_left(ends, rank)
        chain = (*(chains[at - 1] if at else ()), rank)
        ends[at : at + 1] = [rank]
        chains[at : at + 1] = [chain]
    return set(chains[-1]) if chains else set()
