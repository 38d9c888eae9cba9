"""The page of a report, letter for letter, from reports made by hand: the engine's own words are tested elsewhere."""

from __future__ import annotations

import msgspec

from ringcut.judge.findings import Counts, Digests, Finding, Notice, Report, ToMeasure
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.reporttext import MOST_LINES, report_page, shortened

LATE = Finding(
    rule="bond-first", class_="critical", verdict="nonconforming", file="p.yaml", line=41, column=5,
    steps=("open-sheath", "place-temporary-bond"), found="place-temporary-bond (line 42) comes only after open-sheath",
    needed="temporary-bond-on before open-sheath", evidence=("not yet bonded",), also=("bond-kept",), cause="one",
    group=1, in_common="the place of open-sheath",
    says="A temporary bond bridges the work before lead is cut open.", remedy="Bond, then open.",
    basis="common practice",
)  # fmt: skip
KEPT = msgspec.structs.replace(LATE, rule="bond-kept", told_under="bond-first", also=())
SHORT = Finding(
    rule="bond-length", class_="major", verdict="nonconforming", file="p.yaml", line=64, column=5, side="B",
    steps=("assemble-sleeve",), found="bond length 4-7/8 in", needed="at least 5 in", margin="1/8 in short",
    says="The sleeve bonds to at least 5 in of sheath on each side.", remedy="Center it.", basis="common practice",
)  # fmt: skip
UNKNOWN = Finding(
    rule="hold-test-holds", class_="major", verdict="undetermined", why_undetermined="not recorded", line=70,
    steps=("hold-test",), found="isolated of hold-test (line 70) is not there", says="Pressure holds.",
    basis="gas law",
)  # fmt: skip
REPORT = Report(
    file="p.yaml", procedure="plan", reference="QB-1", verdict="nonconforming", worst_class="critical",
    counts=Counts(conforms=9, nonconforming=3, undetermined=1, critical=2, major=1, causes=3),
    judged=("bonding", "lead-surface"), not_covered=("bonding hardware under the sleeve",), uncovered=True,
    findings=(LATE, KEPT, SHORT, UNKNOWN), rules=(),
    to_measure=(
        ToMeasure("test-atmosphere", 29, "oxygen", "", "19.5 to 23.5 %", ()),
        ToMeasure("test-atmosphere", 33, "oxygen", "", "19.5 to 23.5 %", ()),
        ToMeasure("scuff-lead", 57, "method", "A", "damp-by-hand", ()),
    ),
    warnings=(Notice("CAUTION", "Blades are sharp."), Notice("DANGER", "Gas kills.")),
    assumptions=("fed taken as no",), digests=Digests("a" * 64, "b" * 64, "", "9.9"), as_of="2026-03-04",
    rulebook="base-practice, edition 1", ends_with="Local codes come first.",
)  # fmt: skip

PAGE = """\
NONCONFORMING  p.yaml  QB-1
  Rules broken: 2 critical, 1 major; cannot be said: 1; causes: 3; conform: 9.
  Judged: bonding, lead surface.
  Not judged: bonding hardware under the sleeve.

WHAT CAN HURT  critical

line 41  open-sheath                                       bond-first (critical)
  A temporary bond bridges the work before lead is cut open.
  cause   the place of open-sheath
  found   place-temporary-bond (line 42) comes only after open-sheath
  needed  temporary-bond-on before open-sheath
  seen    not yet bonded
  do      Bond, then open.
  basis   common practice
  breaks  also, by the same cause: bond-kept (critical)

WHAT CAN LEAK  major

line 64  assemble-sleeve, side B                             bond-length (major)
  The sleeve bonds to at least 5 in of sheath on each side.
  found   bond length 4-7/8 in
  needed  at least 5 in: 1/8 in short
  do      Center it.
  basis   common practice

CANNOT SAY  missing evidence never conforms

line 70  hold-test                                       hold-test-holds (major)
  Pressure holds.
  found   isolated of hold-test (line 70) is not there
  reason  not recorded
  basis   gas law

YOURS TO MEASURE  line, step, reading, and when it conforms

  29 33   test-atmosphere  oxygen    19.5 to 23.5 %
  57      scuff-lead       method A  damp-by-hand

TAKEN AS GIVEN

  Assumed, because the file does not say: fed taken as no.

WATCH OUT

  DANGER  Gas kills.
  CAUTION Blades are sharp.

JUDGED BY  base-practice, edition 1, for 2026-03-04
  plan aaaaaaaaaaaa, rulebook bbbbbbbbbbbb, ringcut 9.9

Local codes come first.
"""


