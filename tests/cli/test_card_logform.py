"""The blank log form: filled in it is read back without a column file, and finds its plan by the digest."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut.archive.lexicon import RulebookLexicon
from ringcut.archive.logs import ReadLog
from ringcut.archive.streams import read_logs
from ringcut.checking import read
from ringcut.judge.findings import Report
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Problem
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve
from ringcut_cli.card.logform import defused
from ringcut_cli.rulebooks import rulebook

Run = Callable[..., Result]
Table = list[list[str]]


@pytest.fixture
def book(cache: Path, monkeypatch: pytest.MonkeyPatch) -> Rulebook:
    monkeypatch.setenv("RINGCUT_CACHE", str(cache))
    return rulebook(None, "2026-03-04")


@pytest.fixture
def form(run: Run, demo: Path, tmp_path: Path) -> Path:
    file = tmp_path / "log.csv"
    result = run("card", demo / "lead-opening.yaml", "--output", tmp_path / "card.html", "--log-form", file)
    assert result.exit_code == 0
    return file


def table_of(file: Path) -> Table:
    with file.open(encoding="utf-8", newline="") as stream:
        return list(csv.reader(stream))


def written(file: Path, table: Table) -> None:
    with file.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(table)


def heading_at(table: Table) -> int:
    return next(at for at, row in enumerate(table) if row[:1] == ["step"])


def filled(table: Table, values: dict[str, dict[str, str]]) -> Table:
    """Every step done, five minutes apart from 07:00, with readings by step and heading."""
    at = heading_at(table)
    heading = table[at]
    facts = [row if row[:1] != ["date"] else ["date", "2026-03-04"] for row in table[:at]]
    rows = []
    for number, row in enumerate(table[at + 1 :]):
        cells = dict(zip(heading, row, strict=True))
        cells |= {"status": "done", "at": f"{7 + number // 12:02}:{number % 12 * 5:02}", "by": "R. Example"}
        cells |= values.get(cells["step"], {})
        rows.append([cells[name] for name in heading])
    return [*facts, heading, *rows]


def read_back(file: Path, book: Rulebook) -> tuple[ReadLog, Procedure, Report]:
    opened = read_logs(file, file.name, RulebookLexicon(book))
    assert opened.sheet is not None
    assert opened.sheet.not_taken == ()
    (log,) = list(opened.logs)
    assert isinstance(log, ReadLog)
    problems: list[Problem] = []
    procedure = resolve(log.raw, book, problems)
    assert problems == []
    return log, procedure, judge_procedure(procedure, book, file=file.name, as_of="2026-03-04")


def test_a_filled_form_is_read_without_a_column_file(form: Path, book: Rulebook) -> None:
    values = {
        "test-atmosphere": {"combustible-gas (%LFL)": "0", "oxygen (%)": "20.9"},
        "confirm-zero": {"gauge-pressure (psi)": "0", "volume": "core"},
        "open-sheath": {"opening-length (in)": "14"},
        "assemble-sleeve": {"bond-length A (in)": "5-1/2", "bond-length B (in)": "4-7/8"},
        "hold-test": {"hold-test.duration (min)": "20", "start-pressure (psi)": "6", "isolated": "yes"},
        "turn-channel": {"channel-angle (o'clock)": "6"},
    }
    table = table_of(form)
    written(form, filled(table, values))
    log, procedure, report = read_back(form, book)
    assert log.reference == "QB-0417"
    assert len(procedure.occurrences) == len(table) - heading_at(table) - 1
    first, second = procedure.occurrences[:2]
    assert first.finish is not None and second.finish is not None
    assert first.finish % 86400 == 7 * 3600
    assert second.finish - first.finish == 300
    assert first.by == ("R. Example",)
    texts = {(each.step, name, side): text for each in procedure.occurrences for (name, side), (text, _) in
             each.texts.items()}  # fmt: skip
    assert texts["assemble-sleeve", "bond-length", "B"] == "4-7/8 in"
    assert texts["hold-test", "duration", ""] == "20 min"
    short = [each for each in report.findings if each.rule == "adhesive-bond-length"]
    assert [(each.side, each.verdict) for each in short] == [("B", "nonconforming")]


def test_the_log_finds_its_plan_by_the_digest(form: Path, demo: Path, book: Rulebook) -> None:
    written(form, filled(table_of(form), {}))
    _, procedure, _ = read_back(form, book)
    plan = (demo / "lead-opening.yaml").read_bytes()
    assert procedure.job_texts["plan-digest"][0] == hashlib.sha256(plan).hexdigest()
    assert procedure.job_texts["work"][0] == "trouble-opening"
    assert procedure.job_texts["manhole-depth"][0] == "9 ft"


def test_an_empty_form_records_no_work(form: Path, book: Rulebook) -> None:
    """Somebody who hands in the blank form has done nothing as far as the log tells."""
    _, procedure, report = read_back(form, book)
    assert procedure.occurrences == []
    assert {each.status for each in procedure.not_done} == {"not-recorded"}
    assert report.verdict == "undetermined"
    sleeve = [each.verdict for each in report.rules if each.rule in ("adhesive-bond-length", "gas-before-entry")]
    assert "conforms" not in sleeve


def test_the_page_of_the_form_has_every_row_and_the_digest(form: Path, demo: Path) -> None:
    page = form.with_suffix(".html").read_text(encoding="utf-8")
    table = table_of(form)
    assert page.count('<section class="step">') == len(table) - heading_at(table) - 1
    digest = hashlib.sha256((demo / "lead-opening.yaml").read_bytes()).hexdigest()
    assert digest in page.replace(" ", "")
    assert "<script" not in page


def test_readings_of_one_name_and_two_units_say_their_step(form: Path) -> None:
    heading = table_of(form)[heading_at(table_of(form))]
    assert "hold-test.duration (min)" in heading
    assert "duration (min)" not in heading
    assert {"bond-length A (in)", "bond-length B (in)"} <= set(heading)
    assert len(heading) == len(set(heading))


@pytest.mark.parametrize("text", ["=HYPERLINK(1)", "+1", "-1", "@x"])
def test_a_cell_that_a_spreadsheet_would_run_is_defused(text: str) -> None:
    assert defused(text) == f"'{text}"


def test_sides_that_the_form_has_no_columns_for_are_refused(run: Run, tmp_path: Path) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text(
        "procedure: plan\njob: {sides: [north, south], work: sheath-repair, sheath: lead}\nsteps: [scuff-lead]\n",
        encoding="utf-8",
    )
    result = run("card", plan, "--output", tmp_path / "c.html", "--log-form", tmp_path / "l.csv")
    assert result.exit_code == 2
    assert "sides north, south" in result.stderr
    assert not (tmp_path / "c.html").exists()


def test_an_escape_sequence_does_not_reach_the_sheet() -> None:
    assert defused("QB\x1b[31m7") == "QB\ufffd[31m7"


AUXILIARY = [
    "--work", "auxiliary-repair", "--sheath", "A lead, B polyethylene", "--construction", "single", "--core", "plastic",
    "--pressurized", "no", "--location", "manhole", "--cable-diameter", "2.05 in", "--opening-length", "3 in",
    "--fact", "special=[long-repair, cable-band]", "--fact", "special-procedure=[long-repair, cable-band]",
]  # fmt: skip


@pytest.fixture
def drafted(run: Run, tmp_path: Path) -> Path:
    """A drafted plan without a reference, in whose job a fact differs by side and another is a list."""
    plan = tmp_path / "plan.yaml"
    assert run("draft", "--no-ask", *AUXILIARY, "--output", plan).exit_code == 0
    return plan


def written_up(run: Run, plan: Path, tmp_path: Path) -> Path:
    """The plan's own form, every step done."""
    form = tmp_path / "done.csv"
    assert run("card", plan, "--output", tmp_path / "card.html", "--log-form", form, "--force").exit_code == 0
    table = filled(table_of(form), {})
    written(form, [[*row[:1], "-05:00"] if row[:1] == ["timezone"] else row for row in table])
    return form


