"""``ringcut check`` on whole plans: exit codes, what stands on stdout and stderr, several files, hostile text."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut_cli.exits import Exit

Run = Callable[..., Result]

ENDS = {
    "lead-opening": (Exit.CONFORMS, "CONFORMS"),
    "bond-too-late": (Exit.NONCONFORMING, "NONCONFORMING"),
    "bled-not-measured": (Exit.NONCONFORMING, "NONCONFORMING"),
    "channel-over-the-bar": (Exit.NONCONFORMING, "NONCONFORMING"),
    "short-on-one-side": (Exit.NONCONFORMING, "NONCONFORMING"),
    "flame-without-test": (Exit.NONCONFORMING, "NONCONFORMING"),
    "any-order": (Exit.NONCONFORMING, "NONCONFORMING"),
    "not-covered": (Exit.UNDETERMINED, "CANNOT SAY"),
}

KEYS = {
    "verdict", "worst-class", "counts", "judged", "not-covered", "digests", "as-of", "findings", "reference",
    "to-measure", "warnings", "assumptions",
}  # fmt: skip
FINDING_KEYS = {
    "rule", "class", "verdict", "why-undetermined", "file", "line", "column", "side", "closure", "steps", "found",
    "needed", "margin", "message", "evidence", "example-order", "remedy", "basis",
}  # fmt: skip
"""What is promised of the published report."""


@pytest.mark.parametrize("name", ENDS)
def test_a_plan_ends_with_its_exit_code_and_begins_with_its_verdict(name: str, run: Run, demo: Path) -> None:
    code, verdict = ENDS[name]
    result = run("check", demo / f"{name}.yaml")
    assert result.exit_code == code, result.output
    assert result.stdout.startswith(f"{verdict}  ")
    assert result.stderr == ""


def test_every_line_fits_into_eighty_columns(run: Run, demo: Path) -> None:
    lines = run("check", demo / "any-order.yaml").stdout.splitlines()
    assert max(map(len, lines[1:])) <= 80  # the first names the file, whose path cannot be broken
    assert [line for line in lines if line != line.rstrip()] == []


@pytest.mark.parametrize(
    ("name", "rule", "told"),
    [
        ("bond-too-late", "lead-bond-before-opening", "comes only after open-sheath (line 41)"),
        ("channel-over-the-bar", "channel-away-from-bar", "at least 90 deg: 30 deg short"),
        ("short-on-one-side", "adhesive-bond-length", "at least 5 in: 1/8 in short"),
        ("any-order", "permanent-before-temporary-off", "allowed by the plan: "),
        ("flame-without-test", "gas-test-before-flame", "at most 10 min: "),
        ("bled-not-measured", "zero-before-opening", "confirm-zero"),
    ],
)
def test_a_flawed_plan_names_its_rule_and_says_by_how_much(
    name: str, rule: str, told: str, run: Run, demo: Path
) -> None:
    shown = " ".join(run("check", demo / f"{name}.yaml").stdout.split())
    assert f"{rule} (" in shown
    assert told in shown


def test_the_parts_stand_in_the_order_of_the_danger(run: Run, demo: Path) -> None:
    shown = run("check", demo / "bond-too-late.yaml").stdout
    parts = ["NONCONFORMING", "WHAT CAN HURT", "YOURS TO MEASURE", "TAKEN AS GIVEN", "WATCH OUT", "JUDGED BY"]
    places = [shown.index(part) for part in parts]
    assert places == sorted(places)
    assert shown.index("DANGER") < shown.index("WARNING") < shown.index("CAUTION ")


def test_conforms_stands_beside_what_was_judged_and_is_no_permit(run: Run, demo: Path) -> None:
    shown = " ".join(run("check", demo / "lead-opening.yaml").stdout.split())
    assert "Conforms in these subjects, as written, and in no other: identification, " in shown
    assert "not a permit" in shown
    assert "Local codes" in shown


def test_what_is_not_covered_is_named(run: Run, demo: Path) -> None:
    shown = " ".join(run("check", demo / "not-covered.yaml").stdout.split())
    assert "Not judged: a change of diameter under the sleeve" in shown


@pytest.mark.parametrize("least", ["critical", "major", "minor"])
def test_fail_on_sets_from_which_class(least: str, run: Run, demo: Path) -> None:
    code = run("check", "--fail-on", least, demo / "short-on-one-side.yaml").exit_code
    assert code == (Exit.CONFORMS if least == "critical" else Exit.NONCONFORMING)


def test_several_files_are_told_each_and_the_gravest_counts(run: Run, demo: Path) -> None:
    files = [demo / f"{name}.yaml" for name in ("lead-opening", "not-covered", "bond-too-late")]
    result = run("check", *files)
    assert [line.split("  ")[0] for line in result.stdout.splitlines() if line.endswith(("0417", "0424", "0418"))] == [
        "CONFORMS", "CANNOT SAY", "NONCONFORMING",
    ]  # fmt: skip
    assert result.exit_code == Exit.NONCONFORMING
    assert run("check", *files[:2]).exit_code == Exit.UNDETERMINED
    assert run("check", files[2], demo / "as-typed.yaml").exit_code == Exit.BAD_INPUT


def test_a_dash_reads_standard_input(run: Run, demo: Path) -> None:
    result = run("check", "-", input=(demo / "lead-opening.yaml").read_bytes())
    assert result.stdout.startswith("CONFORMS  standard input  QB-0417\n")


def test_json_of_one_file_is_one_object(run: Run, demo: Path) -> None:
    report = json.loads(run("check", "--format", "json", demo / "short-on-one-side.yaml").stdout)
    assert set(report) >= KEYS
    (finding,) = report["findings"]
    assert set(finding) >= FINDING_KEYS
    assert finding["side"] == "B"
    assert report["worst-class"] == finding["class"] == "major"


def test_json_of_several_files_is_a_list_with_the_unreadable_one_in_it(run: Run, demo: Path) -> None:
    result = run("check", "--format", "json", demo / "lead-opening.yaml", demo / "as-typed.yaml")
    good, bad = json.loads(result.stdout)["reports"]
    assert good["verdict"] == "conforms"
    assert "verdict" not in bad
    assert {"file", "line", "column", "found", "expected", "hint"} <= set(bad["problems"][0])
    assert "cannot be read yet: 5 places" in result.stderr
    assert result.exit_code == Exit.BAD_INPUT


def test_the_same_plan_gives_the_same_bytes(run: Run, demo: Path) -> None:
    arguments = ("check", "--as-of", "2026-03-04", "--format", "json", demo / "any-order.yaml")
    assert run(*arguments).stdout_bytes == run(*arguments).stdout_bytes


def test_the_day_is_today_unless_it_is_given(run: Run, demo: Path) -> None:
    shown = run("check", "--as-of", "2026-03-04", demo / "lead-opening.yaml").stdout
    assert "for 2026-03-04" in shown
    refused = run("check", "--as-of", "3/4/2026", demo / "lead-opening.yaml")
    assert refused.exit_code == Exit.BAD_INPUT
    assert "Write it as 2026-03-01." in refused.stderr


def test_a_missing_file_is_told_and_the_others_are_judged(run: Run, demo: Path) -> None:
    result = run("check", "no-such-plan.yaml", demo / "lead-opening.yaml")
    assert result.exit_code == Exit.BAD_INPUT
    assert "no-such-plan.yaml cannot be read yet. Nothing was judged." in result.stderr
    assert result.stdout.startswith("CONFORMS")


def test_text_of_a_file_cannot_command_the_terminal(run: Run, demo: Path, tmp_path: Path) -> None:
    """Symptom to keep out: a reference with escape codes or reordering marks repaints or hides the verdict."""
    text = (demo / "lead-opening.yaml").read_text(encoding="utf-8")
    hostile = '"\\e[2J[bold red]ok[/] \\u202Egnp \\a"'
    plan = tmp_path / "plan.yaml"
    plan.write_text(text.replace("reference: QB-0417", f"reference: {hostile}"), encoding="utf-8")
    shown = run("check", plan, color=True).stdout
    assert "\\x1b[2J[bold red]ok[/] \\u202egnp \\x07" in shown
    assert not {"\x1b[2J", "\u202e", "\x07"} & {part for part in ("\x1b[2J", "\u202e", "\x07") if part in shown}


@pytest.mark.parametrize("data", [b"", b"\x00\xff\xfe\x00binary", b"- just\n- a list\n", b"procedure: plan\n" * 2])
def test_what_is_no_plan_is_told_with_exit_code_2(data: bytes, run: Run) -> None:
    result = run("check", "-", input=data)
    assert result.exit_code == Exit.BAD_INPUT
    assert result.stdout == ""
    assert "Nothing was judged." in result.stderr
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize(("no_color", "coloured"), [("1", False), ("", True)])
def test_a_terminal_gets_colour_unless_no_color_is_set(
    no_color: str, coloured: bool, demo: Path, cache: Path, run: Run
) -> None:
    run("check", demo / "bond-too-late.yaml")  # so that the cache is warm
    environment = {**os.environ, "NO_COLOR": no_color, "TERM": "xterm", "RINGCUT_CACHE": str(cache)}
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "ringcut_cli", "check", demo / "bond-too-late.yaml"], stdout=theirs, env=environment
    ) as process:
        os.close(theirs)
        shown = b"".join(iter(lambda: _read(ours), b""))
        assert process.wait() == Exit.NONCONFORMING
    os.close(ours)
    assert b"WHAT CAN HURT" in re.sub(rb"\x1b\[[\d;]*m", b"", shown)
    assert (b"\x1b[" in shown) == coloured


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 65536)
    except OSError:  # Linux says so that the other end is closed
        return b""


CONCESSION = """concessions:
  - {job: QB-0421, rule: adhesive-bond-length, side: B, reason: no longer sleeve in stock, approved-by: M. Example,
     granted: 2026-03-01, expires: 2026-03-31}
  - {job: QB-9999, rule: adhesive-bond-length, reason: another job, approved-by: M. Example,
     granted: 2026-03-01, expires: 2026-03-31}
