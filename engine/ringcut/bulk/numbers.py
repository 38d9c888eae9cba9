"""Comparisons of several numbers as Python expressions over floats, for where they decide by more than rounding.

The meaning is ``relations.evaluate``. A text made here is evaluated with the entries of a log; whatever it cannot say
(no plain number, a division by zero, a value that is not there) is not a number, and is then judged exactly.
"""

from __future__ import annotations

from collections.abc import Callable
from math import nan
from typing import Protocol

from ringcut.language import nodes as n
from ringcut.relations.evaluate import PER_DEGREE, RESISTANCE_AT, value
from ringcut.relations.spans import Words
from ringcut.relations.view import View

LARGE = 1e9
"""Numbers that are not less are not compared as floats."""
NEAR = 1e-9
"""Times the size of a number: more than rounding changes it."""


class NotThere(Exception):
    """A value is missing, whatever the numbers are."""


class Places(Protocol):
    """Where the values of one comparison stand in logs of one shape."""

    view: View

    def number(self, step: str, name: str, side: str) -> str:
        """The text that gives a reading. Raises NotThere."""

    def of_job(self, node: n.Node, side: str) -> str:
        """The text that gives a number of the job. Raises NotThere."""

    def cell(self, node: n.Lookup, side: str) -> str:
        """The text that gives a look-up by readings."""


def text_of(node: n.Node, side: str, places: Places, readings: Callable[[n.Node], bool]) -> str:
    """The expression for a number. ``readings``: whether a node rests on readings. Raises NotThere."""
    if not isinstance(node, n.Const) and not readings(node):
        return places.of_job(node, side)
    match node:
        case n.Const(number):
            return repr(plain(float(number)))
        case n.Reading(step, name):
            return places.number(step, name, side)
        case n.FirstOf(items):
            return _first(items, lambda item: text_of(item, side, places, readings))
        case n.Arithmetic(op, left, right):
            one, two = (text_of(each, side, places, readings) for each in (left, right))
            return f"divided({one}, {two})" if op == "/" else f"({one} {op} {two})"
        case n.Lookup():
            return places.cell(node, side)
        case n.Call(name, args):
            return _call(name, args, side, places, readings)
        case _:
            return "nan"


def _first(items: tuple[n.Node, ...], text: Callable[[n.Node], str]) -> str:
    for item in items:
        try:
            return text(item)
        except NotThere:
            continue
    raise NotThere


def _call(name: str, args: tuple[n.Node, ...], side: str, places: Places, readings: Callable[[n.Node], bool]) -> str:
    if name in ("both", "least", "greatest"):
        texts = [text_of(args[0], each, places, readings) for each in places.view.sides]
    else:
        texts = [text_of(arg, side, places, readings) for arg in (args[:2] if name == "at-68" else args)]
    match name:
        case "both":
            return "(" + " + ".join(texts) + ")"
        case "min" | "least":
            return f"lesser({', '.join(texts)})"
        case "max" | "greatest":
            return f"greater({', '.join(texts)})"
        case "abs":
            return f"abs({texts[0]})"
        case "angle-between":
            return f"turn({', '.join(texts)})"
        case "absolute-temperature":
            return texts[0]
        case "absolute-pressure":
            return f"({texts[0]} + {places.of_job(n.Fact('barometer'), '')})"
        case _:
            return f"at_68({', '.join(texts)}, {_per_degree(args[2], places.view, side)!r})"


def size_of(node: n.Node, side: str, places: Places, readings: Callable[[n.Node], bool]) -> str:
    """The expression for how large a number could be if nothing in it were taken away from anything.

    Rounding changes a number by less than ``NEAR`` times that, however much of it cancels. Raises NotThere.
    """

    def size(each: n.Node, side: str = side) -> str:
        return size_of(each, side, places, readings)

    match node:
        case n.Const():
            return f"abs({text_of(node, side, places, readings)})"
        case _ if not readings(node):
            return f"abs({places.of_job(node, side)})"
        case n.FirstOf(items):
            return _first(items, size)
        case n.Arithmetic("+" | "-", left, right):
            return f"({size(left)} + {size(right)})"
        case n.Arithmetic("*", left, right):
            return f"({size(left)} * {size(right)})"
        case n.Arithmetic("/", left, right):
            return f"divided_size({size(left)}, {text_of(right, side, places, readings)}, {size(right)})"
        case n.Call("both" | "least" | "greatest", (item,)):
            return "(" + " + ".join(size(item, each) for each in places.view.sides) + ")"
        case n.Call("angle-between", args):
            return f"({' + '.join(map(size, args))} + 360)"
        case n.Call("absolute-pressure", (gauge,)):
            return f"({size(gauge)} + abs({places.of_job(n.Fact('barometer'), '')}))"
        case n.Call("at-68", (resistance, temperature, shield)):
            rate, warm = _per_degree(shield, places.view, side), text_of(temperature, side, places, readings)
            return f"at_68_size({size(resistance)}, {warm}, {size(temperature)}, {rate!r})"
        case n.Call(_, args):
            return "(" + " + ".join(map(size, args)) + ")"
        case _:
            return f"abs({text_of(node, side, places, readings)})"


def _per_degree(shield: n.Node, view: View, side: str) -> float:
    """The temperature coefficient of a shield per kelvin; not a number, where it is not one number."""
    found = value(shield, view, side) if not isinstance(shield, n.Reading) else None
    if not isinstance(found, Words) or len(found.options) != 1:
        return nan
    least, most = PER_DEGREE.get(found.options[0], ("0", "1"))
    return float(least) * 9 / 5 if least == most else nan


def plain(number: float) -> float:
    """A number, so small that sums of a few are right to much less than rounding; not a number, where it is not."""
    return number if -LARGE < number < LARGE else nan


def divided(a: float, b: float) -> float:
    """``a / b``."""
    return a / b if b else nan


def divided_size(size: float, b: float, size_b: float) -> float:
    """How large ``a / b`` could be, by the sizes of both: where ``b`` is what is left of much more, very large."""
    return size / abs(b) * (size_b / abs(b)) if b else nan


def lesser(*numbers: float) -> float:
    """The least; not a number, where one of them is none."""
    return min(numbers) if sum(numbers) == sum(numbers) else nan


def greater(*numbers: float) -> float:
    """The greatest; not a number, where one of them is none."""
    return max(numbers) if sum(numbers) == sum(numbers) else nan


def turn(a: float, b: float) -> float:
    """The turn between two positions around the cable, 0 to 180 degrees."""
    around = abs(a - b) % 360
    return lesser(around, 360 - around)


def at_68(resistance: float, temperature: float, rate: float) -> float:
    """A resistance at 68 degF; temperature in kelvin, rate per kelvin."""
    return divided(resistance, 1 + rate * (temperature - float(RESISTANCE_AT)))


def at_68_size(size: float, temperature: float, size_of_temperature: float, rate: float) -> float:
    """How large a resistance at 68 degF could be, by the sizes of what it is made of."""
    usual = float(RESISTANCE_AT)
    return divided_size(size, 1 + rate * (temperature - usual), 1 + rate * (size_of_temperature + usual))


NAMES: dict[str, object] = {
    "divided": divided, "lesser": lesser, "greater": greater, "turn": turn, "at_68": at_68, "abs": abs, "nan": nan,
    "divided_size": divided_size, "at_68_size": at_68_size,
}  # fmt: skip
"""What the expressions may call."""
