"""Numbers as people write them, read exactly.

``5-1/2``, ``5 1/2``, ``5½``, ``.5`` and ``-3`` become fractions; nothing passes through a float. What could
be read in two ways (a comma, ``11/2``, ``5-6``) is refused with the reason.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from ringcut.reading.refusals import A_MEASURE, Refusal

LONGEST = 200
"""Characters beyond which no text is a measure."""

_DIGITS = 30
_EXPONENT = 15
_BOTTOM = 1000

_SIGNS = str.maketrans(
    {
        "\u2212": "-",
        "\u2010": "-",
        "\u2011": "-",
        "\u2044": "/",
        "\u2032": "'",
        "\u2018": "'",
        "\u2019": "'",
        "\u00b4": "'",
        "\u2033": '"',
        "\u201c": '"',
        "\u201d": '"',
        "\u00ba": "\u00b0",
        "\u02da": "\u00b0",
        "\u2103": "\u00b0C",
        "\u2109": "\u00b0F",
        "\u2126": "\u03a9",
        "\u00b5": "\u03bc",
        "\u22c5": "\u00b7",
        "\u2264": "<=",
        "\u2265": ">=",
        "\u2013": "-",
    }
)

_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?"
    r"(?:(?P<whole>[0-9]+)(?:-| )(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<up>[0-9]+)/(?P<down>[0-9]+)"
    r"|(?P<decimal>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE](?P<power>[+-]?[0-9]+))?)"
)


def tidy(text: str) -> str:
    """The text with typographic signs made plain: quotes, minus, ½, ², ≥, hard blanks; blanks single."""
    parts: list[str] = []
    for sign in text.translate(_SIGNS):
        last = parts[-1][-1] if parts else ""
        if unicodedata.category(sign) == "No":
            parts.append(_spell(sign, last))
        else:
            parts.append(sign)
    return " ".join("".join(parts).replace("''", '"').split())


def _spell(sign: str, last: str) -> str:
    """``½`` after a digit is ``-1/2``; ``²`` is a 2 only after a letter (13² is no number of the trade)."""
    plain = unicodedata.normalize("NFKC", sign)
    if "\u2044" in plain:
        fraction = plain.replace("\u2044", "/")
        return f"-{fraction}" if last.isdigit() else fraction
    return plain if sign in "\u00b2\u00b3" and last.isalpha() else sign


def clip(text: str) -> str:
    """The text as a message shows it: short, on one line."""
    flat = " ".join(text.split())
    return flat if len(flat) <= 40 else f"{flat[:37]}..."


def read_number(text: str) -> tuple[Fraction, str] | Refusal:
    """The number that tidy ``text`` begins with, and the rest without leading blanks."""
    found = _NUMBER.match(text)
    if not found:
        return _no_number(text)
    rest = text[found.end() :]
    wrong = _what_follows(text, rest)
    if wrong:
        return wrong
    value = _value(found)
    if isinstance(value, Refusal):
        return value
    return (-value if found["sign"] == "-" else value), rest.lstrip(" ")


def _no_number(text: str) -> Refusal:
    if not text:
        return Refusal("nothing is written", A_MEASURE)
    if re.match(r"(~|about|approx|ca\.?|circa)", text, re.IGNORECASE):
        return Refusal(f"{clip(text)} does not say how near", A_MEASURE, "a log may add u=, as 5 in u=0.1 in")
    return Refusal(f"{clip(text)} does not begin with a number", A_MEASURE)


def _what_follows(text: str, rest: str) -> Refusal | None:
    """A number that runs into something that makes it another number, or no number."""
    said = clip(text)
    if re.match(r",[0-9]{3}(?![0-9])", rest):
        found = f"{said}: the comma may mean thousands or a decimal point"
        return Refusal(found, "a number without commas", "write 1234 or 1.234")
    if re.match(r",[0-9]", rest):
        hint = f"write {clip(text.replace(',', '.', 1))} if that is the value and the unit"
        return Refusal(f"{said} has a decimal comma", "a decimal point", hint)
    if re.match(r" ?-+ ?[0-9.]", rest):
        hint = "write 5 to 6 in for a range, 5-1/2 in for a mixed number"
        return Refusal(f"{said}: the dash may mean minus, to, or a fraction", "one number", hint)
    if re.match(r"[,./][0-9]| [0-9.]|\.[.]", rest) or rest[:1] == "/":
        return Refusal(f"{said} is not one number", "one number and its unit", "as 5, 5.5, 5-1/2 or 1/2")
    return None


def _value(found: re.Match[str]) -> Fraction | Refusal:
    said = clip(found[0])
    if sum(sign.isdigit() for sign in found[0]) > _DIGITS:
        return Refusal(f"{said} has too many digits", "a number a person would read off")
    if found["decimal"] is not None:
        power = int(found["power"] or 0)
        if abs(power) > _EXPONENT:
            return Refusal(f"{said} is too large or too small", "a number a person would read off")
        return Fraction(found["decimal"].rstrip(".")) * Fraction(10) ** power
    top, bottom = int(found["top"] or found["up"]), int(found["bottom"] or found["down"])
    if not bottom:
        return Refusal(f"{said} divides by zero", "a fraction as 1/2")
    if top >= bottom:
        hint = "write 5-1/2 for five and a half, with a dash or a blank before the fraction"
        return Refusal(f"{said} is more than one, so a dash may be missing", "a fraction as 1/2", hint)
    if bottom > _BOTTOM:
        return Refusal(f"{said} is finer than any rule is marked", "a fraction as 1/64 or a decimal")
    return int(found["whole"] or 0) + Fraction(top, bottom)
