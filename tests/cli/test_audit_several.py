"""``ringcut audit`` over a folder of several contractors, each with a column file: one run is as a run for each."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from ringcut.archive.auditing import Auditor
from ringcut.archive.logs import ReadLog
from ringcut.archive.results import Item
from ringcut_cli.exits import Exit

Run = Callable[..., Result]
CONTRACTORS = Path(__file__).parents[1] / "archive" / "contractors"
SHEETS = ("long-saltmarsh.csv", "step-rows-lowfield.txt", "step-rows-northshore.csv")
COLUMNS = tuple(Path(each).with_suffix(".yaml").name for each in SHEETS)
OWN = "reference,step,at\nC-1,shrink-sleeve,2026-03-04T09:00:00-06:00\n"
OTHER = "Ticket,Time,Work\nD-1,9:00,Shut\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The sheets of three invented contractors in ``sheets``, their column files and one jobs file beside it."""
    (tmp_path / "sheets").mkdir()
    jobs: list[dict[str, str]] = []
    for name, columns in zip(SHEETS, COLUMNS, strict=True):
        shutil.copy(CONTRACTORS / name, tmp_path / "sheets")
        shutil.copy(CONTRACTORS / columns, tmp_path)
        with (CONTRACTORS / f"{Path(name).stem}-jobs.csv").open(encoding="utf-8", newline="") as file:
            jobs += csv.DictReader(file)
    with (tmp_path / "jobs.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(dict.fromkeys(key for job in jobs for key in job)), restval="")
        writer.writeheader()
        writer.writerows(jobs)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def begun(folder: Path) -> Path:
    """The same, with the first rows of each sheet only."""
    for name, encoding in zip(SHEETS, ("utf-8", "utf-16", "windows-1252"), strict=True):
        sheet = folder / "sheets" / name
        lines = sheet.read_bytes().decode(encoding).splitlines(keepends=True)
        sheet.write_bytes("".join(lines[:12]).encode(encoding))
    return folder


def week(*logs: str, columns: tuple[str, ...] = COLUMNS) -> list[str]:
    options = [part for each in columns for part in ("--columns", each)]
    return ["audit", *(logs or ("sheets",)), *options, "--jobs", "jobs.csv", "--as-of", "2026-06-01"]


def told(result: Result) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_one_run_gives_what_a_run_for_each_contractor_gives(folder: Path, run: Run) -> None:
    whole = told(run(*week(), "--format", "json"))
    each = [
        told(run(*week(f"sheets/{sheet}", columns=(columns,)), "--format", "json"))
        for sheet, columns in zip(SHEETS, COLUMNS, strict=True)
    ]
    assert whole["logs"] == [log for one in each for log in one["logs"]]
    assert len({log["verdict"] for log in whole["logs"]}) == 3
    assert whole["files"] == [file for one in each for file in one["files"]]
    assert whole["questions"] == [ask for one in each for ask in one["questions"]]
    assert [file["tables"][0]["column-file"] for file in whole["files"]] == list(COLUMNS)


def test_one_screen_says_by_which_column_file_each_table_was_read(folder: Path, run: Run) -> None:
    (folder / "sheets" / "own.csv").write_text(OWN)
    result = run(*week())
    assert result.exit_code == Exit.NONCONFORMING
    screen = " ".join(result.stdout.partition("DO NOT CONFORM")[0].split())
    for sheet, columns in zip(SHEETS, COLUMNS, strict=True):
        assert f"sheets/{sheet} by {columns}," in screen
    assert "sheets/own.csv no column file fits, UTF-8, commas, heading in line 1" in screen
    assert "19 logs" in screen
    assert max(map(len, result.stdout.splitlines())) <= 80
    rest = " ".join(result.stdout.partition("READ AS")[2].split())
    assert "read as the product's own log form, for no column file fits" in rest
    page = run(*week(), "--format", "html").stdout
    assert all(f"<p>by {columns}, " in page for columns in COLUMNS)
    assert "<p>no column file fits, UTF-8" in page


def test_of_many_files_it_is_counted_first_and_told_of_each_below(begun: Path, run: Run) -> None:
    for number in range(6):
        for sheet in SHEETS[:2]:
            shutil.copy(begun / "sheets" / sheet, begun / "sheets" / f"{number}-{sheet}")
    shown = run(*week()).stdout
    first = " ".join(shown.partition("\n\n")[0].split())
    assert first.endswith(f"7 tables by {COLUMNS[0]}; 7 tables by {COLUMNS[1]}; 1 table by {COLUMNS[2]}")
    assert f"sheets/3-{SHEETS[0]} by {COLUMNS[0]}, utf-8" in " ".join(shown.partition("FILES")[2].split())


def test_with_one_column_file_nothing_is_said_of_a_choice(folder: Path, run: Run) -> None:
    shown = run(*week(f"sheets/{SHEETS[0]}", columns=COLUMNS[:1])).stdout
    assert shown.startswith(f"sheets/{SHEETS[0]}   utf-8, commas, heading in line 1, ")
    page = run(*week(f"sheets/{SHEETS[0]}", columns=COLUMNS[:1]), "--format", "html").stdout
    assert f"by {COLUMNS[0]}, utf-8" not in page


def test_a_table_that_two_fit_alike_or_none_costs_that_table(begun: Path, run: Run) -> None:
    (begun / "twin.yaml").write_bytes((begun / COLUMNS[0]).read_bytes())
    (begun / "sheets" / "other.csv").write_text(OTHER)
    result = run(*week(columns=(*COLUMNS, "twin.yaml")), "--format", "json")
    assert result.exit_code == Exit.BAD_INPUT
    report = told(result)
    assert {log["file"] for log in report["logs"]} == {f"sheets/{each}" for each in SHEETS[1:]}
    lost = {each["file"]: each["problems"][0] for each in report["not-read"]}
    assert sorted(lost) == [f"sheets/{SHEETS[0]}", "sheets/other.csv"]
    both = lost[f"sheets/{SHEETS[0]}"]
    assert both["found"] == f"{COLUMNS[0]} and twin.yaml both fit it, and each names 9 of its headings"
    assert (both["line"], "in a run of its own with the right one of them" in both["hint"]) == (1, True)
    assert "no column file fits" in lost["sheets/other.csv"]["found"]
    shown = " ".join(run(*week(columns=(*COLUMNS, "twin.yaml"))).stdout.split())
    assert f"sheets/{SHEETS[0]}:1 {COLUMNS[0]} and twin.yaml both fit it" in shown


def test_processes_and_the_store_give_the_same_bytes(folder: Path, run: Run) -> None:
    alone = run(*week(), "--format", "json").stdout_bytes
    assert run(*week(), "--format", "json", "--workers", "2").stdout_bytes == alone
    assert run(*week(), "--format", "json", "--store", "kept").stdout_bytes == alone
    assert run(*week(), "--format", "json", "--store", "kept").stdout_bytes == alone


@pytest.mark.parametrize("number", range(3))
def test_a_store_notices_each_column_file(number: int, begun: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[str] = []
    real = Auditor.audit

    def noting(self: Auditor, log: ReadLog, *rest: Any) -> Item:
        judged.append(log.reference)
        return real(self, log, *rest)

    run(*week(), "--store", "kept")
    monkeypatch.setattr(Auditor, "audit", noting)
    run(*week(), "--store", "kept")
    assert judged == []
    changed = begun / COLUMNS[number]
    changed.write_text(changed.read_text("utf-8").replace("contractor: ", "contractor: New "), "utf-8")
    kept = told(run(*week(), "--store", "kept", "--format", "json"))
    assert len(judged) == 3
    assert len({log["contractor"] for log in kept["logs"] if log["contractor"].startswith("New ")}) == 1


@pytest.mark.parametrize("number", range(3))
def test_a_report_is_made_again_with_all_column_files(number: int, begun: Path, run: Run) -> None:
    (begun / "r.json").write_bytes(run(*week(), "--format", "json").stdout_bytes)
    report = json.loads((begun / "r.json").read_text("utf-8"))
    assert report["made-from"]["column-files"] == list(COLUMNS)
    assert report["made-from"]["columns"] == COLUMNS[0]
    assert report["digests"]["columns"] == report["digests"]["column-files"][0]
    assert len(set(report["digests"]["column-files"])) == 3
    assert run("audit", "--verify", "r.json").exit_code == Exit.CONFORMS
    changed = begun / COLUMNS[number]
    changed.write_bytes(changed.read_bytes() + b"# another remark\n")
    again = run("audit", "--verify", "r.json")
    assert again.exit_code == Exit.NONCONFORMING
    assert again.stdout.splitlines()[1:] == [f"  {changed.name}: the columns have changed"]
    changed.unlink()
    gone = run("audit", "--verify", "r.json")
    assert (gone.exit_code, changed.name in gone.stderr) == (Exit.BAD_INPUT, True)


def test_a_report_of_one_column_file_that_knows_of_no_others_is_made_again(begun: Path, run: Run) -> None:
    """Reports of format 1.3 name it under columns alone."""
    asked = week(f"sheets/{SHEETS[0]}", columns=COLUMNS[:1])
    report = told(run(*asked, "--format", "json"))
    assert (report["made-from"]["column-files"], report["made-from"]["columns"]) == ([COLUMNS[0]], COLUMNS[0])
    for part in ("made-from", "digests"):
        del report[part]["column-files"]
    (begun / "old.json").write_text(json.dumps(report))
    assert run("audit", "--verify", "old.json").stdout.splitlines()[1:] == ["  only the form of the text"]
    (begun / COLUMNS[0]).write_bytes((begun / COLUMNS[0]).read_bytes() + b"# another remark\n")
    assert run("audit", "--verify", "old.json").stdout.splitlines()[1:] == [f"  {COLUMNS[0]}: the columns have changed"]


@pytest.mark.parametrize(
    ("part", "key", "value", "says"),
    [
        ("made-from", "columns", "other.yaml", "this is no report"),
        ("made-from", "column-files", 3, "this is no report"),
        ("digests", "columns", "0", f"{COLUMNS[0]}: the columns have changed"),
        ("digests", "column-files", 3, f"{COLUMNS[1]}: the columns have changed"),
        ("digests", "column-files", [], f"{COLUMNS[2]}: the columns have changed"),
    ],
)
def test_a_report_that_contradicts_itself_is_not_the_same(
    part: str, key: str, value: object, says: str, begun: Path, run: Run
) -> None:
    report = told(run(*week(), "--format", "json"))
    report[part][key] = value
    (begun / "r.json").write_text(json.dumps(report))
    result = run("audit", "--verify", "r.json")
    assert result.exit_code == (Exit.BAD_INPUT if part == "made-from" else Exit.NONCONFORMING)
    assert says in result.stdout + result.stderr


def test_each_column_file_and_their_order_is_in_the_digest_of_everything(begun: Path, run: Run) -> None:
    contexts = [
        told(run(*week(f"sheets/{SHEETS[0]}", columns=columns), "--format", "json"))["digests"]["context"]
        for columns in ((), COLUMNS[:1], COLUMNS[:2], COLUMNS[1::-1], COLUMNS)
    ]
    assert len(set(contexts)) == 5


def test_what_cannot_be_is_said_before_anything_is_read(begun: Path, run: Run) -> None:
    twice = run(*week(columns=(COLUMNS[0], COLUMNS[0])))
    assert (twice.exit_code, "given twice" in twice.stderr) == (Exit.BAD_INPUT, True)
    gone = run(*week(columns=(COLUMNS[0], "gone.yaml")))
    assert (gone.exit_code, "'gone.yaml' does not exist" in gone.stderr) == (Exit.BAD_INPUT, True)
    asked = run(*week(), "--ask")
    assert (asked.exit_code, "give --columns once" in asked.stderr) == (Exit.BAD_INPUT, True)
    for name in COLUMNS[:2]:
        (begun / name).write_text("columns: {Task: tusk}\n")
    bad = run(*week())
    assert bad.exit_code == Exit.BAD_INPUT
    assert all(f"{name}:1" in bad.stderr for name in COLUMNS[:2])


def test_counts_are_over_all_contractors(folder: Path, run: Run) -> None:
    whole = told(run(*week(), "--format", "json"))["summary"]["verdicts"]
    assert told(run(*week(), "--counts", "--format", "json"))["verdicts"] == whole


HOUSE = """\
rulebook: Northfield district
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
may-approve: {major: [R. Example]}
change: [{rule: adhesive-bond-length, shortest: 6 in, reason: cold}]
"""


def test_rulebooks_are_compared_over_the_sheets_of_several_contractors(folder: Path, run: Run) -> None:
    """Symptom: two editions could be compared over the logs of one contractor at a time."""
    (folder / "north.yaml").write_text(HOUSE)
    options = [part for each in COLUMNS for part in ("--columns", each)]
    compared = ["rules", "compare", "base-practice", "north.yaml", "sheets", "--jobs", "jobs.csv"]
    whole = run(*compared, *options)
    judged = len(told(run(*week(), "--format", "json"))["logs"])
    assert whole.exit_code == Exit.CONFORMS, whole.output
    assert f"Over {judged} logs" in " ".join(whole.output.split())
    one = run(*compared, *options[:2])
    assert f"Over {judged} logs" not in " ".join(one.output.split()), "the others are not of this contractor"


def test_column_files_that_cannot_be_compared_by_are_told_together(folder: Path, run: Run) -> None:
    (folder / "north.yaml").write_text(HOUSE)
    (folder / "bad.yaml").write_text("nosuch: 1\n")
    (folder / "jobs.csv").write_text("reference,sheath\nX-1,steel\n")
    options = ["--columns", COLUMNS[0], "--columns", COLUMNS[0], "--columns", "bad.yaml", "--jobs", "jobs.csv"]
    result = run("rules", "compare", "base-practice", "north.yaml", "sheets", *options)
    assert result.exit_code == Exit.BAD_INPUT
    for place in (f"{COLUMNS[0]}: this column file is given twice", "bad.yaml:1:", "jobs.csv:2:B"):
        assert place in result.stderr
