"""The schemas of every format as files, those of the many logs included."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ringcut.language.ir import Rulebook


def schema_files(book: Rulebook | None = None) -> dict[str, bytes]:
    """Each schema as its file's name and bytes, the same every time.

    With the names of the built-in rulebook, others passing too; or with those of ``book`` and no others.
    """
    import msgspec

    from ringcut.archive.auditreport import AuditReport
    from ringcut.archive.columns import Column, ColumnFile, Label
    from ringcut.archive.counts import Counts
    from ringcut.language.compile import compile_rulebook
    from ringcut.language.sources import read_sources
    from ringcut.proof.formats import schemas
    from ringcut.proof.schemanames import with_names
    from ringcut.proof.schemas import SCALAR, Maker
    from ringcut.rulebookfiles import builtin_rulebook

    # a column is its role, a label its fact; or each a mapping
    columns = Maker(
        {
            Column: lambda maker: {"anyOf": [SCALAR, maker.struct(Column)]},
            Label: lambda maker: {"anyOf": [SCALAR, maker.struct(Label)]},
        }
    )
    found: dict[str, dict[str, Any]] = {
        **schemas(),
        "audit-report": Maker(strict=True).document(AuditReport, "The JSON report of audit"),
        "audit-counts": Maker(strict=True).document(Counts, "The JSON of audit --counts"),
        "columns": columns.document(ColumnFile, "The column file of a contractor's sheets"),
    }
    known = book or compile_rulebook(read_sources(builtin_rulebook()))
    found = with_names(found, known, closed=book is not None)
    return {
        f"{name}.json": msgspec.json.format(msgspec.json.encode(schema), indent=2) + b"\n"
        for name, schema in sorted(found.items())
    }


def write_schemas(folder: Path, book: Rulebook | None = None) -> list[Path]:
    """Write every schema into a folder; the files written. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, data in schema_files(book).items():
        (folder / name).write_bytes(data)
        written.append(folder / name)
    return written
