"""What may be added, compared and multiplied: kinds under arithmetic.

A result is a kind of ``reading.kinds``, ``absolute-temperature`` (kelvin, for ratios), or ``?`` with its exponents for
a product that has no name. Refusals are told in the words of the trade (see the language's table of kinds).
"""

from __future__ import annotations

EXPONENTS: dict[str, tuple[int, int, int, int, int]] = {
    "count": (0, 0, 0, 0, 0),
    "ratio": (0, 0, 0, 0, 0),
    "length": (1, 0, 0, 0, 0),
    "time": (0, 1, 0, 0, 0),
    "resistance": (0, 0, 1, 0, 0),
    "resistance-length": (1, 0, 1, 0, 0),
    "resistance-per-length": (-1, 0, 1, 0, 0),
    "time-per-length": (-1, 1, 0, 0, 0),
    "absolute-pressure": (0, 0, 0, 1, 0),
    "absolute-temperature": (0, 0, 0, 0, 1),
    "volume": (3, 0, 0, 0, 0),
    "flow": (3, -1, 0, 0, 0),
}
"""Kinds that multiply, as exponents of length, time, resistance, pressure and temperature."""

DIFFERENCE = {
    "gauge-pressure": "pressure-difference",
    "absolute-pressure": "pressure-difference",
    "temperature": "temperature-difference",
}
SCALES = {"pressure-difference", "temperature-difference", "turn"}
"""Kinds that a plain number may scale, but that multiply with nothing else."""


def added(op: str, left: str, right: str) -> str | None:
    """The kind of ``left op right`` for ``+`` and ``-``; None where it means nothing."""
    if left in DIFFERENCE:
        if right == DIFFERENCE[left]:
            return left
        return DIFFERENCE[left] if op == "-" and right == left else None
    if op == "+" and right in DIFFERENCE and left == DIFFERENCE[right]:
        return right
    if left == right and left not in ("angle", "wire-size"):
        return left
    return None


def multiplied(op: str, left: str, right: str) -> str | None:
    """The kind of ``left op right`` for ``*`` and ``/``; None where it means nothing."""
    plain = ("count", "ratio")
    if left in SCALES and right in plain:
        return left
    if right in SCALES and left in plain and op == "*":
        return right
    if left in SCALES and left == right and op == "/":
        return "ratio"
    one, two = exponents(left), exponents(right)
    if one is None or two is None:
        return None
    if two == EXPONENTS["count"]:
        return left if left not in plain or right in plain and left == "ratio" else right
    sign = 1 if op == "*" else -1
    result = tuple(a + sign * b for a, b in zip(one, two, strict=True))
    if result == EXPONENTS["count"]:
        return "ratio"
    named = (kind for kind, value in EXPONENTS.items() if value == result)
    return next(named, "?" + ",".join(str(part) for part in result))


def exponents(kind: str) -> tuple[int, ...] | None:
    """The exponents of a kind that multiplies, else None."""
    if kind.startswith("?"):
        return tuple(int(part) for part in kind[1:].split(","))
    return EXPONENTS.get(kind)
