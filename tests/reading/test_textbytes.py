"""Bytes as text: what is accepted, and where the first wrong byte stands."""

import codecs

import pytest

from ringcut.reading.problems import Place, Problem
from ringcut.reading.textbytes import LARGEST, text_of

TEXT = "note: 5½ in, ±\nat: 7:30\n"


def read(data: bytes | str) -> tuple[str | None, list[Problem]]:
    problems: list[Problem] = []
    return text_of(data, "f.yaml", problems), problems


@pytest.mark.parametrize(
    "data",
    [
        TEXT,
        TEXT.encode(),
        codecs.BOM_UTF8 + TEXT.encode(),
        codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"),
        TEXT.replace("\n", "\r\n").encode(),
        TEXT.replace("\n", "\r").encode(),
    ],
    ids=["text", "utf-8", "utf-8 bom", "utf-16 le", "utf-16 be", "crlf", "cr"],
)
def test_encodings_and_line_ends(data: bytes | str) -> None:
    assert read(data) == (TEXT, [])


def test_a_byte_of_windows_1252_is_told_with_its_line_column_and_number() -> None:
    text, problems = read(b"a: 1\r\nb: 5\xbd in\r\n")
    assert text is None
    assert [problem.place for problem in problems] == [Place("f.yaml", 2, 5)]
    assert "0xBD" in problems[0].found and "number 11" in problems[0].found


def test_a_broken_end_of_utf_16_is_told() -> None:
    text, problems = read(codecs.BOM_UTF16_LE + "a: 1".encode("utf-16-le") + b"\x00")
    assert text is None
    assert "UTF-16" in problems[0].found


@pytest.mark.parametrize("data", [b"PK\x03\x04\0\0", b"\xff\xd8\0\xe0", "a: 1".encode("utf-16-le")])
def test_what_is_no_text_is_said_in_one_sentence(data: bytes) -> None:
    text, problems = read(data)
    assert text is None
    assert [(problem.place, problem.found) for problem in problems] == [(Place("f.yaml"), "not a text file")]


def test_every_control_character_is_told() -> None:
    text, problems = read("a: \x07\nbc: \x1b\n")
    assert text is None
    assert [problem.place for problem in problems] == [Place("f.yaml", 1, 4), Place("f.yaml", 2, 5)]


def test_a_file_that_is_too_large_is_not_read() -> None:
    text, problems = read(b" " * (LARGEST + 1))
    assert text is None
    assert len(problems) == 1 and "20 MB" in problems[0].expected
