"""The page: wrapping keeps every letter and every width, and text from files stays harmless."""

from __future__ import annotations

import unicodedata

import hypothesis.strategies as st
import pytest
from hypothesis import given

from ringcut_cli.shown.page import Page, harmless, wide, wrapped

WORDS = st.text(st.characters(codec="utf-8"), max_size=120)


@given(WORDS, st.integers(3, 60), st.integers(3, 60))
def test_wrapping_keeps_the_text_and_the_width(text: str, first: int, rest: int) -> None:
    lines = ["".join(said for said, _ in line) for line in wrapped([(text, "")], first, rest)]
    kept = harmless(text)
    assert "".join(lines).replace(" ", "") == kept.replace(" ", "")
    for number, line in enumerate(lines):
        assert wide(line.rstrip(" ")) <= (rest if number else first)


@given(WORDS)
def test_nothing_that_commands_or_hides_gets_through(text: str) -> None:
    shown = harmless(text)
    assert [letter for letter in shown if unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Zl", "Zp")] == []
    assert harmless(shown) == shown


def test_words_break_at_blanks_and_a_long_word_is_cut() -> None:
    lines = wrapped([("tape the opening with-a-word-too-long", "")], 10)
    assert ["".join(said for said, _ in line).rstrip() for line in lines] == [
        "tape the", "opening", "with-a-wor", "d-too-long",
    ]  # fmt: skip


def test_a_field_hangs_under_its_text() -> None:
    page = Page(24, colour=False)
    page.field("do", "place the bond, then open the sheath", 2, 8)
    assert page.written() == "  do    place the bond,\n        then open the\n        sheath\n"


def test_two_ends_share_a_line_where_they_fit() -> None:
    page = Page(24, colour=False)
    page.ends([("line 7", "bold")], "bond-first")
    page.ends([("line 7  place-temporary-bond", "bold")], "bond-first")
    assert page.written() == "line 7        bond-first\nline 7\n  place-temporary-bond\n  bond-first\n"


@pytest.mark.parametrize("colour", [False, True])
def test_a_column_stays_a_column(colour: bool) -> None:
    page = Page(30, colour)
    page.row(("29 33", "test", "carbon monoxide 0 to 35 ppm"), (6, 6), styles=("bold", "", ""))
    lines = page.written().replace("\x1b[1m", "").replace("\x1b[0m", "").splitlines()
    assert lines == ["29 33   test    carbon", "                monoxide 0 to", "                35 ppm"]


def test_markup_and_emoji_names_of_the_terminal_library_are_only_text() -> None:
    page = Page(60, colour=True)
    page.text("[red]x[/red] :warning:")
    assert page.written() == "[red]x[/red] :warning:\n"


def test_columns_are_counted_as_a_terminal_shows_them() -> None:
    assert wide("½ in") == 4
    assert wide("漢字") == 4
