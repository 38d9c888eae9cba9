"""A drafted plan as the file a person reads: YAML with estimates and the headings of its model."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping

from ringcut.draft.models import Items
from ringcut.reading.phrase import Phrase
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep
from ringcut.reading.suggest import canonical

_SAFE = re.compile(r"[A-Za-z0-9#%°½¼¾][A-Za-z0-9 ./'%°½¼¾_-]*")
_SPECIAL = ("#", "%")


def plan_text(
    raw: RawProcedure,
    header: Iterable[str],
    headings: Mapping[int, str],
    comments: Mapping[int, str],
    fact_comments: Mapping[str, str],
) -> str:
    """The file. ``headings`` by line of the model, ``comments`` by step in list order, ``fact_comments`` by fact."""
    lines = [f"# {line}".rstrip() for line in header]
    lines += ["procedure: plan", "job:"]
    for fact in raw.job:
        name = canonical(fact.name.text)
        lines.append(_with(f"  {name}: {_value(fact)}", fact_comments.get(name, "")))
    if not raw.job:
        lines[-1] = "job: {}"
    lines.append("steps:")
    lines += _steps(raw.steps, "  ", headings, comments, iter(range(1_000_000)), [0])
    return "\n".join(lines) + "\n"


def step_text(step: RawStep) -> str:
    """One step as it stands behind the dash of a list."""
    parts = [f"do: {scalar(canonical(step.do.text))}"]
    for name, phrase in (("id", step.id), ("closure", step.closure), ("optional", step.optional), ("note", step.note)):
        parts += [f"{name}: {scalar(phrase.text)}"] if phrase else []
    for name, phrases in (
        ("after", step.after or ()),
        ("side", step.side),
        ("by", step.by),
        ("evidence", step.evidence),
    ):
        parts += [f"{name}: {_list(phrases)}"] if phrases else []
    parts += [f"{canonical(reading.name.text)}: {_value(reading)}" for reading in step.readings]
    return canonical(step.do.text) if len(parts) == 1 else "{" + ", ".join(parts) + "}"


def scalar(text: str) -> str:
    """A text as YAML writes it: in quotes where it could be read as something else."""
    plain = _SAFE.fullmatch(text) and not text.startswith(_SPECIAL) and text == text.strip()
    if plain and " #" not in text and text.lower() not in ("null", "~"):
        return text
    return json.dumps(text, ensure_ascii=False)


def _steps(
    items: Items,
    indent: str,
    headings: Mapping[int, str],
    comments: Mapping[int, str],
    count: Iterator[int],
    told: list[int],
) -> list[str]:
    lines: list[str] = []
    for item in items:
        above = [at for at in headings if told[0] < at < item.place.line]
        if above:
            told[0] = max(above)
            lines.append(f"{indent}# {headings[told[0]]}")
        if isinstance(item, RawGroup):
            lines.append(f"{indent}- any-order:")
            for branch in item.branches:
                lines += _branch(branch, indent + "    ", headings, comments, count, told)
        else:
            lines.append(_with(f"{indent}- {step_text(item)}", comments.get(next(count), "")))
    return lines


def _branch(
    branch: Items,
    indent: str,
    headings: Mapping[int, str],
    comments: Mapping[int, str],
    count: Iterator[int],
    told: list[int],
) -> list[str]:
    inner = _steps(branch, indent + "  ", {}, comments, count, told)
    if len(branch) == 1:
        return [line[2:] if line.startswith(indent + "  ") else line for line in inner]
    return [f"{indent}-", *inner]


def _value(reading: RawReading) -> str:
    if reading.is_list:
        return _list(reading.items)
    if reading.sides:
        return "{" + ", ".join(f"{scalar(side.text)}: {scalar(text.text)}" for side, text in reading.sides) + "}"
    return scalar(reading.value.text) if reading.value else ""


def _list(phrases: Iterable[Phrase]) -> str:
    return "[" + ", ".join(scalar(phrase.text) for phrase in phrases) + "]"


def _with(line: str, comment: str) -> str:
    return f"{line}   # {comment}" if comment else line
