"""An order found as a graph, written as a plan again: with as few ``after`` changed as keep what the rules need."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Set

import msgspec

from ringcut.correct.edits import (
    Add,
    Demand,
    Edit,
    Move,
    Name,
    Path,
    Wait,
    demanded,
    exchanged,
    leaves,
    part,
    places,
    put_in,
    taken_out,
)
from ringcut.correct.graph import Graph, Labels, Waiting, graph_of
from ringcut.correct.graphsearch import Ordering, Placing
from ringcut.draft.models import Items
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place
from ringcut.reading.raw import RawGroup, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.order import bits

After = tuple[str, ...] | None


class Woven(msgspec.Struct, frozen=True):
    """The plan with the order that was found, the edits of its text, and how many ``after`` of other steps changed."""

    items: Items
    edits: tuple[Edit, ...]
    placings: tuple[Placing, ...]
    others: int = 0


class Weaver:
    """Writes orders of one plan. ``holds`` says whether an order breaks nothing; ``usual``: neighbours in the model."""

    def __init__(
        self, original: Items, numbers: dict[Place, int], labels: Labels, holds: Callable[[Graph], bool],
        usual: Set[tuple[str, str]],
    ) -> None:  # fmt: skip
        self.original, self.numbers, self.labels, self.holds, self.usual = original, numbers, labels, holds, usual

    def woven(self, ordering: Ordering) -> Woven:
        """The plan as text would have it; with the same order, or one that demands less where that holds too."""
        numbers = dict(self.numbers)
        for edit in ordering.edits:
            numbers.setdefault(edit.step.place, edit.at)
        one = _Weaving(self, ordering, numbers)
        return one.woven()


class _Weaving:
    """One order being written."""

    def __init__(self, weaver: Weaver, ordering: Ordering, numbers: dict[Place, int]) -> None:
        self.weaver, self.ordering, self.numbers = weaver, ordering, numbers
        self.before = ordering.graph.before()
        self.kinds = {edit.step.place: edit.kind for edit in ordering.edits if edit.kind != "demand"}
        for edit in ordering.edits:
            weaver.labels.name(edit.step)

    def woven(self) -> Woven:
        placed = [edit for edit in self.ordering.edits if edit.kind in ("move", "add")]
        current, edits = self._placed(placed)
        for edit in self.ordering.edits:
            if edit.kind == "demand":
                path = path_of(current, edit.step.place)
                needed = demanded(next(step for each, step in leaves(current) if each == path))
                current = exchanged(current, path, needed)
                edits.append(Demand(needed, path))
        items = current
        for step, after in self._differing(items):
            items = exchanged(items, path_of(items, step.place), _waiting(step, after))
        items = self._named(self._simplified(items))
        final = {step.place: step for _, step in leaves(items)}
        edits = [Add(final[edit.step.place], edit.end) if isinstance(edit, Add) else edit for edit in edits]
        added = {edit.step.place for edit in edits if isinstance(edit, Add)}
        for path, step in leaves(current):
            new = final[step.place]
            if step.place in added:
                continue
            if _after(step) != _after(new):
                edits.append(Wait(msgspec.structs.replace(step, after=new.after), path, _after(new)))
            if new.id is not None and step.id is None:
                edits.append(Name(new, path, new.id.text))
        return Woven(items, tuple(edits), self.ordering.edits, self._others(items))

    # where a step stands in the list

    def _placed(self, placed: list[Placing]) -> tuple[Items, list[Edit]]:
        current, edits = self.weaver.original, list[Edit]()
        pending = {edit.step.place for edit in placed if edit.kind == "move"}
        for edit in sorted(placed, key=lambda edit: self.before[edit.at].bit_count()):
            pending.discard(edit.step.place)
            start: Path = path_of(current, edit.step.place) if edit.kind == "move" else ()
            current = taken_out(current, start) if start else current
            end = self._best_place(current, edit, pending)
            current = put_in(current, end, edit.step)
            edits.append(Move(edit.step, start, end) if start else Add(edit.step, end))
        return current, edits

    def _best_place(self, items: Items, edit: Placing, pending: Set[Place]) -> Path:
        was = next((path for path, each in leaves(self.weaver.original) if each.place == edit.step.place), (0,))
        ranked = []
        for place in places(items):
            tried = part(put_in(items, place, edit.step), lambda step: step.place not in pending)
            differ = sum(1 for _ in self._differing(tried))
            ranked.append((self._lost(tried), differ, -self._usual_pairs(tried), abs(place[0] - was[0]), place))
        return min(ranked)[-1]

    def _lost(self, items: Items) -> int:
        """Steps that come before nothing although the list does not end with them."""
        there = sum(1 << self.numbers[step.place] for _, step in leaves(items))
        behind = 0
        for at in bits(there):
            behind |= self.before[at]
        return (there & ~behind & ~_above(items, self.numbers)[1]).bit_count()

    def _usual_pairs(self, items: Items) -> int:
        names = [self.weaver.labels.name_of(step.do.text) for _, step in leaves(items)]
        return sum(pair in self.weaver.usual for pair in zip(names, names[1:], strict=False))

    # what each step waits for

    def _differing(self, items: Items) -> Iterator[tuple[RawStep, After]]:
        """Steps whose ``after`` has to change so that the order is the one found, with what they wait for then."""
        there = sum(1 << self.numbers[step.place] for _, step in leaves(items))
        for step, above in _above(items, self.numbers)[0]:
            own = above if step.after is None else self._mask(step)
            wanted = self.before[self.numbers[step.place]] & there
            if self._closed(own) & there != wanted:
                yield step, self._labels(wanted, step)

    def _mask(self, step: RawStep) -> int:
        return sum({self._named_mask(phrase.text) for phrase in step.after or ()})

    def _named_mask(self, text: str) -> int:
        return 1 << self.numbers[self.weaver.labels.place(text)]

    def _closed(self, mask: int) -> int:
        for at in bits(mask):
            mask |= self.before[at]
        return mask

    def _labels(self, mask: int, step: RawStep) -> tuple[str, ...]:
        """The last steps of those that come before, behind those that a step waits for as it is written."""
        kept = () if step.place in self.kinds else (_after(step) or ())
        kept = tuple(each for each in kept if self._named_mask(each) & mask)
        last = mask & ~self._closed(sum(self._named_mask(each) for each in kept))
        for at in bits(last):
            last &= ~self.before[at]
        return (*kept, *(self._label(at) for at in bits(last)))

    def _label(self, at: int) -> str:
        return self.weaver.labels.name(self.ordering.graph.steps[at])

    # as little as will do

    def _simplified(self, items: Items) -> Items:
        texts = {step.place: _after(step) for _, step in leaves(self.weaver.original)}
        for _, step in leaves(items):
            if _after(step) == texts.get(step.place) and step.place not in self.kinds:
                continue
            kind = self.kinds.get(step.place)
            own = texts.get(step.place)
            for after in self._simpler(items, step, own) if kind else (own,):
                tried = exchanged(items, path_of(items, step.place), _waiting(step, after))
                if self._holds(tried):
                    items = tried
                    break
        return self._without_double(items, texts)

    def _without_double(self, items: Items, texts: dict[Place, After]) -> Items:
        """What a step waits for that another of those waits for already is not said again."""
        before = graph_of(items, dict(self.numbers), self.weaver.labels).before()
        for _, step in leaves(items):
            after = _after(step) or ()
            if step.place in self.kinds or after == (texts.get(step.place) or ()):
                continue
            masks = {each: self._named_mask(each) for each in after}
            behind = [before[mask.bit_length() - 1] for mask in masks.values()]
            kept = tuple(each for each, mask in masks.items() if not any(mask & one for one in behind))
            items = exchanged(items, path_of(items, step.place), _waiting(step, kept if after else _after(step)))
        return items

    def _holds(self, items: Items) -> bool:
        try:
            graph = graph_of(items, dict(self.numbers), self.weaver.labels)
            graph.before()
        except Waiting:
            return False
        return self.weaver.holds(graph)

    def _simpler(self, items: Items, step: RawStep, own: After) -> Iterator[After]:
        """What a step may wait for instead, the most natural first."""
        if step.after is None:
            return
        at = self.numbers[step.place]
        if self.kinds[step.place] != "wait":
            yield None
            yield own
        else:
            above = next(above for each, above in _above(items, self.numbers)[0] if each.place == step.place)
            own = own if own is not None else tuple(self._label(number) for number in bits(above))
            yield None
        name = self.weaver.labels.name_of
        earlier = sorted(bits(self.before[at]), key=lambda number: self.before[number].bit_count(), reverse=True)
        pairs = [
            n for n in earlier
            if (name(self.ordering.graph.steps[n].do.text), name(step.do.text)) in self.weaver.usual
        ]  # fmt: skip
        yield from ((self._label(number),) for number in pairs)
        if own and self.kinds[step.place] == "wait":
            for number in reversed(earlier):
                if self._label(number) not in own:
                    yield (*own, self._label(number))
        yield from ((self._label(number),) for number in earlier)

    # ids

    def _named(self, items: Items) -> Items:
        """An id for each step that an ``after`` means and that its name alone does not tell."""
        said = {canonical(phrase.text) for _, step in leaves(items) for phrase in step.after or ()}
        names = [self.weaver.labels.name_of(step.do.text) for _, step in leaves(items)]
        ids = {canonical(step.id.text) for _, step in leaves(items) if step.id}
        meant = {self.weaver.labels.place(text): text for text in said if text not in ids}
        for path, step in leaves(items):
            text = meant.get(step.place)
            name = self.weaver.labels.name_of(step.do.text)
            if text is None or self.weaver.labels.name_of(text) == name and names.count(name) == 1:
                continue
            items = exchanged(items, path, msgspec.structs.replace(step, id=Phrase(text)))
        return items

    def _others(self, items: Items) -> int:
        texts = {step.place: _after(step) for _, step in leaves(self.weaver.original)}
        return sum(
            step.place in texts and step.place not in self.kinds and _after(step) != texts[step.place]
            for _, step in leaves(items)
        )


def path_of(items: Items, place: Place) -> Path:
    """Where a step stands in a tree."""
    return next(path for path, step in leaves(items) if step.place == place)


def _after(step: RawStep) -> After:
    return None if step.after is None else tuple(phrase.text for phrase in step.after)


def _waiting(step: RawStep, after: After) -> RawStep:
    return msgspec.structs.replace(step, after=None if after is None else tuple(Phrase(each) for each in after))


def _above(items: Items, numbers: dict[Place, int]) -> tuple[list[tuple[RawStep, int]], int]:
    """Each step with those that the list puts right before it; and those with which it ends."""
    found: list[tuple[RawStep, int]] = []

    def inside(items: Items, above: int) -> int:
        for item in items:
            if isinstance(item, RawGroup):
                exits = 0
                for branch in item.branches:
                    exits |= inside(branch, above) if branch else 0
                above = exits or above
            else:
                found.append((item, above))
                above = 1 << numbers[item.place]
        return above

    ends = inside(items, 0)
    return found, ends
