"""``ringcut audit``: formats, exit codes, bad lines, the store, processes, questions, and a report made again."""

from __future__ import annotations

import csv
import io
import json
import shutil
import sqlite3
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from ringcut.archive.auditing import Auditor
from ringcut.archive.logs import ReadLog
from ringcut.archive.results import Item
from ringcut_cli.audit.progress import line
from ringcut_cli.exits import Exit

Run = Callable[..., Result]
SHEETS = Path(__file__).parents[1] / "archive" / "data"
JOB = {"work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "location": "aerial",
       "pressurized": "no"}  # fmt: skip


def log(reference: str, bond: str = "5-1/2 in", **more: object) -> str:
    steps = [
        {"do": "open-sheath", "at": "2026-03-04T08:00:00-06:00", "by": "R. Example"},
        {"do": "assemble-sleeve", "at": "2026-03-04T09:00:00-06:00", "by": "R. Example", "bond-length": bond},
    ]
    return json.dumps(
        {"procedure": "log", "records": "milestones", "job": JOB | {"reference": reference}, "steps": steps} | more
    )


@pytest.fixture
def sheets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the weekly sheet, its column file and jobs file; tests run in it."""
    for name in ("contractor-c.csv", "contractor-c.yaml", "workorders.csv"):
        shutil.copy(SHEETS / name, tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


WEEK = (
    "audit",
    "contractor-c.csv",
    "--columns",
    "contractor-c.yaml",
    "--jobs",
    "workorders.csv",
    "--as-of",
    "2026-04-01",
)


@pytest.fixture
def many(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    lines = [log(f"J-{number}", "4 in" if number % 10 == 0 else "5-1/2 in") for number in range(130)]
    lines[17] = "{not json"
    (tmp_path / "many.jsonl").write_text("\n".join(lines) + "\n")
    return tmp_path


def test_what_was_read_and_what_not_comes_first(sheets: Path, run: Run) -> None:
    result = run(*WEEK)
    assert result.exit_code == Exit.NONCONFORMING
    parts = ["contractor-c.csv   Windows-1252", "not taken: 8 cells, 1 row's end", "HV-2031   ", "2044.0 (HV-2044?)",
             "HV-2047   ", "Questions to the crew: 11", "READ AS", "NOT TAKEN", "IN DETAIL"]  # fmt: skip
    places = [result.stdout.index(part) for part in parts]
    assert places == sorted(places)
    assert "NONCONFORMING 1 critical, 2 major" in result.stdout
    assert '"12,7"' in result.stdout
    assert "(milestone log: no finding)" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert result.stderr == ""


def test_cells_of_a_column_that_lack_the_same_are_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    monkeypatch.chdir(tmp_path)
    rows = ["Q-1,2026-03-05 08:00,open manhole", *[f",2026-03-05 09:0{number},open manhole" for number in range(3)]]
    (tmp_path / "week.csv").write_text("\n".join(["Reference,Time,Task", *rows, ",2026-03-05 10:00,frobnicate", ""]))
    shown = " ".join(run("audit", "week.csv").stdout.split())
    assert '3:A "" no work order in this row, so it belongs to no log [rows 3-6]' in shown
    assert '6:C "frobnicate" no step is called that' in shown


def test_columns_that_were_not_read_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "week.csv").write_text(
        "Foreman,Date,Time,Task,Bond A (in)\nR.,2026-03-05,08:00,open manhole,\nR.,2026-03-05,10:20,assemble sleeve,5\n"
    )
    shown = run("audit", "week.csv").stdout
    screen, _, rest = shown.partition("\n\n")
    assert 'not read: 1:A "Foreman", 1:E "Bond A (in)".' in " ".join(screen.split())
    told = {line.strip() for line in rest.splitlines()}
    assert "no reference in the sheet: its name, week, is taken" in " ".join(rest.split())
    assert "--ask makes a column file for what it does not know" in " ".join(rest.split())
    assert '1:A     "Foreman"       not in the product\'s own log form: 2 cells not read' in told
    assert '1:E     "Bond A (in)"   not in the product\'s own log form: 1 cell not read' in told
    assert not any('"Task"' in line for line in told)
    assert all(text in run("audit", "week.csv", "--format", "html").stdout for text in ("2 cells not read", "1:E"))


def test_a_column_that_the_trade_calls_so_is_the_reference(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Symptom: a sheet with a column WO was one log, called by the name of its file."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "w.csv").write_text("Job No.,Date,Task\nJ-1,2026-03-05,open manhole\nJ-2,2026-03-05,open manhole\n")
    told = json.loads(run("audit", "w.csv", "--format", "json").stdout)
    assert [each["reference"] for each in told["logs"]] == ["J-1", "J-2"]
    assumed = {each["kind"]: each["subject"] for each in told["files"][0]["assumptions"]}
    assert assumed == {"reference": "Job No.", "not-said": "records"}
    (tmp_path / "w.csv").write_text("WO,Ticket,Date,Task\nJ-1,4,2026-03-05,open manhole\n")
    told = json.loads(run("audit", "w.csv", "--format", "json").stdout)
    assert [each["reference"] for each in told["logs"]] == ["w"]
    noted = [each["text"] for each in told["files"][0]["noted"] if "not the only one" in each["says"]]
    assert noted == ["WO", "Ticket"]


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({}, "Nothing is known of this job: every kind of work is judged."),
        ({"location": "manhole"}, "Nothing is known of this job but the place: every kind of work is judged."),
        ({"location": "manhole", "work": "sheath-repair"}, ""),
    ],
)
def test_a_job_of_which_nothing_is_known_says_so_first_and_is_asked_about(
    facts: dict[str, str], said: str, tmp_path: Path, run: Run
) -> None:
    file = tmp_path / "l.jsonl"
    file.write_text(
        json.dumps({"procedure": "log", "job": {"reference": "J-1", **facts}, "steps": ["assemble-sleeve"]}) + "\n"
    )
    lines = run("audit", file).stdout.splitlines()
    title = next(number for number, each in enumerate(lines) if each.startswith("J-1"))
    assert (lines[title + 1].strip() == said) == bool(said)
    assert any("not written: " in each or "sheath is not written" in each for each in lines)


def test_json_has_one_report_a_log(sheets: Path, run: Run) -> None:
    told = json.loads(run(*WEEK, "--format", "json").stdout)
    assert [each["reference"] for each in told["logs"]] == ["HV-2031", "2044.0", "HV-2047"]
    assert {"verdict", "worst-class", "counts", "judged", "not-covered", "digests", "as-of", "findings"} <= set(
        told["logs"][0]
    )
    assert told["verdict"] == "nonconforming"
    assert told["summary"]["verdicts"] == {"nonconforming": 2, "undetermined": 1}
    assert len(told["files"][0]["not-taken"]) == 9
    (short,) = [each for each in told["logs"][0]["findings"] if each["rule"] == "adhesive-bond-length"]
    assert (short["line"], short["letter"], short["side"]) == (28, "J", "B")


def test_every_log_is_judged_for_its_own_day(many: Path, run: Run) -> None:
    told = json.loads(run("audit", "many.jsonl", "--format", "json", "--as-of", "2026-04-01").stdout)
    assert {each["as-of"] for each in told["logs"]} == {"2026-03-04"}


def test_a_bad_line_is_told_with_its_number_and_the_rest_goes_on(many: Path, run: Run) -> None:
    result = run("audit", "many.jsonl", "--format", "json")
    told = json.loads(result.stdout)
    assert result.exit_code == Exit.BAD_INPUT
    assert len(told["logs"]) == 129
    assert [(each["file"], each["line"]) for each in told["not-read"]] == [("many.jsonl", 18)]
    text = run("audit", "many.jsonl").stdout
    assert "many.jsonl:18" in text
    assert "BREAKS MOST" in text


@pytest.mark.parametrize(
    ("lines", "options", "code"),
    [
        ([log("J", "4 in")], (), Exit.NONCONFORMING),
        ([log("J", "4 in")], ("--fail-on", "critical"), Exit.UNDETERMINED),
        ([log("J")], (), Exit.UNDETERMINED),
        ([log("J", "4 in"), "{"], (), Exit.BAD_INPUT),
        ([""], (), Exit.BAD_INPUT),
    ],
    ids=["nonconforming", "only from critical", "undetermined", "a bad line", "no line"],
)
def test_exit_codes(lines: list[str], options: tuple[str, ...], code: Exit, tmp_path: Path, run: Run) -> None:
    file = tmp_path / "logs.jsonl"
    file.write_text("\n".join(lines) + "\n")
    assert run("audit", file, *options).exit_code == code


def test_the_same_bytes_alone_in_processes_and_from_a_store(many: Path, run: Run) -> None:
    base = ("audit", "many.jsonl", "--format", "json", "--as-of", "2026-04-01")
    alone = run(*base).stdout_bytes
    assert run(*base, "--workers", "2").stdout_bytes == alone
    assert run(*base, "--store", "kept").stdout_bytes == alone
    assert run(*base, "--store", "kept").stdout_bytes == alone


def test_the_next_run_judges_only_what_changed(many: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    run("audit", "many.jsonl", "--store", "kept")
    lines = (many / "many.jsonl").read_text().splitlines()
    lines.insert(3, log("J-new"))
    (many / "many.jsonl").write_text("\n".join(lines) + "\n")
    judged: list[str] = []
    real = Auditor.audit

    def noting(self: Auditor, log: ReadLog, *rest: Any) -> Item:
        judged.append(log.reference)
        return real(self, log, *rest)

    monkeypatch.setattr(Auditor, "audit", noting)
    told = json.loads(run("audit", "many.jsonl", "--store", "kept", "--format", "json").stdout)
    assert judged == ["J-new"]
    # the lines behind the new one have moved, and so have their findings
    assert [each["findings"][0]["line"] for each in told["logs"]][2:6] == [3, 4, 5, 6]
    assert told["summary"]["logs"] == 130


def test_a_changed_rulebook_or_jobs_file_changes_everything(sheets: Path, run: Run) -> None:
    run(*WEEK, "--store", "kept")
    jobs = (sheets / "workorders.csv").read_text().replace("HV-2047,auxiliary-repair", "HV-2047,sheath-repair")
    (sheets / "workorders.csv").write_text(jobs)
    fresh = run(*WEEK, "--format", "json").stdout_bytes
    assert run(*WEEK, "--format", "json", "--store", "kept").stdout_bytes == fresh
    with sqlite3.connect(sheets / "kept") as file:
        assert file.execute("SELECT count(*) FROM result").fetchone() == (2,)
    file.close()


def test_a_stopped_run_keeps_what_is_done(many: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from ringcut.archive.work import LINES, Bench

    real = Bench.done
    pieces = []

    def stopping(self: Bench, piece: object) -> object:
        pieces.append(piece)
        if len(pieces) == 2:
            raise KeyboardInterrupt
        return real(self, piece)  # type: ignore[arg-type]

    monkeypatch.setattr(Bench, "done", stopping)
    result = run("audit", "many.jsonl", "--store", "kept", "--format", "json")
    assert result.exit_code == Exit.STOPPED
    told = json.loads(result.stdout)
    assert (told["complete"], len(told["logs"])) == (False, LINES - 1)  # one line of the first piece is none
    monkeypatch.setattr(Bench, "done", real)
    again = json.loads(run("audit", "many.jsonl", "--store", "kept", "--format", "json").stdout)
    assert (again["complete"], len(again["logs"])) == (True, 129)


def test_a_report_is_made_again_and_compared(sheets: Path, run: Run) -> None:
    report = sheets / "report.json"
    report.write_bytes(run(*WEEK, "--format", "json").stdout_bytes)
    same = run("audit", "--verify", report)
    assert (same.exit_code, "byte for byte" in same.stdout) == (Exit.CONFORMS, True)
    data = (sheets / "contractor-c.csv").read_bytes()
    (sheets / "contractor-c.csv").write_bytes(data.replace(b"4 7/8", b"5 1/8"))
    other = run("audit", "--verify", report)
    assert other.exit_code == Exit.NONCONFORMING
    assert "contractor-c.csv has changed: HV-2031, 2044.0, HV-2047" in other.stdout
    assert "HV-2031: its findings differ" in other.stdout
    (sheets / "contractor-c.csv").unlink()
    assert run("audit", "--verify", report).exit_code == Exit.BAD_INPUT


@pytest.mark.parametrize("part", ["summary", "verdict", "patterns", "colour", "form"])
def test_a_report_with_a_number_changed_is_not_only_of_another_form(part: str, sheets: Path, run: Run) -> None:
    """A report whose counts were changed by hand was told to differ in "only the form of the text"."""
    report = json.loads(run(*WEEK, "--format", "json").stdout)
    if part == "summary":
        report["summary"]["logs"] += 1
    elif part != "form":
        report[part] = "conforms"
    (sheets / "changed.json").write_text(json.dumps(report))
    told = run("audit", "--verify", sheets / "changed.json")
    assert told.exit_code == Exit.NONCONFORMING
    lines = told.stdout.splitlines()[1:]
    assert lines == ["  only the form of the text" if part == "form" else f"  {part}: not the same"]


HOUSE = """rulebook: Testfield district
edition: "1"
based-on: base-practice
in-force-from: 2020-01-01
change:
  - {rule: adhesive-bond-length, shortest: 5-1/8 in, reason: invented}
