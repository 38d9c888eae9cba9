"""The schemas of every format as files, those of the many logs included."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def schema_files() -> dict[str, bytes]:
    """Each schema as its file's name and bytes, the same every time."""
    import msgspec

    from ringcut.archive.auditreport import AuditReport
    from ringcut.archive.columns import Column, ColumnFile, Label
    from ringcut.proof.formats import schemas
    from ringcut.proof.schemas import SCALAR, Maker

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
        "columns": columns.document(ColumnFile, "The column file of a contractor's sheets"),
    }
    return {
        f"{name}.json": msgspec.json.format(msgspec.json.encode(schema), indent=2) + b"\n"
        for name, schema in sorted(found.items())
    }


def write_schemas(folder: Path) -> list[Path]:
    """Write every schema into a folder; the files written. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, data in schema_files().items():
        (folder / name).write_bytes(data)
        written.append(folder / name)
    return written