def test_a_form_keeps_facts_of_each_side_and_lists(run: Run, drafted: Path, tmp_path: Path, book: Rulebook) -> None:
    form = written_up(run, drafted, tmp_path)
    above = [row for row in table_of(form) if len(row) == 2]
    assert ["sheath A", "lead"] in above
    assert ["sheath B", "polyethylene"] in above
    assert ["special", "[long-repair, cable-band]"] in above
    _, log, _ = read_back(form, book)
    plan = read(drafted.read_bytes(), "plan.yaml", book)
    facts = {name: value for name, value in log.job.items() if name[0] in ("sheath", "special", "special-procedure")}
    assert facts == {name: value for name, value in plan.job.items() if name in facts}
    assert len(facts) == 4


def test_a_form_without_a_reference_finds_its_plan(run: Run, drafted: Path, tmp_path: Path) -> None:
    form = written_up(run, drafted, tmp_path)
    told = " ".join(run("audit", form, "--plan", drafted).stdout.split())
    assert "done as planned in" in told
    other = tmp_path / "other.yaml"
    other.write_text(drafted.read_text(encoding="utf-8").replace("3 in", "4 in"), encoding="utf-8")
    told = " ".join(run("audit", form, "--plan", other).stdout.split())
    assert "as planned" not in told


