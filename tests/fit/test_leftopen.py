"""What a plan leaves open: the values left with their reasons, and plans that cannot be carried out at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from itertools import product

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ringcut.checking import read
from ringcut.fit.answers import Budget
from ringcut.fit.leftopen import with_choices
from ringcut.judge.findings import Finding, Report, ToChoose
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Limit, Rulebook
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Span, exactly

PLAN = """procedure: plan
job: {{work: trouble-opening, sheath: lead, construction: single, core: paper, opening-length: {opening}}}
steps:
  - {{do: open-sheath, opening-length: {opening}}}
  - {{do: place-permanent-bond, conductor: bar, bar-angle: 12 o'clock}}
  - {{do: wrap-rubber-tape, id: tape, layers: 2, overlap: {{A: 1 in, B: 1-1/8 in}}}}
  - {{do: scuff-lead, scuffed-length: 7 in}}
  - {{do: select-sleeve{size}}}
  - {{do: trim-sleeve{length}}}
  - {{do: assemble-sleeve, bond-length: 5-1/2 in}}
  - turn-channel
"""
INCH = Fraction("0.0254")


def _completed(book: Rulebook, opening: str = "14 in", length: str = "", size: str = "") -> Report:
    told = {"length": f", sleeve-length: {length}" if length else "", "size": f", size: {size}" if size else ""}
    procedure = read(PLAN.format(opening=opening, **told).encode(), "plan.yaml", book)
    return with_choices(_judged(procedure, book), procedure, book)


def _judged(procedure: Procedure, book: Rulebook) -> Report:
    """By the limits alone: the plan is only a part of one."""
    rules = [rule.id for rule in book.rules if isinstance(rule.form, Limit)]
    return judge_procedure(procedure, book, file="plan.yaml", rules=rules)


def _row(report: Report, reading: str, side: str = "") -> ToChoose:
    return next(each for each in report.to_choose if (each.reading, each.side) == (reading, side))


def _new(report: Report) -> list[Finding]:
    return [finding for finding in report.findings if finding.found.startswith(("no ", "not known"))]


def test_values_left_and_the_rules_at_both_ends(book: Rulebook) -> None:
    """14 + 2-1/8 in of tape + 11 in of bond + 1 in of allowance (common practice, no source) is 28-1/8 in."""
    report = _completed(book)
    length = _row(report, "sleeve-length")
    assert (length.values_left, length.line, length.step) == ("28-1/4 to 48 in", 9, "trim-sleeve")
    assert (length.not_less, length.not_more) == (("sleeve-allowance",), ("sleeve-within-stock",))
    bar = _row(report, "bar-length")
    assert (bar.values_left, bar.not_less) == ("12 to 16 in", ("bar-spans-opening",))
    assert bar.not_more == ("lead-tape-covers-bar",)
    size = _row(report, "size")
    assert size.values_left == f"{size.left} of {size.out_of}: " + size.values_left.partition(": ")[2]
    assert 0 < size.left < size.out_of
    assert set(size.not_others) >= {"sleeve-within-stock"}
    assert report.verdict == "undetermined"


def test_no_length_is_left_that_would_be_asked_about(book: Rulebook) -> None:
    """Symptom: a bar of 0 in was offered. From clamp to clamp 14 - 2 in, under tape 14 + 2-1/8 in (common practice)."""
    assert _row(_completed(book), "bar-length").values_left == "12 to 16 in"
    row = _row(_completed(book, opening="2 in"), "bar-length")
    assert row.values_left == "at most 4 in"
    assert row.out_of == 4 * (130 - 2) + 1


def test_what_is_chosen_narrows_the_others(book: Rulebook) -> None:
    """The longest sleeves of the invented stock are 48 in; a shorter one is left where a size is chosen."""
    left = _row(_completed(book, size="S-4"), "sleeve-length")
    assert left.values_left == "28-1/4 to 32 in"
    assert [row.reading for row in _completed(book, size="S-4", length="30 in").to_choose if row.line == 9] == []


def test_a_range_is_not_decided_yet_and_only_what_lies_in_it_is_left(book: Rulebook) -> None:
    report = _completed(book, length="at least 27 in", size="S-4")
    assert _row(report, "sleeve-length").values_left == "28-1/4 to 32 in"
    assert report.verdict == "undetermined"
    assert _new(report) == []
    within = _row(_completed(book, length="28 to 29 in", size="S-4"), "sleeve-length")
    assert within.values_left == "28-1/4 to 29 in"
    assert within.not_more == ("sleeve length 28 to 29 in (line 9)",)


def test_a_tolerance_is_decided_and_nothing_is_left_of_it(book: Rulebook) -> None:
    report = _completed(book, length="28-1/2 ± 1/8 in", size="S-4")
    assert not [row for row in report.to_choose if row.reading == "sleeve-length"]


def test_no_choice_is_one_finding_with_the_rules_against_each_other_and_the_numbers(book: Rulebook) -> None:
    """An opening of 40 in wants 52-1/8 in of sleeve and more; the longest of the invented stock is 48 in."""
    report = _completed(book, opening="40 in")
    (finding,) = _new(report)
    assert report.verdict == finding.verdict == "nonconforming"
    assert finding.rule in ("sleeve-long-enough", "sleeve-within-stock")
    assert "opening length 40 in" in finding.found
    assert "stock list length 24 to 48 in" in finding.found
    assert "sleeve-within-stock" in finding.needed
    assert finding.line
    verdicts = {each.rule: each.verdict for each in report.rules}
    assert verdicts[finding.rule] == "nonconforming"
    assert report.counts.nonconforming == sum(each == "nonconforming" for each in verdicts.values())
    assert report.worst_class == "major"
    assert "sleeve-length" not in {row.reading for row in report.to_choose}


def test_what_cannot_be_said_is_no_conflict(book: Rulebook) -> None:
    """A size that is not in the stock list: no length is known to fit, and none is known not to."""
    report = _completed(book, size="Q-9")
    assert _new(report) == []
    assert report.verdict == "undetermined"
    assert "sleeve-length" not in {row.reading for row in report.to_choose}


def test_a_rule_that_is_broken_already_is_not_told_again(book: Rulebook) -> None:
    report = _completed(book, length="at least 33 in", size="S-4")
    assert _new(report) == []
    assert report.verdict == "nonconforming"


def test_a_search_that_gives_up_is_undetermined_and_no_pass(book: Rulebook) -> None:
    procedure = read(PLAN.format(opening="14 in", length="", size="").encode(), "plan.yaml", book)
    judged = _judged(procedure, book)
    report = with_choices(judged, procedure, book, Budget(nodes=1, checks=1))
    told = _new(report)
    assert told
    assert {finding.verdict for finding in told} == {"undetermined"}
    assert {row.values_left for row in report.to_choose} == {""}
    assert report.counts.undetermined >= judged.counts.undetermined
    assert report.verdict == "undetermined"


def test_a_plan_that_leaves_nothing_open_is_left_as_it_is(book: Rulebook) -> None:
    procedure = read(b"{procedure: plan, job: {work: trouble-opening}, steps: [guard-work-area]}", "plan.yaml", book)
    judged = judge_procedure(procedure, book)
    assert with_choices(judged, procedure, book) == judged


def test_a_log_leaves_nothing_open(book: Rulebook) -> None:
    procedure = read(b"{procedure: log, job: {work: trouble-opening}, steps: [trim-sleeve]}", "log.yaml", book)
    judged = judge_procedure(procedure, book)
    assert with_choices(judged, procedure, book) is judged


SMALL = """
steps:
  cut: {says: what is planned, readings: {
    a: {kind: length, unit: in, known: planned, resolution: 1 in, possible: [0 in, 2 in]},
    b: {kind: length, unit: in, known: planned, resolution: 1 in, possible: [0 in, 2 in]}}}
  try: {says: what is measured, readings: {
    c: {kind: length, unit: in, resolution: 1 in, possible: [0 in, 2 in]},
    d: {kind: length, unit: in, resolution: 1 in, possible: [0 in, 2 in]}}}
"""
OPEN = {"a": ("cut", 0), "b": ("cut", 0), "c": ("try", 1), "d": ("try", 1)}
LENGTH = st.integers(0, 5).map("{} in".format)


@st.composite
def limits(draw: st.DrawFn) -> str:
    """One limit over one to three readings, sometimes of two parts or with a choice."""

    def sum_of(names: list[str]) -> str:
        return " + ".join(f"{OPEN[name][0]}.{name}" for name in names)

    def comparison() -> str:
        names = draw(st.lists(st.sampled_from("abcd"), min_size=1, max_size=3, unique=True))
        other = draw(st.sampled_from([name for name in "abcd" if name not in names]))
        right = draw(st.one_of(LENGTH, st.just(f"{OPEN[other][0]}.{other}")))
        return f"{sum_of(names)} {draw(st.sampled_from(['<=', '>=', '<', '>', '=']))} {right}"

    shape = draw(st.sampled_from(["{}", "{}", "{} and {}", "{} or {}", "if {} then {}"]))
    return shape.format(*(comparison() for _ in range(shape.count("{}"))))


@st.composite
def plans(draw: st.DrawFn) -> dict[str, str]:
    """The planned readings that are given: a value or a range."""
    given_as = st.sampled_from(["", "", "1 in", "2 in", "at least 1 in", "1 to 2 in", "at most 2 in"])
    return {name: text for name in "ab" if (text := draw(given_as))}


def _ways(procedure: Procedure) -> Iterator[Mapping[str, Fraction]]:
    """Every way to fill in what is open, within the ranges that are given."""
    values = []
    for name, (_, at) in OPEN.items():
        own = procedure.occurrences[at].readings.get((name, ""))
        grid = [INCH * count for count in range(3)]
        values.append([each for each in grid if not isinstance(own, Span) or own.holds(each)])
    for choice in product(*values):
        yield dict(zip(OPEN, choice, strict=True))


def _filled(procedure: Procedure, way: Mapping[str, Fraction]) -> Procedure:
    steps = [
        msgspec.structs.replace(
            each,
            readings={(name, ""): exactly(way[name]) for name, (_, at) in OPEN.items() if at == each.index},
        )
        for each in procedure.occurrences
    ]
    return msgspec.structs.replace(procedure, occurrences=steps)


@given(st.lists(limits(), min_size=1, max_size=4), plans())
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_plan_conforms_to_all_limits_together_in_some_way_or_is_nonconforming(
    small_book: Callable[..., Rulebook], rules: list[str], given_readings: dict[str, str]
) -> None:
    """Filling in every way and judging it is the oracle; ``values_left`` has every value of a way that conforms."""
    text = "\n".join(
        f"  - {{rule: r{number}, says: s, class: major, of: {'cut' if 'cut' in rule else 'try'}, limit: {rule}}}"
        for number, rule in enumerate(rules)
    )
    book = small_book(SMALL, text)
    steps = "".join(f", {name}: {value}" for name, value in given_readings.items())
    procedure = read(f"{{procedure: plan, steps: [{{do: cut{steps}}}, try]}}".encode(), "plan.yaml", book)
    report = with_choices(judge_procedure(procedure, book), procedure, book)
    good = [way for way in _ways(procedure) if not judge_procedure(_filled(procedure, way), book).counts.nonconforming]
    if not good:
        assert report.verdict == "nonconforming"
        return
    assert not _new(report)
    only_planned = not any("try." in rule for rule in rules)
    for row in report.to_choose:
        met = {way[row.reading] for way in good}
        assert row.left >= len(met)
        if only_planned:
            assert row.left == len(met)


@pytest.mark.parametrize(
    ("rules", "verdict"),
    [
        (["try.c >= 2 in", "try.c <= 1 in"], "nonconforming"),
        (["try.c >= 2 in", "try.c <= 2 in"], "conforms"),
        (["try.c >= 2 in and try.c <= 1 in"], "nonconforming"),
        (["try.c + try.d >= 3 in", "try.c <= 1 in", "try.d <= 1 in"], "nonconforming"),
        (["try.c + try.d >= 3 in", "try.c <= 1 in", "try.d <= 2 in"], "conforms"),
    ],
)
def test_values_known_only_when_done_must_be_possible_together(
    small_book: Callable[..., Rulebook], rules: list[str], verdict: str
) -> None:
    text = "\n".join(
        f"  - {{rule: r{number}, says: s, class: major, limit: {rule}}}" for number, rule in enumerate(rules)
    )
    book = small_book(SMALL, text)
    procedure = read(b"{procedure: plan, steps: [try]}", "plan.yaml", book)
    report = with_choices(judge_procedure(procedure, book), procedure, book)
    assert report.verdict == verdict
    assert len(_new(report)) == (verdict == "nonconforming")
    if verdict == "nonconforming":
        assert all(f"r{number}" in _new(report)[0].needed for number in range(len(rules)))


def test_what_is_given_as_a_range_stands_in_the_conflict(small_book: Callable[..., Rulebook]) -> None:
    """A b of at most 1 in and an a of at least 2 in: neither rule is broken for itself while b is open."""
    rules = "  - {rule: r0, says: s, class: minor, limit: cut.a <= cut.b}\n"
    rules += "  - {rule: r1, says: s, class: major, limit: cut.b <= 1 in}"
    book = small_book(SMALL, rules)
    procedure = read(b"{procedure: plan, steps: [{do: cut, a: at least 2 in}]}", "plan.yaml", book)
    report = with_choices(judge_procedure(procedure, book), procedure, book)
    (finding,) = _new(report)
    assert (finding.rule, finding.needed) == ("r1", "values that keep r0, r1 together")
    assert finding.found == "no a and b fits: a at least 2 in (line 1)"
    assert report.verdict == "nonconforming"
