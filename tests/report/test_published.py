"""The published JSON: one object for one file, a list for several, a file that cannot be read without a verdict."""

from __future__ import annotations

import json

from ringcut.reading.problems import Place, Problem
from ringcut.report.published import encoded, not_read

BAD = not_read("p.yaml", [Problem(Place("p.yaml", 7, 3), "gaurd", "", "did you mean guard?")])


def test_a_file_that_cannot_be_read_has_problems_and_no_verdict() -> None:
    assert json.loads(encoded([BAD])) == {
        "file": "p.yaml",
        "problems": [
            {
                "file": "p.yaml", "line": 7, "column": 3, "letter": "", "found": "gaurd", "expected": "",
                "hint": "did you mean guard?",
            }
        ],
    }  # fmt: skip


def test_several_are_a_list_in_the_order_given() -> None:
    other = not_read("a.yaml", [])
    assert [each["file"] for each in json.loads(encoded([BAD, other]))["reports"]] == ["p.yaml", "a.yaml"]


def test_it_ends_with_one_newline() -> None:
    assert encoded([BAD]).endswith(b"}\n")
