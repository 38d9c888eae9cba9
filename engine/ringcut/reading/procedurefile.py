"""A plan, a log or a model procedure, from a YAML or JSON file or a line of JSON Lines.

Names stay as they were typed: looking them up and reading the measures needs a vocabulary and comes later. So
a procedure with problems still comes back as far as it goes, and what the look-up finds wrong is told with
them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from ringcut.reading.jsonline import load_json
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurekeys import DOCUMENT_KEYS, KINDS, STEP_KEYS
from ringcut.reading.raw import RawProcedure, RawReading
from ringcut.reading.rawsteps import RawSteps
from ringcut.reading.suggest import canonical, near
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq, kind_of
from ringcut.reading.yamltext import load

__all__ = ["DOCUMENT_KEYS", "STEP_KEYS", "read_jsonl_line", "read_procedure", "read_raw"]


def read_procedure(data: bytes, file: str) -> RawProcedure:
    """The procedure in a YAML or JSON file. Raises Unreadable with every problem found in it."""
    problems: list[Problem] = []
    found = read_raw(data, file, problems)
    if found is None or problems:
        raise Unreadable(problems)
    return found


def read_raw(data: bytes, file: str, problems: list[Problem]) -> RawProcedure | None:
    """As :func:`read_procedure`, with the problems appended; None where nothing could be read.

    A procedure that comes back with problems is for finding more of them, never for judging.
    """
    root = load(data, file, problems)
    return None if root is None else _Reader(problems).read(root, data)


def read_jsonl_line(data: bytes, file: str, line: int) -> RawProcedure:
    """One log as a JSON object with the keys of the YAML format; ``line`` counts from 1. Raises Unreadable.

    Numbers keep their digits as typed. All places are the line: a log in a line has no other.
    """
    problems: list[Problem] = []
    root = load_json(data, Place(file, line), problems)
    found = None if root is None else _Reader(problems).read(root, data)
    if found is None or problems:
        raise Unreadable(problems)
    return found


class _Reader:
    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems

    def read(self, root: Node, data: bytes) -> RawProcedure | None:
        if not isinstance(root, Map):
            hint = "begin the file with procedure: plan, or procedure: log"
            self._tell(root.place, f"found {kind_of(root)}", "a mapping (key: value)", hint)
            return None
        known: dict[str, Node] = {}
        keys: dict[str, Phrase] = {}
        for key, value in root.entries:
            name = canonical(key.text)
            if name in ("procedure", "job", "steps"):
                known[name] = value
            elif name not in DOCUMENT_KEYS:
                self._unknown(key)
            elif not isinstance(value, Scalar):
                self._tell(value.place, f"{name}: found {kind_of(value)}", "a text")
            elif not value.null:
                keys[name] = Phrase(value.text, value.place, value.plain)
            else:
                self._tell(value.place, f"{name}: empty", "a text", "write it, or delete the line")
        kind = self._kind(root, known.get("procedure"))
        steps = RawSteps(self.problems, blanks=kind == "log")
        return RawProcedure(
            kind=kind,
            job=self._job(known.get("job"), steps.reading),
            steps=steps.read(known.get("steps"), root.place),
            keys=keys,
            place=root.place,
            digest=hashlib.sha256(data).hexdigest(),
        )

    def _tell(self, place: Place, found: str, expected: str = "", hint: str = "") -> None:
        self.problems.append(Problem(place, found, expected, hint))

    def _unknown(self, key: Scalar) -> None:
        guess = near(key.text, DOCUMENT_KEYS)
        hint = f"did you mean {guess}?" if guess else "facts go under job:, readings into a step"
        expected = "" if guess else f"one of {', '.join(DOCUMENT_KEYS)}"
        self._tell(key.place, f"{key.text} is not a key of a procedure", expected, hint)

    def _kind(self, root: Map, node: Node | None) -> str:
        """Which kind of procedure it is; a plan, told of, where the file does not say."""
        expected = "procedure: plan or procedure: log"
        if node is None:
            self._tell(root.place, "the key procedure is missing", expected)
        elif not isinstance(node, Scalar) or node.null:
            self._tell(node.place, f"procedure: found {kind_of(node)}", expected)
        elif canonical(node.text) in KINDS:
            return canonical(node.text)
        else:
            guess = near(node.text, KINDS)
            hint = f"did you mean {guess}?" if guess else ""
            self._tell(node.place, f"procedure: {node.text} is no kind of procedure", expected, hint)
        return "plan"

    def _job(self, node: Node | None, reading: Callable[[Scalar, Node], RawReading | None]) -> tuple[RawReading, ...]:
        if node is None:
            return ()
        if isinstance(node, Map):
            facts = [reading(key, value) for key, value in node.entries]
            return tuple([fact for fact in facts if fact is not None])
        hint = "write job: {location: manhole, ...}" if isinstance(node, Seq) or node.text else ""
        self._tell(node.place, f"job: found {kind_of(node)}", "a mapping of facts", hint)
        return ()