"""


@pytest.mark.parametrize(
    ("day", "code"), [("2026-03-31", Exit.CONFORMS), ("2026-04-01", Exit.NONCONFORMING)], ids=["last day", "expired"]
)
def test_a_concession_is_shown_and_holds_to_its_last_day(
    day: str, code: Exit, run: Run, demo: Path, tmp_path: Path
) -> None:
    file = tmp_path / "concessions.yaml"
    file.write_text(CONCESSION)
    result = run("check", "--as-of", day, "--concessions", file, demo / "short-on-one-side.yaml")
    assert result.exit_code == code
    assert "adhesive-bond-length" in result.stdout
    assert "M. Example" in result.stdout
    assert "QB-9999" in result.stderr


def test_a_concession_that_does_not_count_is_in_the_report(run: Run, demo: Path, tmp_path: Path) -> None:
    file = tmp_path / "concessions.yaml"
    file.write_text(CONCESSION.replace("rule: adhesive-bond-length, side", "rule: adhesive-bond, side"))
    asked = ("check", "--as-of", "2026-03-31", "--concessions", file, demo / "short-on-one-side.yaml")
    result = run(*asked)
    assert result.exit_code == Exit.NONCONFORMING
    assert "does not count: no rule adhesive-bond" in " ".join(result.stdout.split())
    told = json.loads(run(*asked, "--format", "json").stdout)
    assert any("no rule adhesive-bond" in each for each in told["aloud"])
