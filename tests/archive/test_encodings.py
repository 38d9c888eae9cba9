"""Encodings that spreadsheets write."""

from __future__ import annotations

import pytest

from ringcut.archive.encodings import decode
from ringcut.reading.problems import Unreadable

TEXT = "WO,Bond\r\nHV-1,5½\r\n"


@pytest.mark.parametrize(
    ("codec", "label"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("utf-32", "UTF-32"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_encoding_is_found(codec: str, label: str) -> None:
    found = decode(TEXT.encode(codec), "x.csv")
    assert (found.text, found.encoding, found.problems) == (TEXT, label, ())


def test_a_letter_cut_off_at_the_end_does_not_change_the_encoding() -> None:
    found = decode("5½,5½".encode()[:-1], "x.csv")
    assert (found.text, found.encoding) == ("5½,5\ufffd", "UTF-8")
    assert "are no UTF-8" in found.problems[0].found


def test_the_column_file_overrules() -> None:
    assert decode("5½".encode("cp1252"), "x.csv", "Windows-1252").text == "5½"
    with pytest.raises(Unreadable, match="not known here"):
        decode(b"x", "x.csv", "ebcdic")


def test_nul_bytes_are_left_out_and_told() -> None:
    found = decode(b"a,b\n1,\0\x002\n" + b"c,d\n" * 9, "x.csv")
    assert found.text.startswith("a,b\n1,2\n")
    assert "2 NUL characters left out" in found.problems[0].found
    assert found.problems[0].place.line == 2


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"\xd0\xcf\x11\xe0rest", "old .xls"),
        (b"PK\x03\x04rest", "no .xlsx workbook"),
        (b"%PDF-1.7", "a PDF"),
        (bytes(range(1, 9)) * 40, "no text file"),
    ],
)
def test_what_is_no_text_is_refused(data: bytes, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        decode(data, "x.csv")
