"""The numbers of a drawing: every piece as long as the plan says, at the place that the plan says."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from ringcut.checking import read
from ringcut.draft.drafting import draft
from ringcut.draft.drawing import drawings_of
from ringcut.draft.models import Job, Model
from ringcut.draft.pieces import Drawing
from ringcut.language.ir import Rulebook

INCH = Fraction("0.0254")
JOB = "work: trouble-opening, sheath: lead, cable-diameter: 2.05 in"


def drawn(book: Rulebook, steps: str, job: str = JOB) -> Drawing:
    data = f"procedure: plan\njob: {{{job}}}\nsteps: [{steps}]\n"
    (drawing,) = drawings_of(read(data.encode(), "plan.yaml", book), book)
    return drawing


def inches(drawing: Drawing, kind: str, side: str = "") -> tuple[Fraction | int, Fraction | int]:
    piece = drawing.of(kind, side)
    assert piece is not None, kind
    return piece.start / INCH, piece.end / INCH


LEAD = (
    "{do: open-sheath, opening-length: 14 in}, wrap-muslin,"
    "{do: place-permanent-bond, bar-length: 15 in, bar-angle: 12 o'clock},"
    "{do: wrap-rubber-tape, overlap: {A: 1 in, B: 2 in}}, {do: scuff-lead, scuffed-length: 7 in},"
    "{do: trim-sleeve, sleeve-length: 29 in}, {do: trim-channel, channel-length: 28 in},"
    "{do: assemble-sleeve, bond-length: {A: 5-1/2 in, B: 5 in}}, {do: turn-channel, channel-angle: 7 o'clock}"
)


def test_a_lead_opening_piece_by_piece(book: Rulebook) -> None:
    found = drawn(book, LEAD)
    assert inches(found, "opening") == (-7, 7)
    assert inches(found, "muslin") == (-7, 7)
    assert inches(found, "bar") == (Fraction(-15, 2), Fraction(15, 2))
    assert inches(found, "rubber-tape") == (-8, 9)
    assert inches(found, "scuffed", "A") == (-14, -7)
    assert inches(found, "bond", "A") == (Fraction(-27, 2), -8)
    assert inches(found, "bond", "B") == (9, 14)
    # 27-1/2 in are needed of 29: 3/4 in are left on each side
    assert inches(found, "sleeve") == (Fraction(-57, 4), Fraction(59, 4))
    assert inches(found, "channel") == (Fraction(-55, 4), Fraction(57, 4))
    assert found.diameter == Fraction("2.05") * INCH
    assert found.lacking == ()


def test_bar_and_channel_on_the_circle(book: Rulebook) -> None:
    found = drawn(book, LEAD)
    assert found.bar_angle == 0
    assert found.channel_angle == 210
    assert found.apart == 150


def test_the_channel_lies_where_it_was_turned_to_last(book: Rulebook) -> None:
    steps = "{do: assemble-sleeve, channel-angle: 12 o'clock}, {do: turn-channel, channel-angle: 3:30}"
    assert drawn(book, steps).channel_angle == 105


def test_across_twelve_the_short_way_counts(book: Rulebook) -> None:
    """350 and 10 degrees are 20 apart."""
    steps = "{do: place-permanent-bond, bar-angle: 350 deg}, {do: turn-channel, channel-angle: 10 deg}"
    assert drawn(book, steps).apart == 20


def test_a_dam_with_clamps_pads_and_aluminum(book: Rulebook) -> None:
    steps = (
        "{do: remove-outer-sheath, section-length: 7 in}, fit-bond-clamps,"
        "{do: place-pads, pads: 2, pad-length: 6 in, pad-overlap: 4 in}, {do: tie-bar, width: 3/4 in},"
        "{do: tape-clamps, width: 2 in, reach: 1 in}, {do: wrap-aluminum-tape, width: 4 in, reach: 2 in},"
        "{do: trim-sleeve, sleeve-length: 23 in}, {do: assemble-sleeve, bond-length: 5-1/2 in}"
    )
    found = drawn(book, steps, "work: inter-sheath-dam, sheath: polyethylene, cable-diameter: 2 in")
    half = Fraction(7, 2)
    assert found.place is not None and found.place.kind == "inner-sheath"
    assert inches(found, "pads") == (-4, 4)
    assert inches(found, "tie") == (Fraction(-3, 8), Fraction(3, 8))
    assert inches(found, "clamp", "B") == (half, half)
    # an inch of the 2 in tape lies over the opening, so 5 of the 7 in stay free
    assert inches(found, "clamp-tape", "B") == (half - 1, half + 1)
    assert inches(found, "clamp-tape", "A") == (-half - 1, -half + 1)
    assert inches(found, "aluminum-tape", "B") == (half - 2, half + 2)
    assert inches(found, "bond", "B") == (half + 2, half + Fraction(15, 2))
    assert inches(found, "sleeve") == (Fraction(-23, 2), Fraction(23, 2))


def test_where_the_ends_differ_each_is_scuffed_as_its_sheath_is(book: Rulebook) -> None:
    """Both lengths were drawn over each other on both sides."""
    steps = (
        "{do: scuff-lead, scuffed-length: 6 in}, {do: scuff-polyethylene, scuffed-length: 7 in},"
        "{do: assemble-sleeve, bond-length: 5 in}"
    )
    job = "work: auxiliary-repair, sheath: {A: lead, B: polyethylene}, opening-length: 3 in"
    found = drawn(book, steps, job)
    assert inches(found, "old-step") == (Fraction(-3, 2), Fraction(3, 2))
    assert inches(found, "scuffed", "A") == (Fraction(-15, 2), Fraction(-3, 2))
    assert inches(found, "scuffed", "B") == (Fraction(3, 2), Fraction(17, 2))
    assert len([piece for piece in found.pieces if piece.kind == "scuffed"]) == 2


def test_an_old_sleeve_that_comes_off_is_no_closure(book: Rulebook) -> None:
    found = drawn(book, "slit-old-sleeve, peel-old-sleeve", "work: sleeve-removal, opening-length: 8 in")
    assert found.pieces == ()
    assert "the side view, because an old sleeve comes off and no new one goes on" in found.lacking


def test_a_sleeve_that_is_too_short_is_drawn_too_short(book: Rulebook) -> None:
    steps = "{do: trim-sleeve, sleeve-length: 12 in}, {do: assemble-sleeve, bond-length: 5 in}"
    found = drawn(book, steps, "work: sheath-repair, opening-length: 4 in")
    assert found.place is not None and found.place.kind == "damage"
    assert inches(found, "sleeve") == (-6, 6)
    assert inches(found, "bond", "B") == (2, 7)


def test_the_latest_doing_counts(book: Rulebook) -> None:
    steps = "{do: trim-sleeve, sleeve-length: 30 in}, {do: trim-sleeve, sleeve-length: 26 in}"
    assert inches(drawn(book, f"{{do: open-sheath, opening-length: 14 in}}, {steps}"), "sleeve") == (-13, 13)


def test_what_a_plan_does_not_say_is_said_and_not_drawn(book: Rulebook) -> None:
    found = drawn(book, "open-sheath, wrap-muslin, assemble-sleeve", "work: trouble-opening")
    assert found.pieces == ()
    assert found.lacking == (
        "the side view, because the length of the opening is not in the plan",
        "the height of the cable, because its diameter is not in the plan",
        "the channel around the cable, because its angle is not in the plan",
    )


def test_a_sleeve_without_a_length_is_said(book: Rulebook) -> None:
    found = drawn(book, "{do: open-sheath, opening-length: 14 in}, assemble-sleeve")
    assert found.of("sleeve") is None
    assert "the sleeve, because the length it is trimmed to is not in the plan" in found.lacking


def test_of_a_tolerance_the_middle_is_drawn(book: Rulebook) -> None:
    found = drawn(book, "{do: open-sheath, opening-length: 14 in ± 1/4 in}")
    assert inches(found, "opening") == (-7, 7)


def test_two_closures_are_two_drawings(book: Rulebook) -> None:
    data = """procedure: plan