"""
OF_PLAN = """procedure: plan
job: {reference: HV-2031, work: trouble-opening, sheath: lead}
steps: [open-sheath]
"""


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("house.yaml", "5-1/8 in", "5-1/4 in", "house.yaml: the rulebook has changed"),
        ("contractor-c.yaml", "# ", "#  ", "contractor-c.yaml: the columns have changed"),
        (
            "contractor-c.yaml",
            "\nclock:",
            "\ntimezone: '-06:00'\nclock:",
            "contractor-c.yaml: the columns have changed",
        ),
        ("workorders.csv", ",paper", ",Paper", "workorders.csv: the jobs have changed"),
        ("plan.yaml", "[open-sheath]", "[ open-sheath]", "plan.yaml: the plan has changed"),
        ("concessions.yaml", "[]", "[ ]", "concessions.yaml: the concessions have changed"),
        ("answers.csv", "side\r\n", "side\n", "answers.csv: the answers have changed"),
    ],
)
def test_whatever_a_report_rests_on_is_named_when_it_has_changed(
    file: str, old: str, new: str, said: str, sheets: Path, run: Run
) -> None:
    """Symptom: of six inputs one was changed, and the answer was that one of the six was not the same."""
    (sheets / "house.yaml").write_text(HOUSE)
    (sheets / "plan.yaml").write_text(OF_PLAN)
    (sheets / "concessions.yaml").write_text("concessions: []\n")
    run(*WEEK, "--questions", "answers.csv")
    given = [f"--{name}" for name in ("rulebook", "plan", "concessions")]
    files = ("house.yaml", "plan.yaml", "concessions.yaml")
    options = [part for pair in zip(given, files, strict=True) for part in pair] + ["--answers", "answers.csv"]
    (sheets / "r.json").write_bytes(run(*WEEK, *options, "--format", "json").stdout_bytes)
    assert run("audit", "--verify", "r.json").exit_code == Exit.CONFORMS
    data = (sheets / file).read_bytes()
    assert old.encode() in data
    (sheets / file).write_bytes(data.replace(old.encode(), new.encode(), 1))
    told = run("audit", "--verify", "r.json")
    assert told.exit_code == Exit.NONCONFORMING
    assert [line for line in told.stdout.splitlines() if " ha" in line and "changed" in line] == [f"  {said}"]


def test_two_logs_of_one_reference_are_compared_each_with_its_own(
    tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Symptom: of two logs of one order in one file the first was not looked at."""
    monkeypatch.chdir(tmp_path)
    lines = [
        json.dumps({"procedure": "log", "job": {"reference": "J"}, "steps": [step]})
        for step in ("open-sheath", "shrink-sleeve")
    ]
    Path("two.jsonl").write_text("\n".join(lines) + "\n")
    Path("r.json").write_bytes(run("audit", "two.jsonl", "--format", "json").stdout_bytes)
    Path("two.jsonl").write_text("\n".join([lines[0].replace("open-sheath", "ring-cut"), lines[1]]) + "\n")
    told = run("audit", "--verify", "r.json").stdout
    assert "two.jsonl has changed: J\n" in told


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "[1]",
        "no json",
        '{"made-from": 3, "logs": [], "digests": {}}',
        '{"made-from": {"logs": ["x"], "as-of": "2026-01-01"}, "logs": [1], "digests": {}}',
        '{"made-from": {"logs": "x"}, "logs": [], "digests": {}}',
    ],
)
def test_what_is_no_report_is_told(text: str, tmp_path: Path, run: Run) -> None:
    (tmp_path / "r.json").write_text(text)
    result = run("audit", "--verify", tmp_path / "r.json")
    assert result.exit_code == Exit.BAD_INPUT
    assert "no report" in result.stderr


