"""Which encoding a text file is in: UTF-8 with or without a mark, UTF-16, else Windows-1252, as spreadsheets
save them.

Detection never guesses between national code pages: what is not UTF is read as Windows-1252, and that is
said.
"""

from __future__ import annotations

import codecs

import msgspec

from ringcut.reading.problems import Place, Problem, Unreadable

_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
_NOT_TEXT = (
    (b"\xd0\xcf\x11\xe0", "an old .xls workbook or other office file", "save it as .xlsx or CSV"),
    (b"PK\x03\x04", "a zip archive that is no .xlsx workbook", "save it as .xlsx or CSV"),
    (b"%PDF", "a PDF", "a table is needed: .xlsx or CSV"),
    (b"\x89PNG", "a picture", "a table is needed: .xlsx or CSV"),
    (b"\xff\xd8\xff", "a picture", "a table is needed: .xlsx or CSV"),
    (b"{\\rtf", "a rich-text document", "a table is needed: .xlsx or CSV"),
    (b"\x1f\x8b", "a compressed file", "unpack it first"),
)
_SAMPLE = 4096
_KNOWN = {"utf-8": "utf-8-sig", "utf-16": "utf-16", "windows-1252": "cp1252", "latin-1": "latin-1"}


class Decoded(msgspec.Struct, frozen=True):
    """A text, the name of its encoding, and what was lost on the way."""

    text: str
    encoding: str
    problems: tuple[Problem, ...] = ()


def decode(data: bytes, name: str, encoding: str = "") -> Decoded:
    """The text of ``data``. ``encoding`` overrules detection (UTF-8, UTF-16, Windows-1252, Latin-1).

    Raises Unreadable for what is no text at all.
    """
    for magic, what, instead in _NOT_TEXT:
        if data.startswith(magic):
            raise Unreadable([Problem(Place(name), f"this is {what}", instead)])
    if encoding:
        return _as_told(data, name, encoding)
    for mark, codec, label in _MARKS:
        if data.startswith(mark):
            return _lenient(data, name, codec, label)
    wide = _wide(data[:_SAMPLE])
    if wide:
        return _lenient(data, name, wide, "UTF-16")
    try:
        return _without_nul(Decoded(data.decode("utf-8"), "UTF-8"), name)
    except UnicodeDecodeError as error:
        if error.start >= len(data) - 3 and _has_wide_letters(data[: error.start]):
            return _lenient(data, name, "utf-8", "UTF-8")
    return _lenient(data, name, "cp1252", "Windows-1252")


def _as_told(data: bytes, name: str, encoding: str) -> Decoded:
    codec = _KNOWN.get(encoding.strip().casefold().replace("_", "-"))
    if not codec:
        known = ", ".join(sorted(_KNOWN))
        raise Unreadable([Problem(Place(name), f"encoding {encoding[:40]!r} is not known here", f"one of {known}")])
    return _lenient(data, name, codec, encoding)


def _has_wide_letters(data: bytes) -> bool:
    """There are letters beyond ASCII and all of them are good UTF-8, so a bad last one is a cut-off one."""
    return any(byte > 127 for byte in data)


def _wide(sample: bytes) -> str:
    """UTF-16 without a mark shows in a NUL at every second byte."""
    even, odd = sample[::2].count(0), sample[1::2].count(0)
    half = len(sample) // 2
    if half >= 4 and odd > 0.4 * half and even < 0.05 * half:
        return "utf-16-le"
    return "utf-16-be" if half >= 4 and even > 0.4 * half and odd < 0.05 * half else ""


def _lenient(data: bytes, name: str, codec: str, label: str) -> Decoded:
    text = data.decode(codec, errors="replace").removeprefix("\ufeff")
    problems = []
    if text.count("\ufffd"):
        line = text.count("\n", 0, text.index("\ufffd")) + 1
        found = f"{text.count(chr(0xFFFD))} characters are no {label}; the first in this line"
        problems.append(Problem(Place(name, line), found, "they are shown as \ufffd", "save the file as UTF-8"))
    return _without_nul(Decoded(text, label, tuple(problems)), name)


def _without_nul(decoded: Decoded, name: str) -> Decoded:
    """NUL characters are dropped and told; a file full of control characters is no text."""
    text = decoded.text
    sample = text[:_SAMPLE]
    odd = sum(1 for sign in sample if sign < " " and sign not in "\t\n\r\0\x0b\x0c\x1a\x1c\x1d\x1e\x1f")
    if odd > 0.1 * len(sample) or sample.count("\0") > 0.3 * max(len(sample), 1):
        raise Unreadable([Problem(Place(name), "this is no text file", "a table as .xlsx or CSV")])
    if "\0" not in text:
        return decoded
    line = text.count("\n", 0, text.index("\0")) + 1
    told = Problem(Place(name, line), f"{text.count(chr(0))} NUL characters left out; the first in this line")
    return Decoded(text.replace("\0", ""), decoded.encoding, (*decoded.problems, told))
