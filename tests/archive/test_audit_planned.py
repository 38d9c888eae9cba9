"""A log beside its plan: left out, added, out of order, changed readings; matched by reference or digest."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest

from ringcut.archive.results import LogReport, PlanCompared
from ringcut.archive.work import Bench, Piece, Settings
from ringcut.reading.problems import Unreadable
from ringcut.rulebookfiles import builtin_rulebook

JOB = "job: {reference: %s, work: trouble-opening, sheath: lead, location: aerial}\n"
PLAN = (
    "procedure: plan\n"
    + JOB % "QC-7"
    + """steps:
  - any-order: [identify-cable, check-foreign-voltage]
  - {do: place-temporary-bond, conductor-size: 6 AWG}
  - open-sheath
  - test-atmosphere
  - repair-conductors
  - {do: assemble-sleeve, bond-length: {A: 5-1/2 in, B: 5-1/2 in}}
  - shrink-sleeve
"""
)
DONE = """  - check-foreign-voltage
  - identify-cable
  - {do: place-temporary-bond, conductor-size: 6 AWG}
  - open-sheath
  - {do: test-atmosphere, combustible-gas: 0 %LFL}
  - repair-conductors
  - {do: assemble-sleeve, bond-length: {A: 5-1/2 in, B: 5-1/2 in}}
  - shrink-sleeve
"""

Compare = Callable[..., PlanCompared | None]
Audited = Callable[[str, str, str], LogReport]


@pytest.fixture
def audited(tmp_path: Path, compiled: Path) -> Audited:
    def auditing(done: str, reference: str, head: str) -> LogReport:
        plan, log = tmp_path / "plan.yaml", tmp_path / "log.yaml"
        plan.write_text(PLAN)
        log.write_text("procedure: log\n" + head + JOB % reference + "steps:\n" + done)
        bench = Bench(Settings(builtin_rulebook(), "2026-04-01", plans=(plan,), cache=compiled))
        (item,) = bench.done(Piece(log, "log.yaml")).items
        assert item.report is not None, item.unread
        return item.report

    return auditing


@pytest.fixture
def compare(audited: Audited) -> Compare:
    def comparing(done: str, reference: str = "QC-7", head: str = "") -> PlanCompared | None:
        return audited(done, reference, head).compared

    return comparing


def test_any_order_of_the_plan_is_as_planned(compare: Compare) -> None:
    found = compare(DONE)
    assert found is not None
    assert not found.differs


def test_left_out_and_added(compare: Compare) -> None:
    found = compare(DONE.replace("  - repair-conductors\n", "  - wrap-muslin\n"))
    assert found is not None
    assert [each.split()[0] for each in found.left_out] == ["repair-conductors"]
    assert [each.split()[0] for each in found.added] == ["wrap-muslin"]
    assert found.out_of_order == ()


def test_out_of_order_tells_the_fewest_steps(compare: Compare) -> None:
    line = "  - {do: place-temporary-bond, conductor-size: 6 AWG}\n"
    found = compare(DONE.replace(line, "").replace("  - repair-conductors\n", "  - repair-conductors\n" + line))
    assert found is not None
    assert [each.split()[0] for each in found.out_of_order] == ["place-temporary-bond"]
    assert (found.left_out, found.added) == ((), ())


@pytest.mark.parametrize(
    ("above", "done", "told"),
    [
        # symptom: told as planned after the step above it in a group of any order, which it need not come after
        ("open-sheath", "check-foreign-voltage", "check-foreign-voltage (line 7), planned before place-temporary-bond"),
        ("check-foreign-voltage", "shrink-sleeve", "shrink-sleeve (line 5), planned after assemble-sleeve"),
    ],
)
def test_out_of_order_tells_the_nearest_step_that_it_was_planned_before_or_after(
    compare: Compare, above: str, done: str, told: str
) -> None:
    lines = DONE.splitlines()
    (moved,) = (line for line in lines if done in line)
    lines.remove(moved)
    lines.insert(next(at for at, line in enumerate(lines) if above in line) + 1, moved)
    found = compare("\n".join(lines) + "\n")
    assert found is not None
    assert found.out_of_order == (told,)


SPLICES = "procedure: %s\njob: {reference: QC-7, work: trouble-opening, sheath: lead, location: aerial}\nsteps:\n"
TWO = """  - any-order:
    - [{do: open-sheath, closure: N}, {do: wrap-rubber-tape, closure: N}, {do: shrink-sleeve, closure: N}]
    - [{do: open-sheath, closure: S}, {do: wrap-rubber-tape, closure: S}, {do: shrink-sleeve, closure: S}]
