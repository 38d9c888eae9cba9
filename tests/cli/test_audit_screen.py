"""The text of an audit is one screen, and everything that it rests on below it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut.archive.results import LogReport
from ringcut.judge.findings import Counts, Digests, Finding
from ringcut_cli.audit.screentext import screen_page
from ringcut_cli.shown.page import Page

Run = Callable[..., Result]
SHEETS = Path(__file__).parents[1] / "archive" / "data"
SCREEN = 46
"""Lines of a usual terminal window, for three work orders with five findings and eleven questions."""


@pytest.fixture
def week(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> str:
    """The text of the weekly sheet, in a window of 80 columns."""
    for name in ("contractor-c.csv", "contractor-c.yaml", "workorders.csv"):
        shutil.copy(SHEETS / name, tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    asked = ("--columns", "contractor-c.yaml", "--jobs", "workorders.csv", "--as-of", "2026-04-01")
    return run("audit", "contractor-c.csv", *asked).stdout


def test_one_screen_has_verdicts_reasons_and_questions(week: str) -> None:
    screen = week[: week.index("READ AS")]
    assert len(screen.splitlines()) <= SCREEN
    said = " ".join(screen.split())
    for part in (
        "NONCONFORMING 1 critical, 2 major",
        "NONCONFORMING 2 critical",
        "CANNOT SAY",
        "gas-test-hourly: 90 min, at most 60 min",
        "desk-told-restored: report-restored not done: line busy",
        "1/8 in short",
        '"none" is no voltage [1]',
        "kPa? 42 kPa is 6.1 psi",
        "Did they mean HV-2044?",
        "before the work began: 6 March?",
        "hold-fall 0.06 psi, at most 0.1 psi",
        "[1] to [11]",
    ):
        assert part in said


def test_every_question_has_its_number_on_the_screen(week: str) -> None:
    screen = week[: week.index("Questions to the crew")]
    assert [number for number in range(1, 12) if f"[{number}]" in screen] == list(range(1, 12))


def test_nothing_is_lost_below(week: str) -> None:
    below = " ".join(week[week.index("READ AS") :].split())
    for part in (
        "empty cells take the value above",
        '23:K "4-Mar"',
        "By 29 CFR 1910.268(o)(5)(i)",
        "not recorded: ",
        "sleeve-slips-over: stock list slips over not there",
        "39:I bond length 5 in, side A (at least 5 in)",
        "180 deg apart",
        "This page is not a permit",
    ):
        assert part in below


UNFINISHED = """\
procedure: log
records: every-step
finished: no
job: {reference: U-1, date: 2026-03-04, work: trouble-opening, sheath: lead, construction: single, core: paper,
      pressurized: yes, fed: no, location: manhole}
steps:
  - {do: guard-work-area, at: "07:10", by: R. Example}
  - {do: open-manhole, at: "07:15", by: R. Example}
"""


def test_what_has_not_happened_yet_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> None:
    """Symptom: a log that ends early gave a screen a rule, thirty lines of «no assemble-sleeve yet»."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "u.yaml").write_text(UNFINISHED, encoding="utf-8")
    shown = run("audit", "u.yaml").stdout
    screen, _, detail = shown.partition("IN DETAIL")
    said = " ".join(screen.split())
    assert "the log ends after open-manhole (line 8): " in said
    assert "are kept so far" in said
    assert len(screen.splitlines()) < 12
    below = " ".join(detail.split())
    assert "cannot be said yet: " in below
    assert "adhesive-bond-length" in below


def test_a_log_that_conforms_says_in_what() -> None:
    report = LogReport(
        file="r.yaml", procedure="log", reference="R-1", verdict="conforms", worst_class="", counts=Counts(conforms=3),
        judged=("flame", "lead-surface"), not_covered=(), uncovered=False, findings=(), rules=(), to_measure=(),
        warnings=(), assumptions=(), digests=Digests("", "", "", ""), as_of="2026-04-01", rulebook="base-practice",
    )  # fmt: skip
    page = Page(80, colour=False)
    screen_page(page, report, [])
    shown = " ".join(page.written().split())
    assert "CONFORMS" in shown
    assert "conforms in these subjects, as written, and in no other: flame, lead surface; 3 rules conform" in shown