job: {work: trouble-opening, sheath: lead}
steps:
  - {do: open-sheath, closure: one, opening-length: 14 in}
  - {do: open-sheath, closure: two, opening-length: 10 in}
"""
    found = drawings_of(read(data.encode(), "plan.yaml", book), book)
    assert [(each.closure, inches(each, "opening")) for each in found] == [("one", (-7, 7)), ("two", (-5, 5))]


quarters = st.integers(1, 80).map(lambda number: Fraction(number, 4))


@given(opening=quarters, over_a=quarters, over_b=quarters, bond_a=quarters, bond_b=quarters, spare=quarters)
def test_lengths_add_up_and_the_sleeve_is_as_long_as_it_is_cut(
    book: Rulebook, opening: Fraction, over_a: Fraction, over_b: Fraction, bond_a: Fraction, bond_b: Fraction,
    spare: Fraction,
) -> None:  # fmt: skip
    cut = opening + over_a + over_b + bond_a + bond_b + spare
    steps = (
        f"{{do: open-sheath, opening-length: {float(opening)} in}},"
        f"{{do: wrap-rubber-tape, overlap: {{A: {float(over_a)} in, B: {float(over_b)} in}}}},"
        f"{{do: trim-sleeve, sleeve-length: {float(cut)} in}},"
        f"{{do: assemble-sleeve, bond-length: {{A: {float(bond_a)} in, B: {float(bond_b)} in}}}}"
    )
    found = drawn(book, steps)
    sleeve, first, second = found.of("sleeve"), found.of("bond", "A"), found.of("bond", "B")
    assert sleeve and first and second
    assert sleeve.length == cut * INCH
    assert first.start - sleeve.start == sleeve.end - second.end == spare * INCH / 2
    assert (first.length, second.length) == (bond_a * INCH, bond_b * INCH)


LONG = "work: sheath-repair, sheath: lead, cable-diameter: 2 in, opening-length: 40 in, special: [long-repair]"


def test_the_sleeves_of_a_long_repair_lie_over_each_other(book: Rulebook) -> None:
    """40 in, 5-1/2 in of bond and 1/2 in a side are 52 in: two pieces of 28-1/2 in lie 5 in over each other."""
    steps = (
        "{do: trim-sleeve, sleeve-length: 28-1/2 in, pieces: 2}, {do: assemble-sleeve, bond-length: 5-1/2 in},"
        "{do: overlap-sleeve, overlap: 5 in, covered-length: 52 in}, {do: assemble-sleeve, bond-length: 5-1/2 in}"
    )
    found = drawn(book, steps, LONG)
    assert inches(found, "sleeve") == (-26, Fraction(5, 2))
    assert inches(found, "next-sleeve") == (Fraction(-5, 2), 26)
    assert [each.words for each in found.lengths if each.kind == "sleeve-overlap"] == ["5 in"]
    assert [each.words for each in found.lengths if each.kind == "covered"] == ["52 in"]
    assert inches(found, "bond", "A") == (Fraction(-51, 2), -20)
    assert not any("sleeve" in each for each in found.lacking)


def test_sleeves_whose_pieces_are_not_said_are_not_drawn(book: Rulebook) -> None:
    steps = (
        "{do: trim-sleeve, sleeve-length: 28 in}, assemble-sleeve, {do: overlap-sleeve, overlap: 5 in}, assemble-sleeve"
    )
    found = drawn(book, steps, LONG)
    assert found.of("sleeve") is None
    assert any("how many pieces" in each for each in found.lacking)


def test_a_strap_has_no_angle_to_be_lacking(book: Rulebook) -> None:
    job = "work: auxiliary-repair, sheath: {A: lead, B: polyethylene}, cable-diameter: 2 in, opening-length: 3 in"
    strap = drawn(book, "{do: place-permanent-bond, conductor: strap}", job)
    assert not any("the bar" in each for each in strap.lacking)
    bar = drawn(book, "{do: place-permanent-bond, conductor: bar}", job)
    assert any("the bar" in each for each in bar.lacking)


def test_a_change_of_diameter_is_said_not_to_be_drawn(lead: Job, book: Rulebook, models: list[Model]) -> None:
    """Both ends were drawn alike, and the card did not say that one of them is thinner."""
    special = ["diameter-change"]
    job: Job = {**lead, "second-diameter": "1.5 in", "special": special, "special-procedure": special}
    (drawing,) = drawings_of(read(draft(job, book, models).text.encode(), "plan.yaml", book), book)
    assert any("change of diameter and its ramp: both ends are drawn 2.05 in thick" in each for each in drawing.lacking)
    (plain,) = drawings_of(read(draft(lead, book, models).text.encode(), "plan.yaml", book), book)
    assert plain.lacking == ()
