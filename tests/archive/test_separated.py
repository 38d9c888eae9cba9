"""Separated values against the standard library's reader, and where that one would go wrong."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.separated import find_layout, read_rows, split_lines
from ringcut.reading.problems import Problem

CELL = st.text(st.sampled_from('ab,;" \u00bd-1'), max_size=6)


def rows(text: str, separator: str = "") -> tuple[list[list[str]], list[Problem]]:
    lines = split_lines(text)
    problems: list[Problem] = []
    found = read_rows(lines, find_layout(lines, separator), "x.csv", problems)
    return [[cell.text for cell in row.cells] for row in found], problems


@given(
    st.lists(st.lists(CELL, min_size=2, max_size=4), min_size=1, max_size=5),
    st.sampled_from([",", ";", "\t"]),
)
def test_what_a_spreadsheet_writes_reads_back(table: list[list[str]], separator: str) -> None:
    """Oracle: the standard library's writer."""
    stream = io.StringIO()
    csv.writer(stream, delimiter=separator).writerows(table)
    assert rows(stream.getvalue(), separator) == (table, [])


def test_a_cell_over_several_lines_is_one_row() -> None:
    assert rows('a,b\n1,"two\nlines"\n3,4\n') == ([["a", "b"], ["1", "two\nlines"], ["3", "4"]], [])


def test_a_lost_quote_costs_its_row_and_not_the_rest() -> None:
    found, problems = rows('a,b,c\n1,"2,3\n4,5,6\n7,8,9\n')
    assert found == [["a", "b", "c"], ["1", '"2', "3"], ["4", "5", "6"], ["7", "8", "9"]]
    assert [(each.place.line, "quote" in each.found) for each in problems] == [(2, True)]


def test_inch_marks_without_quotes_stay() -> None:
    assert rows('a,b\n5",5-1/2"\n"5" bolt",x\n')[0][1:] == [['5"', '5-1/2"'], ['"5" bolt"', "x"]]


def test_mixed_line_ends() -> None:
    assert rows("a,b\r\n1,2\r3,4\n5,6")[0] == [["a", "b"], ["1", "2"], ["3", "4"], ["5", "6"]]


@pytest.mark.parametrize(
    ("text", "separator"),
    [
        ("a,b\n1,2\n", ","),
        ("a;b\n1,5;2,5\n3,5;4,5\n", ";"),
        ("a\tb\n1, x\t2\n", "\t"),
        ("sep=;\na;b,c,d\n", ";"),
        ("title\n\na;b;c\n1;2;3\n", ";"),
    ],
)
def test_separator_is_found(text: str, separator: str) -> None:
    assert find_layout(split_lines(text)).separator == separator