ABSENT = """\
procedure: log
records: every-step
job: {reference: E-1, date: 2026-03-04, work: sheath-repair, sheath: polyethylene, construction: single, core: plastic,
      pressurized: no, location: aerial}
steps:
  - {do: assemble-sleeve, at: "09:00", by: R. Example, bond-length: 4 in}
"""


def test_many_steps_that_are_not_there_are_one_line_a_class(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Symptom: a sheet that left most steps out had a line for each, and what was done wrong drowned in them."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "e.yaml").write_text(ABSENT, encoding="utf-8")
    screen, _, detail = run("audit", "e.yaml").stdout.partition("IN DETAIL")
    said = " ".join(screen.split())
    assert "adhesive-bond-length: bond length 4 in, at least 5 in (1 in short)" in said
    for class_, step in (("critical", "inspect-pole"), ("major", "shrink-sleeve"), ("minor", "form-channel")):
        (line,) = [
            each for each in re.split(r" (?=critical|major|minor|can't say)", said) if f"{class_} not in" in each
        ]
        assert step in line
    assert said.count("not in the log:") == 3
    assert all(f"no {step}; needed:" in " ".join(detail.split()) for step in ("inspect-pole", "shrink-sleeve"))


@pytest.mark.parametrize(
    ("evidence", "shown"),
    [
        (("no ventilate", "combustible gas 40 %LFL (line 8), at most 10 %LFL"), "combustible gas 40 %LFL, at most 10"),
        (("combustible gas 40 %LFL, at most 10 %LFL", "11:40 to 13:05"), "needed: gas-good. 11:40 to 13:05"),
    ],
)
def test_the_number_that_was_read_stands_on_the_screen(evidence: tuple[str, ...], shown: str) -> None:
    broken = Finding("gas-before-entry", "critical", "nonconforming", file="g.yaml", line=9, found="gas not good",
                     needed="gas-good", evidence=evidence, cause="gas-good lost at #3")  # fmt: skip
    report = LogReport(
        file="g.yaml", procedure="log", reference="G-1", verdict="nonconforming", worst_class="critical",
        counts=Counts(critical=1), judged=(), not_covered=(), uncovered=False, findings=(broken,), rules=(),
        to_measure=(), warnings=(), assumptions=(), digests=Digests("", "", "", ""), as_of="", rulebook="",
    )  # fmt: skip
    page = Page(100, colour=False)
    screen_page(page, report, [])
    assert shown in " ".join(page.written().split())


def test_what_is_noted_of_many_rows_alike_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """A line for each row told that its order is written with a blank where the jobs file has a hyphen."""
    monkeypatch.chdir(tmp_path)
    Path("c.yaml").write_text("records: milestones\ncolumns: {WO: reference, Task: task}\n")
    Path("jobs.csv").write_text("reference,work\nK-1,sheath-repair\nK-2,sheath-repair\n")
    Path("s.csv").write_text("WO,Task\n" + "K 1,scuff lead\n" * 3 + "K 2,scuff lead\n")
    told = run("audit", "s.csv", "--columns", "c.yaml", "--jobs", "jobs.csv").stdout
    noted = " ".join(told.partition("\nNOTED")[2].partition("\n\n")[0].split())
    assert noted.count("taken as K-1") == 1 and "differ [rows 2-4]" in noted
    assert noted.count("taken as K-2") == 1 and "[row" not in noted.partition("K-2")[2]
    page = run("audit", "s.csv", "--columns", "c.yaml", "--jobs", "jobs.csv", "--format", "html").stdout
    assert (page.count("taken as K-1"), page.count("taken as K-2")) == (1, 1)


def test_many_texts_that_were_read_alike_do_not_fill_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Symptom: of 65 times as fractions of a day each was told, over a hundred lines."""
    rows = "".join(f"W-1,{46204},{(735 + number) / 1440:.6f},put rag on\n" for number in range(20))
    (tmp_path / "f.csv").write_text(f"WO,Date,Time,Task\n{rows}")
    (tmp_path / "f.yaml").write_text(
        "columns: {WO: reference, Date: date, Time: time, Task: task}\n"
        "tasks: [{say: put rag on, do: wrap-muslin}]\nclock: 24\ntime-means: finished\nrecords: milestones\n"
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    said = " ".join(run("audit", "f.csv", "--columns", "f.yaml").stdout.split())
    assert said.count("a fraction of a day") == 6
    assert "and 14 more; --format json has all [20 rows]" in said
    assert "46204 is 1 July 2026: the number of a day in a spreadsheet that counts from 1900" in said
