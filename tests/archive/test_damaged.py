"""Two hundred damaged files, made by a seeded generator: each ends in a result or in a located message.

Encodings, separators, quotes, cut lines, NUL bytes, huge cells, mixed line ends, formula cells, zip and
entity bombs.
"""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from ringcut.archive.columnfile import read_columns
from ringcut.archive.columns import ColumnFile
from ringcut.archive.jobs import read_jobs
from ringcut.archive.jsonlines import read_json_lines
from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.logs import ReadLog
from ringcut.archive.spreadsheets import Reading, read_spreadsheet
from ringcut.reading.problems import Problem, Unreadable

Damage = Callable[[bytes, random.Random], bytes]


def cut(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(1, max(2, len(data)))]


def flip(data: bytes, chance: random.Random) -> bytes:
    made = bytearray(data)
    for _ in range(chance.randrange(1, 30)):
        made[chance.randrange(len(made))] = chance.randrange(256)
    return bytes(made)


def drop(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + data[at + chance.randrange(1, 200) :]


def repeat(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + data[max(0, at - 300) :]


def nul(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + b"\0" * chance.randrange(1, 40) + data[at:]


def quotes(data: bytes, chance: random.Random) -> bytes:
    made = data
    for _ in range(chance.randrange(1, 6)):
        at = chance.randrange(len(made))
        made = made[:at] + b'"' + made[at:]
    return made


def line_ends(data: bytes, chance: random.Random) -> bytes:
    return b"".join(line + chance.choice((b"\r\n", b"\n", b"\r", b"\r\r\n")) for line in data.splitlines())


def separators(data: bytes, chance: random.Random) -> bytes:
    return bytes(chance.choice(b",;\t") if each in b",;" and chance.random() < 0.2 else each for each in data)


def encoding(data: bytes, chance: random.Random) -> bytes:
    text = data.decode("cp1252", errors="replace")
    return text.encode(chance.choice(("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32")), "replace")


def huge(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + chance.choice((b"9", b"x", b"[", b"(", b'""', b",", b"1/2 ")) * 60_000 + data[at:]


def nothing(data: bytes, chance: random.Random) -> bytes:
    return chance.choice((b"", b"\xff\xfe", b"\n\n\n", b"\0" * 50, b",,,\r\n" * 9, b"PK\x03\x04xl/", b"%PDF-1.7"))


TEXT_DAMAGE = (cut, flip, drop, repeat, nul, quotes, line_ends, separators, encoding, huge, nothing)
BOOK_DAMAGE = (cut, flip, drop, repeat, nul)


def book(chance: random.Random) -> bytes:
    """A workbook with formulas, dates and errors in it."""
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    sheet.append(["Order no", "HV-9"])
    sheet.append(["Step done", "Finished", "Check", "Gauge (psi)", "Notes"])
    for _ in range(20):
        values = ("zero check", "=A1", "#REF!", 0.5, 1e300, -3, True, "9:10", "4-Mar", "x" * 500, None)
        sheet.append([chance.choice(values) for _ in range(5)])
    data = io.BytesIO()
    made.save(data)
    return data.getvalue()


def rezip(data: bytes, change: Callable[[str, bytes], bytes]) -> bytes:
    """The workbook with its parts changed."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            new.writestr(part, change(part, old.read(part)))
    return made.getvalue()


def part_damage(data: bytes, chance: random.Random) -> bytes:
    """One part of the workbook damaged, the zip archive whole."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        victim = chance.choice(archive.namelist())
    damage = chance.choice((cut, flip, drop))
    return rezip(data, lambda part, body: damage(body, chance) if part == victim and body else body)


def bomb(data: bytes, chance: random.Random) -> bytes:
    """A part that unpacks to far more than a workbook may have."""
    return rezip(data, lambda part, body: b" " * 70_000_000 if part.endswith("sheet1.xml") else body)


def entities(data: bytes, chance: random.Random) -> bytes:
    """A document type definition that explodes when it is expanded."""
    lines = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 9))
    head = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a0 "ha">{lines}]>'.encode()
    return rezip(data, lambda part, body: head + body if part.endswith("sheet1.xml") else body)


def far_cell(data: bytes, chance: random.Random) -> bytes:
    """One cell at the far corner of a sheet, so that all rows before it seem to be there."""
    row = b'<row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>far</t></is></c></row></sheetData>'
    return rezip(data, lambda part, body: body.replace(b"</sheetData>", row) if part.endswith("sheet1.xml") else body)


HOSTILE_BOOKS = (bomb, entities, far_cell)


def outcome(body: bytes, name: str, lexicon: RulebookLexicon, columns: ColumnFile) -> Reading | tuple[Problem, ...]:
    """The reading, or the problems; any other exception fails the test."""
    try:
        return read_spreadsheet(body, name, lexicon, columns)
    except Unreadable as error:
        return error.problems


def check(found: Reading | tuple[Problem, ...], name: str) -> None:
    if isinstance(found, tuple):
        assert found
        assert all(each.place.file == name and each.found for each in found)
        return
    assert found.tables
    assert all(each.place.file.startswith(name) and each.says for each in found.not_taken)
    assert all(each.rows for each in found.assumptions)


@pytest.mark.parametrize("seed", range(100))
def test_damaged_csv(seed: int, data: Path, lexicon: RulebookLexicon, columns_c: ColumnFile) -> None:
    chance = random.Random(seed)
    body = (data / "contractor-c.csv").read_bytes()
    for _ in range(chance.randrange(1, 3)):
        body = chance.choice(TEXT_DAMAGE)(body, chance) or b"x"
    check(outcome(body, "damaged.csv", lexicon, columns_c), "damaged.csv")


@pytest.fixture(scope="module")
def columns_f(data: Path, lexicon: RulebookLexicon) -> ColumnFile:
    return read_columns(data / "f.yaml", "f.yaml", lexicon)


@pytest.mark.parametrize("seed", range(47))
def test_damaged_workbook(seed: int, lexicon: RulebookLexicon, columns_f: ColumnFile) -> None:
    chance = random.Random(1000 + seed)
    body = book(chance)
    harm = part_damage if chance.random() < 0.6 else chance.choice(BOOK_DAMAGE)
    check(outcome(harm(body, chance), "damaged.xlsx", lexicon, columns_f), "damaged.xlsx")


@pytest.mark.parametrize("harm", HOSTILE_BOOKS)
def test_hostile_workbook(harm: Damage, lexicon: RulebookLexicon, columns_f: ColumnFile) -> None:
    chance = random.Random(7)
    found = outcome(harm(book(chance), chance), "hostile.xlsx", lexicon, columns_f)
    check(found, "hostile.xlsx")
    refused = {bomb: "unpacked the workbook has", entities: "document type definition"}
    if harm in refused:
        assert isinstance(found, tuple) and refused[harm] in found[0].found
    else:
        assert isinstance(found, Reading) and "the rest is left out" in found.problems[0].found


@pytest.mark.parametrize("seed", range(50))
def test_damaged_json_lines(seed: int, data: Path) -> None:
    chance = random.Random(2000 + seed)
    body = (data / "g.jsonl").read_bytes() * 3
    for _ in range(chance.randrange(1, 3)):
        body = chance.choice(TEXT_DAMAGE)(body, chance) or b"x"
    lines = body.splitlines(keepends=True)
    for each in read_json_lines(lines, "damaged.jsonl"):
        place = each.raw.place if isinstance(each, ReadLog) else each.place
        assert place.file == "damaged.jsonl"
        assert 1 <= place.line <= len(lines)


@pytest.mark.parametrize("seed", range(30))
def test_damaged_column_and_jobs_files(seed: int, data: Path, lexicon: RulebookLexicon) -> None:
    chance = random.Random(3000 + seed)
    for name in ("contractor-c.yaml", "workorders.csv"):
        body = chance.choice(TEXT_DAMAGE)((data / name).read_bytes(), chance)
        try:
            if name.endswith(".csv"):
                read_jobs(body, name, lexicon)
            else:
                read_columns(body, name, lexicon)
        except Unreadable as error:
            assert all(each.place.file == name for each in error.problems)


@pytest.mark.parametrize("body", [b"(" * 60_000, b"1/2 " * 15_000 + b",x\n", b'""' * 30_000, b"9" * 60_000])
def test_a_huge_first_cell_does_not_hang_the_search_for_a_heading(body: bytes, lexicon: RulebookLexicon) -> None:
    """Regression: a heading of 60,000 brackets was taken apart for minutes."""
    with pytest.raises(Unreadable, match="not the product's own log form"):
        read_spreadsheet(body, "huge.csv", lexicon)
