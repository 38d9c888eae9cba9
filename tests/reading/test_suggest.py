"""One spelling for a name, and "did you mean" that is right or silent."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.reading import suggest
from ringcut.reading.suggest import canonical, near

STEPS = (
    "open-manhole",
    "close-manhole",
    "notify-pressure-desk",
    "place-desiccant",
    "place-temporary-bond",
    "place-permanent-bond",
    "remove-temporary-bond",
    "wrap-muslin",
    "wrap-rubber-tape",
    "test-atmosphere",
    "ventilate",
    "light-torch",
    "shut-torch",
    "scuff-lead",
    "scuff-polyethylene",
)


@pytest.mark.parametrize(
    "name",
    [
        "open-manhole",
        "Open Manhole",
        "open_manhole",
        " OPEN  manhole ",
        "open - manhole",
        "open\u00a0manhole",
        "open\u2011manhole",
    ],
)
def test_spaces_underscores_and_capitals_mean_the_same(name: str) -> None:
    assert canonical(name) == "open-manhole"


@given(st.text(max_size=30))
def test_a_canonical_name_stays_as_it_is(name: str) -> None:
    assert canonical(canonical(name)) == canonical(name)


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("notify desk", "notify-pressure-desk"),
        ("place dessicant", "place-desiccant"),
        ("opne manhole", "open-manhole"),
        ("tets atmosphere", "test-atmosphere"),
        ("ventilat", "ventilate"),
        ("ventilating", None),
        ("tape rubber wrap", "wrap-rubber-tape"),
        ("bond, temporary, place", "place-temporary-bond"),
        ("bond place temporary", "place-temporary-bond"),
        ("light the torch", "light-torch"),
        ("shut torch off", "shut-torch"),
        ("scuff leed", "scuff-lead"),
        ("LIGHT TORCH", "light-torch"),
        ("remove bond", "remove-temporary-bond"),
        # two or more would do, or none
        ("place bond", None),
        ("scuff", None),
        ("torch", None),
        ("wrap", None),
        ("make coffee", None),
        ("zzz", None),
        ("", None),
        ("-", None),
        ("x" * 500, None),
    ],
)
def test_a_suggestion_is_right_or_there_is_none(name: str, meant: str | None) -> None:
    assert near(name, STEPS) == meant


def test_synonyms_are_known_words_too() -> None:
    words = {"douse torch": "shut-torch", "because": "reason"}
    assert near("Douse Torch", STEPS, words) == "shut-torch"
    assert near("dose torch", STEPS, words) == "shut-torch"
    assert near("becuase", ["reason"], words) == "reason"


def test_never_the_opposite_of_what_was_typed() -> None:
    """``remove temp bond`` was answered with place-temporary-bond, by its synonym ``temp bond``."""
    words = {"temp bond": "place-temporary-bond"}
    assert near("remove temp bond", STEPS, words) is None
    assert near("the temp bonds", STEPS, words) == "place-temporary-bond"


def test_short_keys() -> None:
    keys = ("based-on", "in-force-from", "sorted", "finished", "do", "at", "by")
    assert [near(word, keys) for word in ("on", "sort", "finish", "od", "ab")] == [
        "based-on",
        "sorted",
        "finished",
        None,
        None,
    ]


@given(st.sampled_from(STEPS), st.data())
def test_one_wrong_letter_in_a_long_name_is_found(step: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(1, len(step) - 2))
    letter = data.draw(st.sampled_from("xqz"))
    kind = data.draw(st.sampled_from(["delete", "insert", "replace", "swap"]))
    typed = {
        "delete": step[:at] + step[at + 1 :],
        "insert": step[:at] + letter + step[at:],
        "replace": step[:at] + letter + step[at + 1 :],
        "swap": step[: at - 1] + step[at] + step[at - 1] + step[at + 1 :],
    }[kind]
    assert near(typed, STEPS) == step


@given(st.text("abcdehlnoprtw- ", max_size=20), st.randoms())
def test_the_order_of_the_known_names_does_not_matter(name: str, order: random.Random) -> None:
    shuffled = list(STEPS)
    order.shuffle(shuffled)
    assert near(name, shuffled) == near(name, STEPS)


def edits(one: str, other: str) -> int:
    """Optimal string alignment, by its definition."""
    if not one or not other:
        return len(one) + len(other)
    best = min(
        edits(one[:-1], other) + 1,
        edits(one, other[:-1]) + 1,
        edits(one[:-1], other[:-1]) + (one[-1] != other[-1]),
    )
    if len(one) > 1 and len(other) > 1 and one[-2:] == other[-1] + other[-2]:
        best = min(best, edits(one[:-2], other[:-2]) + 1)
    return best


@given(st.text("abc", max_size=5), st.text("abc", max_size=5), st.integers(0, 4))
def test_wrong_letters_are_counted_by_the_definition(one: str, other: str, most: int) -> None:
    wrong = edits(one, other)
    assert suggest._edits(one, other, most) == (wrong if wrong <= most else None)
