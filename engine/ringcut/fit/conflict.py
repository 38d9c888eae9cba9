"""Minimal conflicts of any set, by asking only whether a part of it can hold together.

A conflict is a set that cannot hold together; it is minimal if it can as soon as any one member is taken
out. The members may be anything; the oracle says True, False, or ``GaveUp``, and what it says of a set
must imply the same of its subsets (taking members out never makes it worse).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from typing import TypeVar

from ringcut.fit.answers import GaveUp

Member = TypeVar("Member")
Oracle = Callable[[tuple[Member, ...]], bool | GaveUp]


class _Stopped(Exception):
    def __init__(self, answer: GaveUp) -> None:
        self.answer = answer


def minimal_conflict(members: Sequence[Member], consistent: Oracle[Member]) -> tuple[Member, ...] | GaveUp:
    """One minimal conflict among ``members``, in their order, given that all together cannot hold.

    QuickXplain (Junker, AAAI-04): members that come first are preferred in the conflict, so list the
    important ones first. It is empty where the oracle refuses even the empty set. Cost: about k log(n/k)
    questions for a conflict of k among n. Raises ValueError where the members can hold together.
    """
    try:
        if _ask(consistent, tuple(members)):
            raise ValueError("no conflict: the members can hold together")
        if not members or not _ask(consistent, ()):
            return ()
        chosen = _explain((), False, tuple(range(len(members))), members, consistent)
    except _Stopped as stopped:
        return stopped.answer
    return tuple(members[number] for number in sorted(chosen))


def all_minimal_conflicts(
    members: Sequence[Member], consistent: Oracle[Member]
) -> tuple[tuple[Member, ...], ...] | GaveUp:
    """Every minimal conflict, each in the order of ``members``, fewest members first; for small sets.

    Each set that takes a member out of every conflict known is asked; one that still cannot hold has a
    new conflict (Reiter's hitting sets). When all can hold, every conflict is known. Cost: exponential in
    their number.
    """
    numbers = tuple(range(len(members)))
    known: list[tuple[int, ...]] = []

    def ask(part: tuple[int, ...]) -> bool | GaveUp:
        return consistent(tuple(members[number] for number in part))

    try:
        if not _ask(ask, ()):
            return ((),)
        while (rest := _uncovered(numbers, known, ask)) is not None:
            found = minimal_conflict(rest, ask)
            if isinstance(found, GaveUp):
                return found
            known.append(found)
    except _Stopped as stopped:
        return stopped.answer
    ordered = sorted(known, key=lambda conflict: (len(conflict), conflict))
    return tuple(tuple(members[number] for number in conflict) for conflict in ordered)


def _explain(
    held: tuple[int, ...],
    grew: bool,
    among: tuple[int, ...],
    members: Sequence[Member],
    consistent: Oracle[Member],
) -> tuple[int, ...]:
    # What of ``among`` is needed, besides what is held, for a conflict; ``grew`` if held was just added to.
    if grew and not _ask(consistent, tuple(members[number] for number in sorted(held))):
        return ()
    if len(among) == 1:
        return among
    half = len(among) // 2
    early, late = among[:half], among[half:]
    of_late = _explain((*held, *early), True, late, members, consistent)
    of_early = _explain((*held, *of_late), bool(of_late), early, members, consistent)
    return (*of_early, *of_late)


def _uncovered(numbers: tuple[int, ...], known: Sequence[tuple[int, ...]], ask: Oracle[int]) -> tuple[int, ...] | None:
    hitting = {frozenset(choice) for choice in product(*known)}
    smallest = [taken for taken in hitting if not any(other < taken for other in hitting)]
    for taken in sorted(smallest, key=sorted):
        rest = tuple(number for number in numbers if number not in taken)
        if not _ask(ask, rest):
            return rest
    return None


def _ask(consistent: Oracle[Member], part: tuple[Member, ...]) -> bool:
    answer = consistent(part)
    if isinstance(answer, GaveUp):
        raise _Stopped(answer)
    return answer
