"""A YAML 1.2 file as nodes with places: every error of the file at once, nothing swallowed silently.

libyaml reads the syntax; its events become nodes and never Python objects, so that ``no`` and ``12:30`` stay
text. Where the syntax is broken the line is mended in memory and the file is read again, to find what else
is wrong in it; a file with a mended line still has its problem and is never judged.
"""

from __future__ import annotations

import yaml

from ringcut.reading.problems import Place, Problem
from ringcut.reading.textbytes import LARGEST, text_of
from ringcut.reading.yamlbuild import Builder, GiveUp
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq
from ringcut.reading.yamlrepair import repair
from ringcut.reading.yamlsource import Source

__all__ = ["LARGEST", "Map", "Node", "Scalar", "Seq", "load"]

_MOST_REPAIRS = 300
_MOST_READ_AGAIN = 6_000_000
"""Characters that are parsed again after repairs, so that a large broken file does not take minutes."""


def load(data: bytes | str, file: str, problems: list[Problem]) -> Node | None:
    """The root of the file, or None where there is none; what is wrong is appended to ``problems``.

    With a problem in it a root may still come back, for other checks of the same file, never to be judged.
    """
    text = text_of(data, file, problems)
    if text is None:
        return None
    if not text.strip():
        problems.append(Problem(Place(file, 1), "the file is empty", "a YAML mapping (key: value)"))
        return None
    source = Source(text, file)
    source.take_lists_as_text()
    return _read(source, problems)


def _read(source: Source, problems: list[Problem]) -> Node | None:
    told: dict[int, Problem] = {}
    tries = max(20, min(_MOST_REPAIRS, _MOST_READ_AGAIN // max(1, len(source.text))))
    while True:
        found: list[Problem] = []
        builder = Builder(source, found)
        try:
            root = builder.build()
            break
        except GiveUp:
            root = None
            break
        except yaml.YAMLError as error:
            problem, mended = repair(source, error, builder)
            told.setdefault(problem.place.line, problem)
            tries -= 1
            if not mended or not tries:
                place = Place(source.file, problem.place.line)
                found.append(Problem(place, "from here on the file was not read", "", "mend this first"))
                root = None
                break
    problems.extend(told.values())
    problems.extend(found)
    if isinstance(root, Scalar) and root.null:
        root = None
    if root is None and not told and not found:
        problems.append(Problem(Place(source.file, 1), "the file is empty", "a YAML mapping (key: value)"))
    return root
