""".xlsx workbooks, through openpyxl, which is an optional extra; damaged and hostile ones end in a located
message.

A workbook is a zip archive of XML: before it is parsed its size unpacked is limited and document type
definitions (which can explode) are refused. Each sheet is read row by row. A formula counts for the result
that the spreadsheet saved with it; without one it is a formula that was not computed.
"""

from __future__ import annotations

import datetime
import io
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from typing import Any

import msgspec

from ringcut.archive.cells import Cell, Row
from ringcut.reading.problems import Place, Problem, Unreadable

LARGEST_UNPACKED = 60_000_000
"""Bytes of all parts together; a larger workbook is refused before it is unpacked."""

MOST_ROWS = 200_000
MOST_COLUMNS = 500
_MOST_PARTS = 2_000
_CHUNK = 1 << 16
_EPOCH_DAYS = (
    datetime.date(1899, 12, 30),
    datetime.date(1899, 12, 31),
    datetime.date(1900, 1, 1),
    datetime.date(1904, 1, 1),
)


class Sheet(msgspec.Struct):
    """A worksheet: its name and rows."""

    name: str
    rows: list[Row]
    problems: list[Problem] = []


def is_workbook(data: bytes) -> bool:
    """It is a zip archive with the parts of a workbook; raises nothing."""
    if not data.startswith(b"PK"):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return any(name.startswith("xl/") for name in archive.namelist())
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return b"xl/" in data


def read_workbook(data: bytes, name: str) -> list[Sheet]:
    """Every worksheet that has a cell. Raises Unreadable for damaged, locked, too large or hostile
    workbooks."""
    try:
        import openpyxl
    except ImportError:
        hint = "install ringcut[xlsx], or save the file as CSV"
        raise Unreadable(
            [Problem(Place(name), "reading .xlsx needs openpyxl, which is not installed", "", hint)]
        ) from None
    _check_parts(data, name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            shown = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            typed = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
            pairs = zip(shown.worksheets, typed.worksheets, strict=True)
            return [sheet for left, right in pairs if (sheet := _read_sheet(left, right, name)).rows]
        except Unreadable:
            raise
        except Exception as error:  # a damaged part can fail anywhere in the parser
            raise _damaged(name, f"{type(error).__name__}: {str(error)[:120]}") from error


def _damaged(name: str, why: str) -> Unreadable:
    return Unreadable(
        [
            Problem(
                Place(name),
                f"the workbook is damaged ({why})",
                "",
                "open it and save it again as .xlsx or CSV",
            )
        ]
    )


def _check_parts(data: bytes, name: str) -> None:
    """Unpacked size, and no document type definition in any XML part."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            if any(part.flag_bits & 1 for part in parts):
                raise Unreadable([Problem(Place(name), "the workbook is locked with a password", "save it without")])
            total = sum(part.file_size for part in parts)
            if total > LARGEST_UNPACKED or len(parts) > _MOST_PARTS:
                found = f"unpacked the workbook has {total:,} bytes in {len(parts)} parts"
                expected = f"at most {LARGEST_UNPACKED:,} bytes in {_MOST_PARTS:,} parts"
                raise Unreadable([Problem(Place(name), found, expected, "save the sheet as CSV")])
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    _check_part(archive, part, name)
    except (
        zipfile.BadZipFile,
        zlib.error,
        OSError,
        EOFError,
        ValueError,
        NotImplementedError,
        RuntimeError,
    ) as error:
        raise _damaged(name, str(error)[:120]) from error


def _check_part(archive: zipfile.ZipFile, part: zipfile.ZipInfo, name: str) -> None:
    with archive.open(part) as stream:
        tail = b""
        while chunk := stream.read(_CHUNK):
            seen = (tail + chunk).replace(b"\0", b"")
            if b"<!DOCTYPE" in seen or b"<!ENTITY" in seen:
                raise Unreadable(
                    [
                        Problem(
                            Place(name),
                            f"{part.filename} holds a document type definition",
                            "none is allowed",
                        )
                    ]
                )
            tail = chunk[-24:]


def _read_sheet(shown: Any, typed: Any, name: str) -> Sheet:
    sheet = Sheet(str(shown.title), [], [])
    shown.reset_dimensions()
    typed.reset_dimensions()
    for line, (left, right) in enumerate(zip(shown.iter_rows(), typed.iter_rows(), strict=False), start=1):
        if line > MOST_ROWS:
            sheet.problems.append(Problem(Place(name, line), f"more than {MOST_ROWS:,} rows; the rest is left out"))
            break
        sheet.rows.append(Row(line, tuple(_cells(left, right, line))))
    while sheet.rows and sheet.rows[-1].blank:
        sheet.rows.pop()
    return sheet


def _cells(shown: tuple[Any, ...], typed: tuple[Any, ...], line: int) -> Iterator[Cell]:
    for number, (left, right) in enumerate(zip(shown[:MOST_COLUMNS], typed[:MOST_COLUMNS], strict=False), start=1):
        yield _cell(left, right, line, number)


def _cell(shown: Any, typed: Any, line: int, column: int) -> Cell:
    value, formula = shown.value, typed.value
    if value is None and formula is not None:
        said = formula if isinstance(formula, str) else getattr(formula, "text", None) or "="
        return Cell(str(said), line, column, "formula")
    if value is None:
        return Cell("", line, column)
    if getattr(shown, "data_type", "") == "e":
        return Cell(str(value), line, column, "error")
    if isinstance(value, bool):
        return Cell("TRUE" if value else "FALSE", line, column)
    if isinstance(value, int | float):
        return Cell(_number(value, str(getattr(shown, "number_format", "") or "")), line, column, "number")
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        return _moment(value, line, column)
    return Cell(str(value), line, column)


def _number(value: float, shape: str) -> str:
    """The number as its cell shows it, as far as that changes its meaning: a percentage is shown as one."""
    if "%" in shape.split(";", maxsplit=1)[0].replace('"%"', ""):
        return f"{float(f'{value * 100:.10g}'):.10g}%"
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else f"{value:.12g}"


def _moment(value: Any, line: int, column: int) -> Cell:
    if isinstance(value, datetime.timedelta):
        seconds = int(value.total_seconds()) % 86400
        value = datetime.time(seconds // 3600, seconds // 60 % 60, seconds % 60)
    if isinstance(value, datetime.datetime) and value.date() in _EPOCH_DAYS:
        value = value.time()
    if isinstance(value, datetime.time):
        value = value.replace(microsecond=0, tzinfo=None)
        return Cell(value.isoformat("minutes" if not value.second else "seconds"), line, column, "time", value)
    if not isinstance(value, datetime.datetime):
        value = datetime.datetime(value.year, value.month, value.day)
    value = value.replace(microsecond=0, tzinfo=None)
    only_day = value.time() == datetime.time()
    text = value.date().isoformat() if only_day else value.isoformat(" ", "minutes")
    return Cell(text, line, column, "date", value)
