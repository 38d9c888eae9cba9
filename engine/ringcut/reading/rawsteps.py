"""The steps of a procedure file: bare names, mappings with ``do``, groups in any order."""

from __future__ import annotations

import re
from typing import Any

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.procedurekeys import INSTEAD_OF_DO, STEP_KEYS
from ringcut.reading.raw import RawGroup, RawReading, RawStep
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq, kind_of

__all__ = ["RawSteps"]

_KEYS = frozenset(STEP_KEYS)
_SEVERAL = frozenset(["after", "by", "side", "evidence"])
_GLUED = re.compile(r"(?P<name>[^\W\d][\w -]*):(?P<value>[^\s/].*)")
_ANY_ORDER = "any-order"


class RawSteps:
    """Reads steps, facts and readings; with ``blanks`` an empty value is one that was not recorded."""

    def __init__(self, problems: list[Problem], blanks: bool) -> None:
        self._problems = problems
        self._blanks = blanks

    def read(self, node: Node | None, root: Place) -> tuple[RawStep | RawGroup, ...]:
        """The steps of the procedure; ``root`` is told where there are none at all."""
        if node is None:
            self._tell(root, "the key steps is missing", "steps: and a list")
            return ()
        if isinstance(node, Seq):
            if not node.items:
                self._tell(node.place, "steps: the list is empty", "at least one step")
            return self._sequence(node)
        dash = isinstance(node, Scalar) and node.text.startswith("-")
        hint = "a blank is missing after the dash" if dash else "write each step in a line of its own, as - name"
        self._tell(node.place, f"steps: found {kind_of(node)}", "a list of steps", hint)
        return ()

    def reading(self, key: Scalar, node: Node) -> RawReading | None:
        """A reading or a fact: one value, a value a side, or a list; None where there is nothing to read."""
        name = Phrase(key.text, key.place, key.plain)
        if isinstance(node, Scalar):
            value = self._value(node, key.text)
            return RawReading(name, value) if value else None
        if isinstance(node, Seq):
            items = [self._value(item, key.text) for item in node.items]
            return RawReading(name, items=tuple([item for item in items if item]), is_list=True)
        sides = []
        for side, inside in node.entries:
            value = self._value(inside, f"{key.text} {side.text}")
            if value:
                sides.append((Phrase(side.text, side.place, side.plain), value))
        if not node.entries:
            self._tell(node.place, f"{key.text}: empty", "a value, or a value a side")
        return RawReading(name, sides=tuple(sides)) if sides else None

    def _tell(self, place: Place, found: str, expected: str = "", hint: str = "") -> None:
        self._problems.append(Problem(place, found, expected, hint))

    def _value(self, node: Node, name: str) -> Phrase | None:
        if not isinstance(node, Scalar):
            self._tell(node.place, f"{name}: found {kind_of(node)}", "a value")
        elif not node.null:
            return Phrase(node.text, node.place, node.plain)
        elif not self._blanks:
            self._tell(node.place, f"{name}: empty", "a value", "write it, or delete the key")
        return None

    def _sequence(self, node: Seq) -> tuple[RawStep | RawGroup, ...]:
        steps = [self._item(item) for item in node.items]
        return tuple([step for step in steps if step is not None])

    def _item(self, node: Node) -> RawStep | RawGroup | None:
        if isinstance(node, Scalar):
            return self._bare(node)
        if isinstance(node, Seq):
            self._tell(node.place, "a list among the steps", "a step", "steps in no order go under any-order:")
            return None
        for key, value in node.entries:
            if canonical(key.text) == _ANY_ORDER:
                return self._group(node, key, value)
        return self._step(node)

    def _bare(self, node: Scalar) -> RawStep | None:
        if node.null:
            self._tell(node.place, "an empty step", "the name of a step", "delete the dash")
            return None
        glued = _GLUED.fullmatch(node.text) if node.plain else None
        if glued:
            found = "a blank is missing after the colon"
            self._tell(node.place, found, "", f"write {glued['name']}: {glued['value']}")
            return None
        return RawStep(Phrase(node.text, node.place, node.plain), place=node.place)

    def _group(self, node: Map, key: Scalar, value: Node) -> RawGroup | None:
        for other, _ in node.entries:
            if other is not key:
                self._tell(other.place, f"{other.text} beside any-order", "", "give it to a step inside")
        if not isinstance(value, Seq):
            self._tell(value.place, f"any-order: found {kind_of(value)}", "a list of steps or sequences")
            return None
        if not value.items:
            self._tell(value.place, "any-order: the list is empty", "at least one step")
        branches = []
        for item in value.items:
            if isinstance(item, Seq):
                if not item.items:
                    self._tell(item.place, "an empty sequence in any-order", "at least one step")
                branches.append(self._sequence(item))
            else:
                step = self._item(item)
                branches.append((step,) if step else ())
        return RawGroup(tuple([branch for branch in branches if branch]), node.place)

    def _step(self, node: Map) -> RawStep | None:
        values: dict[str, Any] = {}
        readings: list[RawReading] = []
        if not any(canonical(key.text) == "do" for key, _ in node.entries):
            return self._without_do(node)
        for key, value in node.entries:
            name = canonical(key.text)
            if name not in _KEYS:
                reading = self.reading(key, value)
                readings.extend([reading] if reading else [])
            elif name == "do":
                values["do"] = self._name(value)
            elif name in _SEVERAL:
                self._several(name, value, values)
            else:
                values[name] = self._value(value, name)
        if values["do"] is None:
            return None
        return RawStep(readings=tuple(readings), place=node.place, **values)

    def _name(self, node: Node) -> Phrase | None:
        if isinstance(node, Scalar) and not node.null:
            return Phrase(node.text, node.place, node.plain)
        found = "empty" if isinstance(node, Scalar) else f"found {kind_of(node)}"
        self._tell(node.place, f"do: {found}", "the name of a step")
        return None

    def _several(self, name: str, node: Node, values: dict[str, Any]) -> None:
        """One or a list; ``after: []`` says that nothing comes before, which is more than no ``after``."""
        items = node.items if isinstance(node, Seq) else [node]
        found = [self._value(item, name) for item in items]
        if isinstance(node, Seq) or any(found):
            values[name] = tuple([item for item in found if item])

    def _without_do(self, node: Map) -> RawStep | None:
        """A mapping that names its step in another way; the name and what is below it are still looked up."""
        if not node.entries:
            self._tell(node.place, "an empty step", "do: and the name of a step")
            return None
        key, value = node.entries[0]
        for other, step in node.entries:
            if canonical(other.text) in INSTEAD_OF_DO and isinstance(step, Scalar) and step.text:
                found = f"{other.text} is not the key of a step's name"
                self._tell(other.place, found, "", f"write do: {step.text}")
                return None
        if canonical(key.text) in _KEYS:
            self._tell(node.place, "the key do is missing", "do: and the name of a step")
            return None
        name = canonical(key.text)
        below = "" if isinstance(value, Scalar) and value.null else ", and its readings under it as keys"
        self._tell(key.place, f"{key.text}: is a step without do", "", f"write do: {name}{below}")
        if not isinstance(value, Map):
            inside = Map(node.entries[1:], node.place)
        else:
            inside = Map([*value.entries, *node.entries[1:]], node.place)
        return self._step(Map([(Scalar("do", True, key.place), key), *inside.entries], node.place))
