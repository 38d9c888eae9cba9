"""Edits in the text of a file give the tree that they give in memory, whatever way the steps are written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.correct.correcting import bare
from ringcut.correct.edits import Add, Change, Move, applied, edges_of, leaves, places, taken_out
from ringcut.correct.filespans import NotInPlace
from ringcut.correct.filetext import edited
from ringcut.draft.planned import set_reading
from ringcut.language.ir import Rulebook
from ringcut.reading.phrase import Phrase
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawStep
from ringcut.relations.resolve import resolve

BLOCK = """# top
procedure: plan
job: {work: trouble-opening}
steps:
  # the place
  - guard-work-area   # cones
  - do: open-sheath
    # as planned
    opening-length: 14 in
  - {do: wrap-rubber-tape, layers: 2,
     overlap: {A: 1 in, B: "1-1/8 in"}}

  - any-order:
      - [identify-cable, check-foreign-voltage, {do: confirm-zero, volume: core}]
      - pump-water
  # the end
  - shrink-sleeve
  - do: cool-closure
"""
FLOW = """procedure: plan
job: {}
steps: [guard-work-area, {do: open-sheath, opening-length: 14 in}, {any-order: [[a-b, c], d]}, shrink-sleeve]
"""


@given(data=st.data(), text=st.sampled_from([BLOCK, FLOW]))
def test_moves_and_additions(data: st.DataObject, text: str) -> None:
    items = read_procedure(text.encode(), "plan").steps
    if data.draw(st.booleans()):
        path, step = data.draw(st.sampled_from(leaves(items)))
        if text is FLOW and len(path) > 1:
            return
        edit: Move | Add = Move(step, path, data.draw(st.sampled_from(places(taken_out(items, path)))))
    else:
        edit = Add(RawStep(Phrase("wash-hands")), data.draw(st.sampled_from(places(items))))
    try:
        new = edited(text, (edit,))
    except NotInPlace:
        assert len(edit.end) > 1
        assert text is BLOCK
        return
    assert bare(read_procedure(new.encode(), "plan").steps) == bare(applied(items, edit))
    for comment in ("# top", "# the place", "# the end", "# as planned", "# cones"):
        assert (comment in text) == (comment in new)


@pytest.mark.parametrize(
    ("text", "step", "reading", "side", "after", "told"),
    [
        (BLOCK, "open-sheath", "opening-length", "", "15 in", "    opening-length: 15 in\n"),
        (BLOCK, "wrap-rubber-tape", "layers", "", "3", "layers: 3,\n"),
        (BLOCK, "wrap-rubber-tape", "overlap", "B", "7/8 in", "overlap: {A: 1 in, B: 7/8 in}}\n"),
        (BLOCK, "wrap-rubber-tape", "width", "", "2 in", ', B: "1-1/8 in"}, width: 2 in}\n'),
        (BLOCK, "shrink-sleeve", "x", "", "1", "  - {do: shrink-sleeve, x: 1}\n"),
        (BLOCK, "cool-closure", "x", "", "1", "  - do: cool-closure\n    x: 1\n"),
        (FLOW, "open-sheath", "opening-length", "", "15 in", "opening-length: 15 in}"),
    ],
)
def test_changes(text: str, step: str, reading: str, side: str, after: str, told: str) -> None:
    items = read_procedure(text.encode(), "plan").steps
    path, found = next((path, each) for path, each in leaves(items) if each.do.text == step)
    edit = Change(set_reading(found, reading, side, after), path, reading, side, "", after)
    new = edited(text, (edit,))
    assert told in new
    assert bare(read_procedure(new.encode(), "plan").steps) == bare(applied(items, edit))


def test_edges_are_those_of_the_reader(book: Rulebook) -> None:
    raw = read_procedure(BLOCK.encode(), "plan")
    assert sorted(edges_of(raw.steps)) == sorted(resolve(raw, book, []).edges)
