"""Units outside the trade's own table, looked up in pint.

pint misreads trade notation without an error (``2 ft 6 in`` is 12 ft in), so it never sees a number: only
one plain unit that matches a strict grammar, with prefixes only where the metric system has them (``pin``
is no picoinch).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Any

import msgspec

_NAME = r"[A-Za-z]{2,20}"
_PLAIN = re.compile(rf"(?P<first>{_NAME})(?P<power>[23]?)(?:/(?P<second>{_NAME}))?")
_METRIC = frozenset(["meter", "second", "pascal", "bar", "volt", "ohm", "liter", "kelvin"])
_PRESSURE = ("gauge-pressure", "absolute-pressure", "pressure-difference")
_KIND_OF: dict[str, tuple[str, ...]] = {
    "length+1": ("length",),
    "time+1": ("time",),
    "length-1 mass+1 time-2": _PRESSURE,
    "current-2 length+2 mass+1 time-3": ("resistance",),
    "current-1 length+2 mass+1 time-3": ("voltage",),
    "length+3": ("volume",),
    "length+3 time-1": ("flow",),
    "length-1 time+1": ("time-per-length",),
    "current-2 length+1 mass+1 time-3": ("resistance-per-length",),
    "current-2 length+3 mass+1 time-3": ("resistance-length",),
}
_OTHER = {
    "mass+1": "a weight",
    "current+1": "a current",
    "length+2": "an area",
    "length+1 time-1": "a speed",
    "length+2 mass+1 time-2": "an energy",
    "length+1 mass+1 time-2": "a force",
    "length+2 mass+1 time-3": "a power",
    "temperature+1": "a temperature on another scale",
}


class ForeignUnit(msgspec.Struct, frozen=True):
    """What pint knows of a unit: full name, kinds it fits (may be none), size in base units, what it is."""

    name: str
    kinds: tuple[str, ...]
    factor: Fraction
    what: str


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


def _full_name(name: str) -> str:
    """The unit's full name, or nothing where it reads in two ways or wears a prefix without being metric."""
    ways = _registry().parse_unit_name(name)
    if len(ways) != 1 or (ways[0][0] and ways[0][1] not in _METRIC):
        return ""
    return f"{ways[0][0]}{ways[0][1]}"


def _dimension(unit: Any) -> str:
    """The dimensions in the order of their names, as ``length+3 time-1``."""
    powers = {name.strip("[]"): int(power) for name, power in unit.dimensionality.items()}
    return " ".join(f"{name}{power:+d}" for name, power in sorted(powers.items()))


@lru_cache(maxsize=512)
def look_up(text: str) -> ForeignUnit | None:
    """The unit pint knows under this name, or None where it is unknown, ambiguous, not plain or not exact."""
    found = _PLAIN.fullmatch(text)
    if not found:
        return None
    import pint

    names = [name for name in (found["first"], found["second"]) if name]
    try:
        full = [_full_name(name) for name in names]
        if not all(full):
            return None
        full[0] += f" ** {found['power']}" if found["power"] else ""
        unit = _registry().parse_units(" / ".join(full))
        factor, _ = _registry().get_base_units(unit, check_nonmult=True)
        dimension = _dimension(unit)
    except (pint.errors.PintError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        return None
    if not isinstance(factor, (int, Fraction)) or not dimension:
        return None
    what = _OTHER.get(dimension, "another kind of quantity")
    return ForeignUnit(" / ".join(full), _KIND_OF.get(dimension, ()), Fraction(factor), what)