def shown(report: Report) -> str:
    page = Page(80, colour=False)
    report_page(page, report)
    return page.written()


def test_the_page() -> None:
    assert shown(REPORT) == PAGE


def test_no_part_is_there_for_nothing() -> None:
    bare = msgspec.structs.replace(
        REPORT, verdict="conforms", findings=(), counts=Counts(conforms=9), not_covered=(), to_measure=(), warnings=(),
        assumptions=(),
    )  # fmt: skip
    assert shown(bare) == (
        "CONFORMS  p.yaml  QB-1\n  Rules that conform: 9. Broken: none.\n"
        "  Conforms in these subjects, as written, and in no other: bonding, lead\n  surface.\n\n"
        "JUDGED BY  base-practice, edition 1, for 2026-03-04\n"
        "  plan aaaaaaaaaaaa, rulebook bbbbbbbbbbbb, ringcut 9.9\n\nLocal codes come first.\n"
    )


def test_not_applicable_does_not_look_like_conforms() -> None:
    none = msgspec.structs.replace(REPORT, verdict="not applicable", findings=(), judged=(), counts=Counts())
    lines = shown(none).splitlines()
    assert lines[0] == "NOT APPLICABLE  p.yaml  QB-1"
    assert "  No rule applies to it, so it was not found to conform." in lines
    assert "  Judged: nothing." in lines


def test_a_rule_broken_in_several_places_for_one_cause_is_told_once() -> None:
    first = msgspec.structs.replace(SHORT, group=2)
    again = msgspec.structs.replace(
        first, line=90, found="bond length 4 in", margin="1 in short", told_under=SHORT.rule
    )
    page = shown(msgspec.structs.replace(REPORT, findings=(first, again)))
    assert page.count("The sleeve bonds to at least 5 in") == 1
    assert "  also    line 90  assemble-sleeve, side B: bond length 4 in; 1 in short\n" in page


def test_of_many_places_the_first_and_the_last_are_told_and_how_many_are_between() -> None:
    """Symptom to keep out: twenty lines of one finding that pushed the next one off the screen."""
    lines = [f"step (line {number})" for number in range(3, 25)]
    few = shortened(lines)
    assert few == [*lines[:3], "and 18 more: line 6 to line 23", lines[-1]]
    assert shortened(lines[:MOST_LINES]) == lines[:MOST_LINES]
    assert shortened(["a"] * 9)[3] == "and 5 more"


def test_what_a_cause_also_breaks_is_told_with_its_class_and_what_was_found_of_it() -> None:
    other = msgspec.structs.replace(KEPT, found="open-sheath (line 41) comes too early", class_="minor")
    page = shown(msgspec.structs.replace(REPORT, findings=(LATE, other)))
    assert "bond-kept (minor, open-sheath (line 41) comes too early)" in " ".join(page.split())


def test_where_nothing_was_done_nothing_is_said_to_conform() -> None:
    """Symptom: a log with no step done was told "conform: 21"."""
    page = shown(msgspec.structs.replace(REPORT, steps=0))
    assert "conform: 9" not in page
    assert "Not one step was done, so that nothing was found to conform." in " ".join(page.split())
    assert "conform: 9" in shown(msgspec.structs.replace(REPORT, steps=3))


def test_many_rules_that_one_cause_breaks_are_named_by_class() -> None:
    others = [msgspec.structs.replace(KEPT, rule=f"r{n}", class_="minor" if n % 2 else "critical") for n in range(6)]
    page = shown(msgspec.structs.replace(REPORT, findings=(LATE, *others)))
    assert "breaks  also, by the same cause: critical: r0, r2, r4; minor: r1, r3, r5\n" in page
