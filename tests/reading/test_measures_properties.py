"""Reading numbers against plain arithmetic of fractions, and that no text whatever makes the reader fail."""

from fractions import Fraction

from hypothesis import example, given
from hypothesis import strategies as st

from ringcut.reading.foreign import look_up
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, Refusal, kinds_of_unit, read_literal, read_measure, to_base

INCH = Fraction(127, 5000)
SCRAPS = st.lists(
    st.sampled_from(
        [
            "0",
            "1",
            "5",
            "6",
            "12",
            "1/2",
            "-1/2",
            "1/0",
            "½",
            "²",
            ".",
            ",",
            "-",
            "−",
            "+",
            "±",
            "+/-",
            "<",
            "<=",
            "≥",
            ">",
            "u=",
            "to",
            ":",
            "#",
            "e",
            "9",
            "in",
            "ft",
            "'",
            '"',
            "mm",
            "psi",
            "psig",
            "psia",
            "%",
            "%LFL",
            "deg",
            "°F",
            "o'clock",
            "AWG",
            "MCM",
            "megohm",
            "-",
            "/",
            "per",
            "mile",
            "s",
            "h",
            "min",
            "V",
            "ac",
            "OL",
            "nan",
            "inf",
            "1e999",
            "lbf",
            "m3",
            "(",
            ")",
            "at",
            "least",
            "under",
        ]
    ),
    max_size=9,
).flatmap(lambda parts: st.sampled_from(["".join(parts), " ".join(parts)]))


def low(text: str, kind: str) -> Fraction:
    found = read_measure(text, kind)
    assert isinstance(found, Measure), found
    assert found.low is not None
    return found.low


@given(st.integers(0, 999), st.integers(1, 6), st.data(), st.sampled_from(["-", " "]), st.sampled_from(["", "-"]))
def test_mixed_numbers(whole: int, power: int, data: st.DataObject, joint: str, sign: str) -> None:
    bottom = 2**power
    top = data.draw(st.integers(1, bottom - 1))
    value = (whole + Fraction(top, bottom)) * (-1 if sign else 1)
    assert low(f"{sign}{whole}{joint}{top}/{bottom} in", "length") == value * INCH


@given(st.integers(0, 99), st.integers(0, 11), st.sampled_from(["{} ft {} in", "{}'{}\"", "{}' {}\"", "{}′-{}″"]))
def test_feet_and_inches(feet: int, inches: int, form: str) -> None:
    assert low(form.format(feet, inches), "length") == (12 * feet + inches) * INCH


@given(st.decimals(0, 100000, places=3))
def test_decimals_are_exact(number: object) -> None:
    assert low(f"{number} mm", "length") == Fraction(str(number)) / 1000


@given(st.integers(1, 12), st.integers(0, 59))
def test_clock_positions(hour: int, minute: int) -> None:
    assert low(f"{hour}:{minute:02}", "angle") == Fraction((hour * 60 + minute) % 720, 2)


@given(st.text(max_size=60) | SCRAPS, st.sampled_from(sorted(KINDS)), st.booleans())
@example("5 in/in", "length", True)
@example("5 " + "x" * 150, "length", False)
@example("5 degR", "temperature", False)
def test_no_text_makes_it_fail(text: str, kind: str, plan: bool) -> None:
    found = read_measure(text, kind, plan=plan)
    if isinstance(found, Refusal):
        assert found.found and found.expected
    else:
        assert found.text == text
        assert found.low is None or found.high is None or found.low <= found.high
    read_literal(text)
    kinds_of_unit(text)
    to_base(Fraction(1), text, kind)


@given(st.from_regex(r"[A-Za-z]{2,8}[23]?(/[A-Za-z]{2,6})?", fullmatch=True))
@example("dB")
@example("degR")
@example("in/in")
@example("if")
@example("lambda")
def test_no_word_makes_the_look_up_fail(word: str) -> None:
    found = look_up(word)
    assert found is None or found.factor > 0


@given(SCRAPS)
def test_a_bare_number_is_never_a_length(text: str) -> None:
    found = read_measure(text, "length")
    if isinstance(found, Measure):
        assert any(mark in text for mark in ("in", "ft", "mm", "mile", "'", '"', "m")), text