def test_questions_go_out_and_answers_come_back(sheets: Path, run: Run) -> None:
    run(*WEEK, "--questions", "q.csv")
    with (sheets / "q.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["answer"] for row in rows} == {""}
    for row in rows:
        if (row["row"], row["column"]) == ("31", "N"):
            row["answer"] = "42 psi"
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    (sheets / "a.csv").write_text(out.getvalue(), encoding="utf-8")
    told = json.loads(run(*WEEK, "--answers", "a.csv", "--format", "json").stdout)
    assert told["made-from"]["answers"] == "a.csv"
    assert all(each["place"]["line"] != 31 or each["text"] == "42 psi" for each in told["files"][0]["not-taken"])


@pytest.mark.parametrize("form", ["csv", "junit", "sarif"])
def test_other_formats_have_every_log(form: str, sheets: Path, run: Run) -> None:
    result = run(*WEEK, "--format", form)
    assert result.exit_code == Exit.NONCONFORMING
    assert all(reference in result.stdout for reference in ("HV-2031", "2044.0", "HV-2047"))


def test_sarif_is_one_object_with_kinds(sheets: Path, run: Run) -> None:
    told = json.loads(run(*WEEK, "--format", "sarif").stdout)
    (only,) = told["runs"]
    assert told["version"] == "2.1.0"
    assert {each["kind"] for each in only["results"]} == {"pass", "fail", "open", "notApplicable"}
    assert only["tool"]["driver"]["name"] == "ringcut"


def test_a_folder_is_looked_through(many: Path, run: Run) -> None:
    (many / "in").mkdir()
    (many / "in" / "b.yaml").write_text(
        "procedure: log\nrecords: milestones\njob: {reference: B}\nsteps: [open-sheath]\n"
    )
    (many / "in" / "a.jsonl").write_text(log("A") + "\n")
    (many / "in" / "notes.md").write_text("no log")
    told = json.loads(run("audit", "in", "--format", "json").stdout)
    assert [each["reference"] for each in told["logs"]] == ["A", "B"]
    (many / "empty").mkdir()
    assert run("audit", "empty").exit_code == Exit.BAD_INPUT


@pytest.mark.parametrize("data", [b"", b"\x00\xff\xfe", b"a,b\n1,2\n", b"PK\x03\x04broken"])
@pytest.mark.parametrize("ending", [".csv", ".xlsx", ".yaml", ".jsonl"])
def test_what_is_no_log_is_told(data: bytes, ending: str, tmp_path: Path, run: Run) -> None:
    file = tmp_path / f"f{ending}"
    file.write_bytes(data)
    result = run("audit", file)
    assert result.exit_code == Exit.BAD_INPUT, result.output
    assert "NOT READ" in result.stdout
    assert "Traceback" not in result.output


def test_a_concession_is_shown_and_an_unused_one_is_said_aloud(tmp_path: Path, run: Run) -> None:
    (tmp_path / "l.jsonl").write_text(log("J-1", "4 in") + "\n")
    (tmp_path / "c.yaml").write_text(
        "concessions:\n"
        + "".join(
            f"  - {{job: {job}, rule: adhesive-bond-length, reason: no stock, approved-by: M. Example, "
            "granted: 2026-03-01, expires: 2026-03-31}\n"
            for job in ("J-1", "J-2")
        )
    )
    arguments = ("audit", tmp_path / "l.jsonl", "--concessions", tmp_path / "c.yaml")
    held = run(*arguments, "--as-of", "2026-03-31")
    assert held.exit_code == Exit.UNDETERMINED
    assert "conceded" in held.stdout
    assert "job J-2, was not used" in held.stdout
    assert run(*arguments, "--as-of", "2026-04-01").exit_code == Exit.NONCONFORMING


def test_a_concession_on_no_rule_is_said_aloud_and_the_logs_are_judged(tmp_path: Path, run: Run) -> None:
    (tmp_path / "l.jsonl").write_text(log("J-1", "4 in") + "\n")
    (tmp_path / "c.yaml").write_text(
        "concessions:\n  - {job: J-1, rule: adhesive-bond-lenght, reason: no stock, approved-by: M. Example, "
        "granted: 2026-03-01, expires: 2026-03-31}\n"
    )
    arguments = ("audit", tmp_path / "l.jsonl", "--concessions", tmp_path / "c.yaml", "--as-of", "2026-03-31")
    shown = run(*arguments)
    assert shown.exit_code == Exit.NONCONFORMING
    said = "does not count: no rule adhesive-bond-lenght (did you mean adhesive-bond-length?)"
    assert said in " ".join(shown.stdout.split())
    told = json.loads(run(*arguments, "--format", "json").stdout)
    assert [said in each for each in told["aloud"]] == [True]
    assert len(told["logs"][0]["digests"]["concessions"]) == 64


def test_a_reference_cannot_command_the_terminal(tmp_path: Path, run: Run) -> None:
    (tmp_path / "l.jsonl").write_text(log("\x1b[2Jok\u202e") + "\n")
    shown = run("audit", tmp_path / "l.jsonl", color=True).stdout
    assert "\\x1b[2Jok\\u202e" in shown


def test_progress_tells_rate_and_time_left() -> None:
    assert line(250, 1000, 5000, 10) == " 25%, 5,000 logs, 500 a second, 30 s left"
    assert line(0, 0, 0, 0) == "  0%, 0 logs, 0 a second"
    assert line(1, 100, 10, 36).endswith("59 min left")
    assert line(1, 100, 10, 60).endswith("1.6 h left")


@pytest.mark.parametrize("form", ["text", "json", "html"])
@pytest.mark.parametrize("count", [1, 2], ids=["one log", "several"])
def test_a_log_that_names_a_plan_that_is_not_given_says_so(form: str, count: int, tmp_path: Path, run: Run) -> None:
    """In text once on the first screen and once with the log itself."""
    plan = tmp_path / "plan.yaml"
    plan.write_text("procedure: plan\njob: {reference: QC-1, work: trouble-opening}\nsteps: [open-sheath]\n")
    logs = tmp_path / "logs.jsonl"
    logs.write_text("".join(log(f"QC-{at}", **{"plan-digest": "0" * 64}) + "\n" for at in range(1, count + 1)))
    result = run("audit", str(logs), "--plan", str(plan), "--format", form, "--as-of", "2026-04-01")
    told = " ".join(result.stdout.split())
    times = 2 * count if form == "text" else count
    assert told.count("names the plan 000000000000, which is none of those given") == times
    if form != "json":
        assert "ompared with no plan" in told
        return
    (first, *_) = json.loads(result.stdout)["logs"]
    assert first["compared"] is None
    assert first["not-compared"].startswith("the log names the plan")


def test_a_build_server_tells_the_cases_of_two_logs_in_one_file_apart(sheets: Path, run: Run) -> None:
    """Symptom: three logs of one sheet had cases of one class and name, of which a build server kept the last."""
    root = ElementTree.fromstring(run(*WEEK, "--format", "junit").stdout)
    cases = [(case.get("classname"), case.get("name")) for case in root.iter("testcase")]
    assert len(cases) == len(set(cases)) > 100
    assert {each.get("name") for each in root} == {"HV-2031", "2044.0", "HV-2047"}


def test_what_cannot_be_read_is_told_in_sentences(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> None:
    """Symptom: "the file is empty. a YAML mapping", and of an empty folder only "no file of logs here"."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "none.yaml").write_text("")
    assert "  none.yaml:1  the file is empty. A YAML mapping (key: value).\n" in run("audit", "none.yaml").stdout
    (tmp_path / "empty").mkdir()
    told = " ".join(run("audit", "empty").stdout.split())
    assert "no file of logs here. Files that end with .csv, .tsv," in told
