"""What would mend a finding: the single thing that, put right, leaves nothing of it.

A mend is a step that is missing within a stretch of the procedure, one doing of a step that stands where it may not, a
reading, a fact or a time. Two findings have one cause only where one mend is enough for each of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from typing import NamedTuple

from ringcut.relations.truth import Cause
from ringcut.relations.view import View


class Mend(NamedTuple):
    """One thing to put right. See :func:`mends` for the kinds."""

    kind: str
    what: str
    """The step, the doing, the reading or the fact."""
    side: str = ""
    closure: str = ""


class Stretch(NamedTuple):
    """Where a missing step would have to stand: positions in the line of one closure, each exclusive."""

    low: int
    high: int
    closure: str = ""
    witnesses: frozenset[str] = frozenset()
    """Of a doing out of place, the conditions that say so, and the doings that it is in the wrong order with."""

    def meets(self, other: Stretch) -> Stretch | None:
        """What two stretches have in common; None where one doing cannot stand in both."""
        witnesses = self.witnesses | other.witnesses
        if self.closure != other.closure:
            return self._replace(witnesses=witnesses)
        both = Stretch(max(self.low, other.low), min(self.high, other.high), self.closure, witnesses)
        return both if both.low < both.high else None


ANYWHERE = Stretch(-1, 1 << 30)

Mends = dict[Mend, Stretch]

OUT_OF_PLACE = "out of place"
"""The kind of a mend: a doing that stands where it may not, whichever condition it breaks or lacks there."""
WITNESSES = 3
"""A doing is taken for the one out of place where so many conditions or other doings say so: of two in the wrong order
either may be the one, and two others may each have been misplaced for itself."""


def many_enough(mend: Mend, stretch: Stretch) -> bool:
    """Whether it is out of the question that each of some findings has a cause of its own."""
    return mend.kind != OUT_OF_PLACE or len(stretch.witnesses) >= WITNESSES


def surely(ways: Sequence[Sequence[Cause]], view: View, whole: bool) -> Mends:
    """The mends that are enough whichever of several ways was meant; a doing out of place in all that were begun."""
    found = _common((cause for way in ways for cause in way), view, whole)
    begun = [way for way in ways if not all(cause.never for cause in way)]
    out_of_place = _common((cause for way in begun for cause in way), view, whole)
    for mend, stretch in out_of_place.items():
        if mend.kind == OUT_OF_PLACE and len(ways) == 1:
            found[mend] = stretch
        elif mend.kind == OUT_OF_PLACE and stretch.witnesses:
            found[mend] = stretch._replace(witnesses=frozenset())
    return found


def enough(ways: Iterable[Iterable[Cause]], view: View, whole: bool) -> Mends:
    """The mends each of which is enough: it heals every cause of some way.

    ``whole``: the finding stands for all sides, so that a step is missing on all of them.
    """
    found: Mends = {}
    for way in ways:
        for mend, stretch in _common(way, view, whole).items():
            found.setdefault(mend, stretch)
    return found


def _common(causes: Iterable[Cause], view: View, whole: bool) -> Mends:
    """The mends that heal each of some causes."""
    common: Mends | None = None
    for cause in causes:
        own = mends(cause, view, whole)
        common = own if common is None else both(common, own)
    return common or {}


def both(one: Mends, other: Mends) -> Mends:
    """What two findings have in common that is enough for each."""
    met = ((mend, one[mend].meets(other[mend])) for mend in one if mend in other)
    return {mend: stretch for mend, stretch in met if stretch is not None}


def mends(cause: Cause, view: View, whole: bool = False) -> Mends:
    """Whatever, put right, heals one cause.

    A ``step`` that is missing, the ``place`` of a doing, a doing :data:`OUT_OF_PLACE`, a ``reading``, a ``fact``, a
    ``time``, times that run ``backwards``, what a ``table`` lacks.
    """
    everywhere = Stretch(-1, view.order.n, view.closure)
    side = "" if whole or cause.kind == "absent" and not view.where(cause.others) else cause.side
    found: Mends = {}
    if cause.kind in ("absent", "lost", "value"):
        stretch = _stretch(cause, view)
        if stretch is not None:
            for step, how in product(cause.others, _again(cause, view)):
                shared = view.book.steps[step].site
                found[Mend("step", step + how, side, "" if shared else view.closure)] = stretch
    for how, index in _misplaced(cause):
        found[_place("place", index, view, how)] = everywhere
    for how, index, witnesses in _out_of_place(cause):
        found[_place(OUT_OF_PLACE, index, view, how)] = everywhere._replace(witnesses=frozenset(witnesses))
    if cause.readings:
        # any of them may be the wrong one: only a rule that compares the very same has the same cause
        compared = sorted({f"{_doing(index, view)} {name}" for index, name, _ in cause.readings})
        of = {of for _, _, of in cause.readings} - {""}
        found[Mend("reading", "; ".join(compared), "" if whole else " ".join(sorted(of)), view.closure)] = everywhere
    if cause.kind == "reading":
        found[Mend("reading", f"{_doing(cause.at, view)} {cause.what}", side, view.closure)] = everywhere
    if cause.kind in ("fact", "time", "backwards", "table"):
        found[Mend(cause.kind, cause.what, side)] = everywhere
    return found


def _misplaced(cause: Cause) -> Iterator[tuple[str, int]]:
    """The doing that breaks or makes a condition at the wrong time, and how."""
    if cause.kind == "lost" and cause.at >= 0:
        yield f" ends {cause.what}", cause.at
        if cause.at == cause.use:
            yield " breaks off what was to be kept", cause.at
        elif cause.use >= 0:
            yield f" behind #{cause.at}", cause.use
    if cause.kind == "swapped" and min(cause.at, cause.by) >= 0:
        yield f" makes {cause.what} late", cause.by
        yield f" behind #{cause.at}", cause.by


def _out_of_place(cause: Cause) -> Iterator[tuple[str, int, tuple[str, ...]]]:
    """The doings that stand too early or too late, as far as one cause tells, each with what says so."""
    if cause.kind == "swapped" and min(cause.at, cause.by) >= 0:
        yield " too late", cause.by, (f"#{cause.at}",)
        yield " too early", cause.at, (f"#{cause.by}",)
    elif cause.kind in ("absent", "lost") and not cause.never and cause.use >= 0:
        yield " too early", cause.use, ()


def in_words(mend: Mend, stretch: Stretch, view: View) -> str:
    """The one thing to put right, as a person is told it."""
    side = f", side {mend.side}" if mend.side else ""
    match mend.kind:
        case "step":
            line = view.order.line
            ends = [("after", stretch.low), ("before", stretch.high)]
            where = " and ".join(f"{word} {_label(line[at], view)}" for word, at in ends if 0 <= at < len(line))
            return f"no {mend.what.split()[0]}{side}" + (f" {where}" if where else "")
        case "place" | "out of place":
            return f"the place of {_done(mend.what, view)}"
        case "reading":
            return " and ".join(_read(each, view) for each in mend.what.split("; ")) + side
        case "fact":
            return f"the job does not say: {mend.what}"
    return f"no time: {mend.what}" if mend.kind == "time" else mend.what


def _read(named: str, view: View) -> str:
    name = named.split()[2].rpartition(".")[2].replace("-", " ")
    return f"{name} of {_done(named, view)}"


def _done(named: str, view: View) -> str:
    """The doing whose step and number a text begins with."""
    step, number = named.split()[:2]
    return _label(view.by_step[step][int(number[1:])], view)


def _label(index: int, view: View) -> str:
    each = view.occurrences[index]
    return f"{each.label} (line {each.place.line})" if each.place.line else each.label


def _again(cause: Cause, view: View) -> tuple[str, ...]:
    """By whom, behind what or just before what a step would have to be done once more."""
    if cause.kind == "lost" and cause.at >= 0:
        before = (f" before {_doing(cause.use, view)}",) if cause.use >= 0 else ()
        return (f" after {_doing(cause.at, view)}", *before)
    _, by, who = cause.what.partition(" by ")
    return (" again" if cause.kind == "value" else by + who,)


def _stretch(cause: Cause, view: View) -> Stretch | None:
    """Where one of the steps that heal a cause would have to be done."""
    rank = view.order.rank
    since = cause.at if cause.kind == "lost" else -1 if cause.kind == "swapped" else cause.by
    low = rank[since] if since >= 0 else -1
    high = rank[cause.use] if cause.use >= 0 else view.order.n
    return Stretch(low, high, view.closure) if low < high else None


def _place(kind: str, index: int, view: View, how: str = "") -> Mend:
    site = view.book.steps[view.occurrences[index].step].site
    return Mend(kind, _doing(index, view) + how, "", "" if site else view.closure)


def _doing(index: int, view: View) -> str:
    """A doing by its step and number: a step for the whole site has the same number in every closure."""
    step = view.occurrences[index].step
    return f"{step} #{view.by_step[step].index(index)}"
