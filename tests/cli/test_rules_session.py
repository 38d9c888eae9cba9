"""An author's session, all through the command line: from an empty house rulebook to what it does to past jobs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ringcut.rulebookfiles import builtin_rulebook
from ringcut_cli.main import cli

LOG = """\
procedure: log
job: {{reference: HV-{number}, contractor: {crew}, work: trouble-opening, sheath: lead, location: aerial}}
steps:
  - {{do: assemble-sleeve, bond-length: {bond}}}
"""


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(word) for word in words])


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")


@pytest.fixture
def started(tmp_path: Path) -> Path:
    file = tmp_path / "north.yaml"
    found = run(
        "rules",
        "new",
        file,
        "--name",
        "Northfield district",
        "--approver",
        "R. Example",
        "--in-force-from",
        "2026-03-01",
    )
    assert found.exit_code == 0, found.output
    return file


def uncommented(file: Path) -> str:
    """The house file with its examples switched on."""
    text = file.read_text(encoding="utf-8")
    text = re.sub(r"^# (change|rules|conditions|steps):$", r"\1:", text, flags=re.MULTILINE)
    return re.sub(r"^#   (  )?(?=[- ]|bond-|photo)", r"  \1", text, flags=re.MULTILINE)


def test_a_new_house_rulebook_passes_and_changes_nothing(started: Path) -> None:
    found = run("rules", "proofread", started)
    assert (found.exit_code, "no mistakes" in found.output) == (0, True)
    assert "0 rules differ" in run("rules", "compare", builtin_rulebook(), started).output


def test_what_is_asked_can_be_answered(tmp_path: Path) -> None:
    file = tmp_path / "south.yaml"
    words = ["rules", "new", str(file)]
    found = CliRunner().invoke(cli, words, input="South: works no. 3\nS. Example\n2026-04-01\n")
    assert found.exit_code == 0, found.output
    assert run("rules", "proofread", file).exit_code == 0


def test_a_file_that_is_there_is_left_alone(started: Path) -> None:
    before = started.read_text(encoding="utf-8")
    found = run("rules", "new", started, "--name", "x", "--approver", "R. Example", "--in-force-from", "2026-03-01")
    assert (found.exit_code, "already" in found.output) == (2, True)
    assert started.read_text(encoding="utf-8") == before


def test_an_office_is_no_approver(tmp_path: Path) -> None:
    file = tmp_path / "east.yaml"
    found = run("rules", "new", file, "--name", "x", "--approver", "foreman", "--in-force-from", "2026-03-01")
    assert (found.exit_code, "not a person's name" in found.output) == (2, True)
    assert not file.exists()


@pytest.mark.parametrize(("typed", "question"), [
    ("", "Name of the district"), ("Southfield\n", "Who may approve"), ("Southfield\nS. Example\n", "In force from"),
])  # fmt: skip
def test_input_that_ends_says_what_was_not_written_and_how_to_ask_nothing(
    tmp_path: Path, typed: str, question: str
) -> None:
    file = tmp_path / "south.yaml"
    found = CliRunner().invoke(cli, ["rules", "new", str(file)], input=typed)
    told = " ".join(found.output.split())
    assert (found.exit_code, found.stdout) == (2, "")
    assert question in told and "Nothing was written" in told
    assert not list(tmp_path.iterdir())
    for option in ("--name", "--approver", "--in-force-from"):
        assert option in told


def test_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    file = tmp_path / "south.yaml"
    typed = "Southfield\nforeman\nS. Example\n1 March\n2026-03-01\n"
    found = CliRunner().invoke(cli, ["rules", "new", str(file)], input=typed)
    assert found.exit_code == 0, found.output
    assert found.stdout.startswith("Wrote ")
    assert "not a person" in found.stderr and "not a day" in found.stderr
    assert "critical: [S. Example]" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(("words", "told"), [
    (("missing/south.yaml",), "no folder"), (("south.yaml", "--based-on", "nowhere"), "beside"),
    (("south.txt",), ".yaml"), (("south.yaml", "--name", " "), "needs a name"),
])  # fmt: skip
def test_what_cannot_be_written_is_said_before_anything_is_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    found = CliRunner().invoke(cli, ["rules", "new", *words], input="")
    assert found.exit_code == 2
    assert told in " ".join(found.output.split())
    assert not list(tmp_path.iterdir())


def test_a_session_from_new_to_compare(started: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    started.write_text(uncommented(started), encoding="utf-8")
    found = run("rules", "proofread", started)
    assert found.exit_code == 1
    assert "northfield-photo-of-bond is not in north.ids.txt" in " ".join(found.output.split())
    ids = started.with_suffix(".ids.txt")
    ids.write_text(ids.read_text(encoding="utf-8") + "northfield-photo-of-bond\n", encoding="utf-8")
    found = run("rules", "proofread", started)
    assert found.exit_code == 0, found.output
    assert "shortest 5 in to 6 in (tightens)" in " ".join(found.output.split())

    found = run("rules", "cases", started, "--rule", "northfield-photo-of-bond")
    assert (found.exit_code, "2 cases of 1 rule: 2 as expected" in found.output) == (0, True)

    found = run("rules", "cases", started, "--boundaries")
    told = " ".join(found.output.split())
    assert found.exit_code == 0, found.output
    assert "adhesive-bond-length, case 1: conforms there, nonconforming here" in told

    shown = run("rules", "show", "adhesive-bond-length", "--rulebook", started).output
    assert "6 in" in shown and "north.yaml:" in shown

    logs = tmp_path / "logs"
    logs.mkdir()
    for number, (crew, bond) in enumerate((("C", "5 in"), ("C", "5-1/2 in"), ("D", "7 in"))):
        (logs / f"{number}.yaml").write_text(LOG.format(number=number, crew=crew, bond=bond), encoding="utf-8")
    found = run("rules", "compare", "base-practice", started, logs)
    assert found.exit_code == 0, found.output
    said = " ".join(found.output.split())
    assert "northfield-photo-of-bond minor: a new rule" in said
    assert "fire-watch-long-enough" in said and "Loosened" in said
    assert "adhesive-bond-length conforms -> nonconforming" in said
    assert "C: 2 (0.yaml HV-0, 1.yaml HV-1)" in said
    (logs / "odd.yaml").write_text("procedure: log\nsteps: [{do: nosuch}, {do: neither}]\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with_odd = run("rules", "compare", "base-practice", started, "logs")
    told = " ".join(with_odd.output.split())
    assert with_odd.exit_code == run("audit", logs).exit_code == 2
    assert "Over 3 logs" in told and "odd.yaml:2:14: nosuch" in told and "odd.yaml:2:28: neither" in told

    assert "no such rule" not in said.partition("Over 3 logs")[2].partition("Asked for")[0] or "photo" in said


def test_where_there_is_no_log_to_compare_over_it_is_said(started: Path, tmp_path: Path) -> None:
    """Symptom: a folder without logs, or with logs that could not be read, ended with 0 and «no verdict changes»."""
    (tmp_path / "none").mkdir()
    found = run("rules", "compare", "base-practice", started, tmp_path / "none")
    assert found.exit_code == 2
    told = " ".join(found.output.split())
    assert "No log was judged" in told and "none: no file of logs here" in told
