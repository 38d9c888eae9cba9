"""Concessions: a finding under one stays visible; what is malformed, unknown, expired or unused is said. Invented."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from ringcut.checking import check
from ringcut.judge.concessions import conceded, read_concessions, unused
from ringcut.judge.findings import NONCONFORMING, UNDER_CONCESSION, Report
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

VOCABULARY = """\
facts: {reference: {kind: text, says: the job}, place: {choices: [pole, hole], says: where}}
conditions: {dry: {says: no water}}
steps:
  cut: {says: cut}
  pump: {says: pump, makes: [dry]}
  cover: {says: cover, per: side, readings: {bond: {kind: length, unit: in, known: planned, per: side, says: bond}}}
"""
RULES = """\
  - {rule: bond, says: "At least {least}.", class: major, limit: cover.bond >= least, values: {least: 5 in}}
  - {rule: dry-first, says: Dry first., class: critical, judge: every, need: dry, before: cut}
"""
PLAN = b"procedure: plan\njob: {reference: HV-1}\nsteps: [pump, cut, {do: cover, bond: {A: 5 in, B: 4 in}}]\n"


@pytest.fixture(scope="module")
def book(compiled: Callable[[str, str], Rulebook]) -> Rulebook:
    return compiled(VOCABULARY, RULES)


def one(**keys: str) -> str:
    told = {
        "job": "HV-1", "rule": "bond", "reason": "old stock", "approved-by": "R. Example",
        "granted": "2026-03-01", "expires": "2026-06-30",
    } | {key.replace("_", "-"): value for key, value in keys.items()}  # fmt: skip
    return "concessions:\n  - {" + ", ".join(f"{key}: {value}" for key, value in told.items() if value) + "}\n"


def judged(book: Rulebook, text: str, day: str = "2026-04-01") -> tuple[Report, list[str]]:
    given = read_concessions(text.encode(), "c.yaml", book)
    report, used = conceded(check(PLAN, "p.yaml", book, day), given, day)
    return report, unused(given, used)


def test_a_finding_under_concession_stays_visible(book: Rulebook) -> None:
    report, left = judged(book, one())
    (finding,) = report.findings
    assert (finding.verdict, finding.concession) == (
        UNDER_CONCESSION,
        "old stock; approved by R. Example, 2026-03-01 to 2026-06-30",
    )
    assert (report.counts.nonconforming, report.counts.under_concession, report.worst_class) == (0, 1, "")
    assert report.verdict != NONCONFORMING
    assert left == []
    assert len(report.digests.concessions) == 64


@pytest.mark.parametrize(
    ("day", "verdict"),
    [
        ("2026-02-28", NONCONFORMING),
        ("2026-03-01", UNDER_CONCESSION),
        ("2026-06-30", UNDER_CONCESSION),
        ("2026-07-01", NONCONFORMING),
    ],
)
def test_both_days_are_inclusive(book: Rulebook, day: str, verdict: str) -> None:
    report, _ = judged(book, one(), day)
    assert report.findings[0].verdict == verdict
    said = " ".join(report.aloud)
    assert ("expired" in said or "not yet granted" in said) == (verdict == NONCONFORMING)


@pytest.mark.parametrize("keys", [{"job": "HV-2"}, {"rule": "dry-first"}, {"side": "A"}])
def test_what_meets_no_finding_is_unused_and_said(book: Rulebook, keys: dict[str, str]) -> None:
    report, left = judged(book, one(**keys))
    assert report.findings[0].verdict == NONCONFORMING
    assert len(left) == 1 and "was not used" in left[0] and "c.yaml:2" in left[0]


def test_one_side_may_be_conceded(book: Rulebook) -> None:
    report, _ = judged(book, one(side="B"))
    assert report.findings[0].verdict == UNDER_CONCESSION


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"rule": "bnd"}, "did you mean bond?"),
        ({"granted": "3/1/2026"}, "a date as 2027-06-30"),
        ({"expires": "2026-02-30"}, "a date as 2027-06-30"),
        ({"expires": ""}, "the key expires is missing"),
        ({"approved_by": "foreman"}, "is not a name"),
        ({"until": "2026-07-01"}, "until is not a key"),
    ],
)
def test_what_is_malformed_or_unknown_is_said_aloud_and_the_rest_counts(
    book: Rulebook, keys: dict[str, str], words: str
) -> None:
    """Symptom: one unknown rule in a file of concessions, and nothing was judged any more."""
    good = one().removeprefix("concessions:\n")
    given = read_concessions((one(**keys) + good).encode(), "c.yaml", book)
    assert [each.rule.text for each in given.usable] == ["bond"]
    (said,) = given.aloud
    assert said.startswith("concession at c.yaml:2")
    assert words in said and "does not count" in said
    report, used = conceded(check(PLAN, "p.yaml", book, "2026-04-01"), given, "2026-04-01")
    assert (report.findings[0].verdict, used) == (UNDER_CONCESSION, frozenset([0]))


@pytest.mark.parametrize("keys", [{"rule": "bnd"}, {"expires": ""}])
def test_what_does_not_count_concedes_nothing(book: Rulebook, keys: dict[str, str]) -> None:
    report, _ = judged(book, one(**keys))
    assert report.findings[0].verdict == NONCONFORMING
    assert len(report.digests.concessions) == 64


@pytest.mark.parametrize(
    ("house", "own", "said"),
    [
        ({}, "", ""),
        ({"major": ("R. Example",)}, "", ""),
        ({"major": ("S. Example",)}, "", "R. Example may not approve major rules (approved-by: S. Example)"),
        ({"critical": ("R. Example",)}, "", "R. Example may not approve major rules (approved-by: nobody may)"),
        ({}, "may-approve: {major: [S. Example]}", "R. Example may not approve major rules"),
        ({"major": ("R. Example",)}, "may-approve: {major: [S. Example]}", "R. Example may not approve major rules"),
    ],
)
def test_an_approver_who_may_not_is_said(
    house: dict[str, tuple[str, ...]], own: str, said: str, book: Rulebook
) -> None:
    """Symptom: a house rulebook named who may approve, and a concession signed by somebody else counted."""
    with_list = msgspec.structs.replace(book, may_approve=house)
    given = read_concessions(f"{one()}{own}\n".encode(), "c.yaml", with_list)
    assert len(given.usable) == (not said)
    assert said in " ".join(given.aloud)
    assert bool(given.aloud) == bool(said)


@pytest.mark.parametrize("text", ["", "concession: []\n", "[1]\n", "concessions: {job: x}\n", "concessions: [\n"])
def test_a_file_that_is_no_list_of_concessions_is_refused(text: str, book: Rulebook) -> None:
    with pytest.raises(Unreadable):
        read_concessions(text.encode(), "c.yaml", book)


def test_what_the_law_itself_fixes_is_not_conceded(compiled: Callable[[str, str], Rulebook]) -> None:
    law = "basis: {regulation: 29 CFR 1910.268, binds: invented}"
    book = compiled(VOCABULARY, RULES.replace("need: dry", f"{law}, need: dry"))
    assert judged(book, one(rule="dry-first"))[0].findings
    bound = msgspec.structs.replace(book, jurisdiction=("29 CFR 1910",))
    given = read_concessions(one(rule="dry-first").encode(), "c.yaml", bound)
    assert given.usable == ()
    assert "itself fixes this" in given.aloud[0]