"""


@pytest.mark.parametrize(
    ("done", "told"),
    [
        ("oN wN sN oS wS sS", ()),
        ("oS wS sS oN wN sN", ()),
        ("oN oS wS wN sS sN", ()),
        ("oN oS sS wS wN sN", ("wrap-rubber-tape at S (line 7), planned before shrink-sleeve at S",)),
    ],
)
def test_two_closures_that_may_be_made_in_any_order(
    done: str, told: tuple[str, ...], tmp_path: Path, compiled: Path
) -> None:
    """Symptom: with more than one closure the plan counted as one list, and each other order as out of order."""
    names = {"o": "open-sheath", "w": "wrap-rubber-tape", "s": "shrink-sleeve"}
    rows = "".join(f"  - {{do: {names[each[0]]}, closure: {each[1]}}}\n" for each in done.split())
    plan, log = tmp_path / "plan.yaml", tmp_path / "log.yaml"
    plan.write_text(SPLICES % "plan" + TWO)
    log.write_text(SPLICES % "log" + rows)
    bench = Bench(Settings(builtin_rulebook(), "2026-04-01", plans=(plan,), cache=compiled))
    (item,) = bench.done(Piece(log, "log.yaml")).items
    assert item.report is not None and item.report.compared is not None, item.unread
    assert item.report.compared.out_of_order == told


def test_changed_readings_and_not_those_only_known_when_done(compare: Compare) -> None:
    found = compare(DONE.replace("B: 5-1/2 in", "B: 5 in"))
    assert found is not None
    assert [(each.reading, each.side, each.planned, each.done) for each in found.changed] == [
        ("bond-length", "B", "5-1/2 in", "5 in")
    ]


def test_a_plan_of_another_order_is_not_compared(compare: Compare) -> None:
    assert compare(DONE, "QC-8") is None


def test_the_digest_of_the_plan_counts_before_the_reference(compare: Compare) -> None:
    digest = hashlib.sha256(PLAN.encode()).hexdigest()
    assert compare(DONE, "QC-8", f"plan-digest: {digest}\n") is not None
    assert compare(DONE, "QC-7", f"plan-digest: {'0' * 64}\n") is None


def test_the_digest_may_stand_in_the_job_as_the_own_form_has_it(compare: Compare) -> None:
    digest = hashlib.sha256(PLAN.encode()).hexdigest()
    assert compare(DONE, f"QC-8, plan-digest: {digest}") is not None
    assert compare(DONE, f"QC-7, plan-digest: {'0' * 64}") is None


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (f"plan-digest: {'0' * 64}\n", ["names the plan 000000000000", "none of those given", "plan.yaml is"]),
        ("plan-digest: abc\n", ["names its plan by abc", "12 letters"]),
    ],
    ids=["another plan", "too short"],
)
def test_why_a_log_is_compared_with_no_plan_is_said(audited: Audited, head: str, words: list[str]) -> None:
    """Silence would read as done as planned."""
    report = audited(DONE, "QC-7", head)
    assert report.compared is None
    assert [word for word in words if word not in report.not_compared] == []


def test_a_log_that_names_its_plan_or_none_needs_no_such_word(audited: Audited) -> None:
    digest = hashlib.sha256(PLAN.encode()).hexdigest()
    assert audited(DONE, "QC-7", f"plan-digest: {digest[:12]}\n").not_compared == ""
    assert audited(DONE, "QC-7", "").not_compared == ""
    assert audited(DONE, "QC-8", "").not_compared == ""


def test_two_plans_of_one_order_are_refused(tmp_path: Path, compiled: Path) -> None:
    for name in ("one.yaml", "two.yaml"):
        (tmp_path / name).write_text(PLAN)
    plans = (tmp_path / "one.yaml", tmp_path / "two.yaml")
    with pytest.raises(Unreadable, match="a second plan of QC-7"):
        Bench(Settings(builtin_rulebook(), "2026-04-01", plans=plans, cache=compiled))


def test_job_facts_are_set_against_those_of_the_plan(audited: Audited) -> None:
    """A fact that only one of the two says is no difference, nor is one measure in two units."""
    done = audited(DONE, "QC-7, core: paper, cable-diameter: 2 in, jacket: none", "").compared
    assert done is not None and done.facts == ()


@pytest.mark.parametrize(
    ("planned", "said", "told"),
    [
        ("location: aerial", "location: manhole", [("location", "", "aerial", "manhole")]),
        ("cable-diameter: 2 in", "cable-diameter: 50.8 mm", []),
        ("cable-diameter: 2 in ± 1/8 in", "cable-diameter: 2-1/16 in", []),
        ("cable-diameter: 2 in", "cable-diameter: 2-1/4 in", [("cable-diameter", "", "2 in", "2-1/4 in")]),
        ("sheath: lead", "sheath: {A: lead, B: polyethylene}", [("sheath", "B", "lead", "polyethylene")]),
        ("sheath: lead", "sheath: polyethylene", [("sheath", "", "lead", "polyethylene")]),
        ("special: [cable-band]", "special: [long-repair]", [("special", "", "cable-band", "long-repair")]),
        ("date: 2026-03-01", "date: 2026-03-02", []),
    ],
)
def test_a_job_fact_that_is_another(
    planned: str, said: str, told: list[tuple[str, str, str, str]], tmp_path: Path, compiled: Path
) -> None:
    plan, log = tmp_path / "plan.yaml", tmp_path / "log.yaml"
    plan.write_text(f"procedure: plan\njob: {{reference: QC-7, {planned}}}\nsteps: [open-sheath]\n")
    log.write_text(f"procedure: log\njob: {{reference: QC-7, {said}}}\nsteps: [open-sheath]\n")
    (item,) = (
        Bench(Settings(builtin_rulebook(), "2026-04-01", plans=(plan,), cache=compiled))
        .done(Piece(log, "log.yaml"))
        .items
    )
    assert item.report is not None and item.report.compared is not None, item.unread
    found = item.report.compared
    assert [(each.fact, each.side, each.planned, each.done) for each in found.facts] == told
    assert found.differs == bool(told)


def test_what_milestones_need_not_have_is_not_left_out(compare: Compare) -> None:
    """Symptom: every planned step that a milestone log does not have was told as left out."""
    done = "".join(line + "\n" for line in DONE.splitlines() if "sheath" not in line and "repair" not in line)
    said = done + "  - {do: repair-conductors, status: not-done, reason: none found}\n"
    for head in ("records: milestones\n", "finished: no\n"):
        found = compare(said, "QC-7", head)
        assert found is not None
        assert [each.split()[0] for each in found.left_out] == ["repair-conductors"]
        assert [each.split()[0] for each in found.not_written] == ["open-sheath"]
    found = compare(done, "QC-7", "records: milestones\n")
    assert found is not None and not found.differs and len(found.not_written) == 2
    every = compare(said, "QC-7", "records: every-step\n")
    assert every is not None and (len(every.left_out), every.not_written) == (2, ())


def test_a_reading_changed_alike_on_both_sides_is_one_change(compare: Compare) -> None:
    """Symptom: each log had its bond length told twice, once a side, with the same two numbers."""
    found = compare(DONE.replace("bond-length: {A: 5-1/2 in, B: 5-1/2 in}", "bond-length: 5 in"))
    assert found is not None
    assert [(each.reading, each.side, each.planned, each.done) for each in found.changed] == [
        ("bond-length", "", "5-1/2 in", "5 in")
    ]


def test_a_row_of_one_side_keeps_its_side(compare: Compare) -> None:
    rows = "".join(f"  - {{do: assemble-sleeve, side: {side}, bond-length: 5 in}}\n" for side in "AB")
    whole = "  - {do: assemble-sleeve, bond-length: {A: 5-1/2 in, B: 5-1/2 in}}\n"
    assert whole in DONE
    found = compare(DONE.replace(whole, rows))
    assert found is not None
    assert [(each.side, each.done) for each in found.changed] == [("A", "5 in"), ("B", "5 in")]
