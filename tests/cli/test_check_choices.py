"""``ringcut check`` on plans that leave something open, and with a stock list of one's own."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest
from click.testing import Result

from ringcut.judge.findings import FORMAT
from ringcut_cli.exits import Exit
from ringcut_cli.shown.reporttext import verdict_word

Run = Callable[..., Result]

STOCK = "size,slips over in,shrinks to in,length in\nQ-1,3,1,30\nQ-2,5,2,36\n"
"""Invented."""


@pytest.fixture
def plan(demo: Path, tmp_path: Path) -> Callable[..., Path]:
    """The good plan of the demo without size and lengths of the sleeve, on an opening of some length."""

    def plan(opening: str = "14 in") -> Path:
        text = (demo / "lead-opening.yaml").read_text(encoding="utf-8")
        for decided in (", size: S-4", ", sleeve-length: 28 in", ", channel-length: 28 in"):
            assert decided in text
            text = text.replace(decided, "")
        text = text.replace("opening-length: 14 in", f"opening-length: {opening}")
        path = tmp_path / "open.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return plan


def _part(shown: str, heading: str) -> str:
    """A part of a page up to the next heading, as one line."""
    return " ".join(shown.partition(heading)[2].partition("YOURS TO MEASURE")[0].split())


def test_an_open_plan_shows_the_values_left_and_the_rules_at_their_ends(plan: Callable[..., Path], run: Run) -> None:
    """14 in of opening, 2 in of tape, 11 in of bond and 1 in of allowance (common practice, no source): 28 in."""
    result = run("check", plan())
    assert result.exit_code == Exit.UNDETERMINED
    told = _part(result.stdout, "YOURS TO CHOOSE")
    assert "trim-sleeve sleeve length 28 to 48 in not less: sleeve-allowance not more: sleeve-within-stock" in told
    assert "select-sleeve size 5 of 7: S-3, S-4, S-5, S-6, S-7 no others:" in told
    assert max(map(len, result.stdout.splitlines()[1:])) <= 80


def test_the_values_left_are_in_the_json_report(plan: Callable[..., Path], run: Run) -> None:
    report = json.loads(run("check", "--format", "json", plan()).stdout)
    rows = {row["reading"]: row for row in report["to-choose"]}
    assert rows["sleeve-length"]["values-left"] == "28 to 48 in"
    assert rows["sleeve-length"]["not-less"] == ["sleeve-allowance"]
    assert rows["size"]["left"] == 5
    assert report["format"] == FORMAT


def test_a_plan_in_which_everything_is_decided_shows_no_such_part(demo: Path, run: Run) -> None:
    result = run("check", demo / "lead-opening.yaml")
    assert result.exit_code == Exit.CONFORMS
    assert "YOURS TO CHOOSE" not in result.stdout


def test_a_plan_in_which_everything_is_decided_does_not_load_the_search(demo: Path) -> None:
    code = (
        "import sys; from click.testing import CliRunner; from ringcut_cli.main import cli;"
        "CliRunner().invoke(cli, ['check', sys.argv[1]]);"
        "print(sorted({'constraint', 'networkx', 'pint'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(demo / "lead-opening.yaml")], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_a_plan_that_cannot_be_completed_is_nonconforming_with_the_numbers(plan: Callable[..., Path], run: Run) -> None:
    """The longest sleeve of the invented stock list is 48 in; an opening of 40 in wants 52 in at least."""
    result = run("check", plan("40 in"))
    assert result.exit_code == Exit.NONCONFORMING
    told = " ".join(result.stdout.split())
    assert "found no sleeve length and size fits: opening length 40 in" in told
    assert "needed values that keep sleeve-long-enough, sleeve-within-stock together" in told


def test_the_stock_list_of_ones_own_decides_and_is_told(plan: Callable[..., Path], run: Run, tmp_path: Path) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text(STOCK, encoding="utf-8")
    result = run("check", "--stock", stock, plan())
    told = _part(result.stdout, "YOURS TO CHOOSE")
    assert "sleeve length 28 to 36 in" in told
    digest = sha256(STOCK.encode()).hexdigest()
    shown = " ".join(result.stdout.split())
    assert f"stock list {digest[:12]}" in shown
    assert "Sleeves are those of" in shown
    report = json.loads(run("check", "--stock", stock, "--format", "json", plan()).stdout)
    assert report["stock"] == str(stock)
    assert report["digests"]["stock"] == digest


def test_of_a_long_stock_list_the_first_sizes_are_named(plan: Callable[..., Path], run: Run, tmp_path: Path) -> None:
    """Invented: 30 sizes that all fit, of which the JSON report has every one."""
    stock = tmp_path / "stock.csv"
    rows = [f"K-{number},5,1,40" for number in range(30)]
    stock.write_text("\n".join(["size,slips over in,shrinks to in,length in", *rows, "short,5,1,20"]), encoding="utf-8")
    told = _part(run("check", "--stock", stock, plan()).stdout, "YOURS TO CHOOSE")
    assert "size 30 of 31: K-0, K-1, K-2, K-3, K-4, K-5, K-6, K-7, K-8, K-9 and 20 more no others:" in told
    report = json.loads(run("check", "--stock", stock, "--format", "json", plan()).stdout)
    (size,) = [row for row in report["to-choose"] if row["reading"] == "size"]
    assert size["values-left"].endswith("K-28, K-29")


def test_a_size_that_is_not_in_stock_cannot_be_said_to_conform(demo: Path, run: Run, tmp_path: Path) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text(STOCK, encoding="utf-8")
    result = run("check", "--stock", stock, demo / "lead-opening.yaml")
    assert result.exit_code == Exit.UNDETERMINED
    assert result.stdout.startswith(verdict_word("undetermined"))


def test_a_stock_list_that_cannot_be_read_is_told_with_its_place(demo: Path, run: Run, tmp_path: Path) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text("size,length\nQ,3\n", encoding="utf-8")
    result = run("check", "--stock", stock, demo / "lead-opening.yaml")
    assert result.exit_code == Exit.BAD_INPUT
    assert "no column slips-over" in " ".join(result.stderr.split())
    assert result.stdout == ""


def test_correct_says_of_such_a_plan_what_check_says(plan: Callable[..., Path], run: Run) -> None:
    """Either edits after which it conforms, or the rules against each other; never that nothing is to be corrected."""
    result = run("correct", plan("40 in"))
    assert result.exit_code == Exit.NONCONFORMING
    told = " ".join(result.stdout.split())
    assert "Nothing to correct" not in told
    assert "sleeve-within-stock" in told
