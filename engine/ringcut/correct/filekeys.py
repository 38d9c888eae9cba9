"""Keys and values of one step changed in the text of a plan; its other lines and its comments stay."""

from __future__ import annotations

import re

from ringcut.correct.edits import Change
from ringcut.correct.filespans import NotInPlace, block_span, ends, in_flow, offset
from ringcut.draft.plantext import scalar
from ringcut.reading.phrase import Phrase
from ringcut.reading.raw import RawStep
from ringcut.reading.suggest import canonical


def changed(text: str, step: RawStep, edit: Change) -> str:
    """A reading of a step set to another value, or added."""
    found = _phrase(step, edit.reading, edit.side)
    if found is None:
        value = f"{{{edit.side}: {scalar(edit.after)}}}" if edit.side else scalar(edit.after)
        return with_key(text, step, f"{edit.reading}: {value}")
    start = offset(text, found.place.line, found.place.column)
    if found.plain:
        if not text.startswith(found.text, start):
            raise NotInPlace(f"line {found.place.line} is laid out in an unusual way")
        end = start + len(found.text)
    else:
        end = text.index(text[start], start + 1) + 1
    return text[:start] + scalar(edit.after) + text[end:]


def _phrase(step: RawStep, name: str, side: str) -> Phrase | None:
    for reading in step.readings:
        if canonical(reading.name.text) == name:
            if not side:
                return reading.value
            return next((value for label, value in reading.sides if label.text == side), None)
    return None


def with_key(text: str, step: RawStep, said: str) -> str:
    """A key and its value that the step did not have."""
    start = offset(text, step.place.line, step.place.column)
    lines = text.split("\n")
    if text[start] == "{":
        end = ends(text, start + 1)
        while text[end] == ",":
            end = ends(text, end + 1)
        return text[:end].rstrip() + f", {said}" + text[end:]
    if step.do.place == step.place:
        end = start + len(step.do.text)
        return text[:start] + f"{{do: {step.do.text}, {said}}}" + text[end:]
    if in_flow(lines, step):
        raise NotInPlace(f"line {step.place.line} is laid out in an unusual way")
    _, last, _ = block_span(lines, step)
    return "\n".join([*lines[: last + 1], " " * (step.place.column - 1) + said, *lines[last + 1 :]])


def waiting(text: str, step: RawStep, after: tuple[str, ...] | None) -> str:
    """The steps that a step waits for set to others; None takes the key away."""
    said = None if after is None else f"after: [{', '.join(scalar(each) for each in after)}]"
    if step.after is None:
        return text if said is None else with_key(text, step, said)
    if said is None:
        return without_key(text, step, "after")
    start, end = _key_span(text, step, "after")
    return text[:start] + said + text[end:]


def without_key(text: str, step: RawStep, key: str) -> str:
    """A key and its value that the step has no more."""
    start, end = _key_span(text, step, key)
    if text[start - 1 : start] in ("{", " ") and text[end : end + 1] == ",":
        return text[:start] + text[end + 1 :].lstrip(" ")
    before = text[:start].rstrip(" ")
    if before.endswith(","):
        return before[:-1] + text[end:]
    # a line of its own
    return text[: before.rindex("\n")] + text[end:]


def _key_span(text: str, step: RawStep, key: str) -> tuple[int, int]:
    """From the first letter of a key to the end of its value."""
    from_ = offset(text, step.place.line, step.place.column)
    flow = text[from_] == "{"
    if flow:
        found = re.compile(rf"(?<=[{{,\s]){key}\s*:").search(text, from_)
    else:
        found = re.compile(rf"^{' ' * (step.place.column - 1)}{key}\s*:", re.M).search(
            text, offset(text, step.place.line, 1)
        )
        if found is None and text.startswith(f"{key}:", from_):
            found = re.compile(rf"{key}\s*:").match(text, from_)
    if found is None:
        raise NotInPlace(f"line {step.place.line} is laid out in an unusual way")
    start = found.end() - len(found[0].lstrip())
    value = re.compile(r"[ \n]*").match(text, found.end())
    at = value.end() if value else found.end()
    if text[at : at + 1] == "[":
        end = ends(text, at + 1)
        while text[end] == ",":
            end = ends(text, end + 1)
        return start, end + 1
    if flow:
        return start, len(text[: ends(text, at)].rstrip())
    if text[at : at + 1] == "-":
        listed = re.compile(rf"(?:\n {{{step.place.column - 1},}}- [^\n]*)+").match(text, found.end())
        if listed is None or "#" in listed[0]:
            raise NotInPlace(f"line {step.place.line} is laid out in an unusual way")
        return start, listed.end()
    line = text[at : text.index("\n", at)] if "\n" in text[at:] else text[at:]
    return start, at + len(line.partition(" #")[0].rstrip())
