"""Edits in the text of a file give the tree that they give in memory, whatever way the steps are written."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.correct.edits import (
    Add,
    Change,
    Move,
    Name,
    Path,
    Wait,
    applied,
    bare,
    edges_of,
    leaves,
    places,
    put_in,
    taken_out,
)
from ringcut.correct.filespans import NotInPlace
from ringcut.correct.filetext import edited
from ringcut.draft.planned import set_reading
from ringcut.language.ir import Rulebook
from ringcut.reading.phrase import Phrase
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawGroup, RawStep
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
        edit: Move | Add = Move(step, path, data.draw(st.sampled_from(places(taken_out(items, path)))))
    else:
        edit = Add(RawStep(Phrase("wash-hands")), data.draw(st.sampled_from(places(items))))
    new = edited(text, (edit,))
    assert bare(read_procedure(new.encode(), "plan").steps) == bare(applied(items, edit))
    for comment in ("# top", "# the place", "# the end", "# as planned", "# cones"):
        assert (comment in text) == (comment in new)


GROUPS = """procedure: plan
job: {}
steps:
  - guard-work-area
  - any-order:
      - identify-cable   # by tag
      - do: confirm-zero
        # at the opening
        volume: core
      -
        - clean-lead
      - [scuff-lead]
  - any-order: [{do: trim-sleeve, sleeve-length: 16 in}, [trim-channel], mark-sheath]
  - shrink-sleeve
"""
"""Branches of one step, in every way to write them."""


@pytest.mark.parametrize("path", places(read_procedure(GROUPS.encode(), "plan").steps))
def test_a_step_is_added_to_every_branch(path: Path) -> None:
    text = GROUPS
    items = read_procedure(text.encode(), "plan").steps
    edit = Add(RawStep(Phrase("wash-hands")), path)
    new = edited(text, (edit,))
    assert bare(read_procedure(new.encode(), "plan").steps) == bare(applied(items, edit))
    assert "# by tag" in new
    assert "# at the opening" in new
    back = Move(edit.step, path, (0,))
    first = edited(new, (back,))
    assert bare(read_procedure(first.encode(), "plan").steps) == bare(put_in(items, (0,), edit.step))


WAITING = """procedure: plan
job: {}
steps:
  - guard-work-area
  - {do: open-sheath, after: [guard-work-area], opening-length: 14 in}   # today
  - {do: clean-lead, after: guard-work-area}
  - do: scuff-lead   # by hand
    after: clean-lead   # first
    scuffed-length: 6 in
  - do: wipe-lead
    after:
      - scuff-lead
      - clean-lead
    # damp
  - do: form-channel
    after: []
  - {do: wash-hands, after: [wipe-lead,
     clean-lead]}
"""


@pytest.mark.parametrize("at", range(7))
@pytest.mark.parametrize("after", [None, (), ("guard-work-area",), ("open-sheath", "clean-lead")])
def test_what_a_step_waits_for_is_written(at: int, after: tuple[str, ...] | None) -> None:
    items = read_procedure(WAITING.encode(), "plan").steps
    step = items[at]
    assert isinstance(step, RawStep)
    wanted = msgspec.structs.replace(step, after=None if after is None else tuple(Phrase(each) for each in after))
    new = edited(WAITING, (Wait(wanted, (at,), after),))
    read = read_procedure(new.encode(), "plan").steps
    assert [_after(each) for each in read] == [after if n == at else _after(each) for n, each in enumerate(items)]
    assert bare(read) == bare(applied(items, Wait(wanted, (at,), after)))
    for comment in ("# today", "# by hand", "# damp"):
        assert comment in new


def _after(item: RawStep | RawGroup) -> tuple[str, ...] | None:
    assert isinstance(item, RawStep)
    return None if item.after is None else tuple(phrase.text for phrase in item.after)


@pytest.mark.parametrize("at", range(7))
def test_an_id_is_written(at: int) -> None:
    items = read_procedure(WAITING.encode(), "plan").steps
    step = items[at]
    assert isinstance(step, RawStep)
    edit = Name(msgspec.structs.replace(step, id=Phrase("one")), (at,), "one")
    assert bare(read_procedure(edited(WAITING, (edit,)).encode(), "plan").steps) == bare(applied(items, edit))


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


def test_a_step_of_several_lines_goes_into_brackets_with_its_comments_above() -> None:
    text = GROUPS.replace(
        "  - shrink-sleeve\n", "  - do: shrink-sleeve   # slowly\n    # from the middle\n    note: 'no #5 tip'\n"
    )
    items = read_procedure(text.encode(), "plan").steps
    path, step = leaves(items)[-1]
    new = edited(text, (Move(step, path, (2, 1, 1)),))
    assert (
        "  # slowly\n  # from the middle\n"
        "  - any-order: [{do: trim-sleeve, sleeve-length: 16 in}, [trim-channel,"
        ' {do: shrink-sleeve, note: "no #5 tip"}], mark-sheath]\n'
    ) in new


@pytest.mark.parametrize("key", ["after: []", "at: 10:00"])
def test_what_one_line_cannot_say_is_left_to_the_hand(key: str) -> None:
    text = GROUPS.replace("  - shrink-sleeve\n", f"  - do: shrink-sleeve\n    {key}\n")
    items = read_procedure(text.encode(), "plan").steps
    path, step = leaves(items)[-1]
    with pytest.raises(NotInPlace, match="not written in one line"):
        edited(text, (Move(step, path, (2, 1, 1)),))