def test_a_form_is_not_compared_with_another_version_of_its_plan(
    run: Run, demo: Path, form: Path, tmp_path: Path
) -> None:
    plan = tmp_path / "changed.yaml"
    plan.write_text((demo / "lead-opening.yaml").read_text(encoding="utf-8") + "# changed\n", encoding="utf-8")
    written(form, filled(table_of(form), {}))
    assert "as planned" not in " ".join(run("audit", form, "--plan", plan).stdout.split())
    assert "as planned" in " ".join(run("audit", form, "--plan", demo / "lead-opening.yaml").stdout.split())


def test_the_form_of_a_card_of_the_same_name_gets_a_page_of_its_own(run: Run, demo: Path, tmp_path: Path) -> None:
    card = tmp_path / "x.html"
    result = run("card", demo / "lead-opening.yaml", "--output", card, "--log-form", tmp_path / "x.csv")
    assert result.exit_code == 0
    assert "Log of work done" in (tmp_path / "x-log.html").read_text(encoding="utf-8")
    assert "Log of work done" not in card.read_text(encoding="utf-8")
    assert "x-log.html: the log form as a page, since" in " ".join(result.stderr.split())


def test_card_and_form_of_one_name_are_refused_in_a_whole_sentence(run: Run, demo: Path, tmp_path: Path) -> None:
    both = tmp_path / "x.csv"
    result = run("card", demo / "lead-opening.yaml", "--output", both, "--log-form", both)
    assert result.exit_code == 2
    told = " ".join(result.stderr.split())
    assert "x.csv would be card and log form at once" in told
    assert "--output card.html --log-form log.csv" in told
    assert not both.exists()


def test_the_form_tells_the_two_volumes_of_a_dam_apart(run: Run, tmp_path: Path, book: Rulebook) -> None:
    """Two rows "read zero" stood below each other, one for the core and one for the space, and were alike."""
    plan, form = tmp_path / "dam.yaml", tmp_path / "dam.csv"
    steps = "[{do: confirm-zero, volume: core}, {do: confirm-zero, volume: outer}, open-manhole]"
    plan.write_text(f"procedure: plan\njob: {{reference: D, work: inter-sheath-dam}}\nsteps: {steps}\n", "utf-8")
    run("card", str(plan), "--log-form", str(form))
    table = table_of(form)
    at = heading_at(table)
    note = table[at].index("note")
    assert [row[note] for row in table[at + 1 :]] == ["volume core", "volume outer", ""]
    page = form.with_suffix(".html").read_text("utf-8")
    assert "confirm-zero volume core" in page
    assert read_back(form, book)[1].occurrences == []
