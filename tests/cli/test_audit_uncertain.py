"""``ringcut audit`` over logs with uncertain readings: the expected wrong verdicts in text, JSON and the page."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

Run = Callable[..., Result]
JOB = {"work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "location": "aerial",
       "pressurized": "no"}  # fmt: skip


def log(number: int, bond: str) -> str:
    """An invented log of milestones with one bond length on both sides."""
    steps = [
        {"do": "open-sheath", "at": "2026-03-04T08:00:00-06:00"},
        {"do": "assemble-sleeve", "at": "2026-03-04T09:00:00-06:00", "bond-length": bond},
    ]
    job = JOB | {"reference": f"J-{number}"}
    return json.dumps({"procedure": "log", "records": "milestones", "job": job, "steps": steps})


@pytest.fixture
def many(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """30 logs: 10 at 2 u over the limit of 5 in (accepted), 10 at 1 u (open), 10 at 2 u under (rejected)."""
    monkeypatch.chdir(tmp_path)
    bonds = ["5.2 in u=0.1 in", "5.1 in u=0.1 in", "4.8 in u=0.1 in"]
    (tmp_path / "many.jsonl").write_text("\n".join(log(number, bonds[number % 3]) for number in range(30)) + "\n")
    return tmp_path


RISK = {"accepted": 20, "rejected": 20, "undetermined": 20, "wrong-accepts": 0.455003, "wrong-rejects": 0.455003}
"""Two sides of ten logs each; 2 u leave 2.275 % on the wrong side: 20 x 0.02275013 (the normal distribution's tail)."""


def test_json_has_every_limit_with_its_probability_and_the_sums(many: Path, run: Run) -> None:
    told = json.loads(run("audit", "many.jsonl", "--format", "json").stdout)
    rule, whole = {"rule": "adhesive-bond-length", "class": "major"}, {"rule": "all", "class": ""}
    assert told["summary"]["risks"] == [rule | RISK]
    assert told["summary"]["risk"] == whole | RISK
    first = told["logs"][0]["chances"]
    assert [(each["rule"], each["line"], each["side"], each["verdict"]) for each in first] == [
        ("adhesive-bond-length", 1, "A", "conforms"), ("adhesive-bond-length", 1, "B", "conforms"),
    ]  # fmt: skip
    assert {each["chance"] for each in first} == {0.977249868}


def test_text_tells_the_expected_numbers(many: Path, run: Run) -> None:
    shown = " ".join(run("audit", "many.jsonl").stdout.split())
    assert "UNCERTAIN READINGS" in shown
    assert "accepted 20, of these 0.46 expected to be wrong" in shown
    assert "rejected 20, of these 0.46 expected to be wrong" in shown
    assert "adhesive-bond-length accepted 20 (0.46 wrong), rejected 20 (0.46 wrong), cannot say 20" in shown


def test_what_keeps_us_from_saying_is_the_uncertainty(many: Path, run: Run) -> None:
    """Symptom: the cause was told as the name of the rule alone."""
    causes = json.loads(run("audit", "many.jsonl", "--format", "json").stdout)["summary"]["keeps-from-saying"]
    told = {each["cause"]: each["logs"] for each in causes if each["cause"].startswith("adhesive")}
    assert told == {"adhesive-bond-length: too near the limit for its uncertainty": 10}


def test_the_page_has_a_table_of_them(many: Path, run: Run) -> None:
    page = run("audit", "many.jsonl", "--format", "html").stdout
    rows = re.findall(r'<tr><th scope="row">(adhesive-bond-length|all rules)</th>(.*?)</tr>', page)
    cells = [[name, *re.findall(r'<td class="n">(.*?)</td>', rest)] for name, rest in rows]
    assert cells == [
        ["adhesive-bond-length", "20", "0.46", "20", "0.46", "20"], ["all rules", "20", "0.46", "20", "0.46", "20"],
    ]  # fmt: skip


def test_without_an_uncertainty_nothing_is_said_of_it(tmp_path: Path, run: Run) -> None:
    (tmp_path / "l.jsonl").write_text("\n".join(log(number, "5 in") for number in range(20)) + "\n")
    for form in ("text", "html"):
        assert "uncertain readings" not in run("audit", tmp_path / "l.jsonl", "--format", form).stdout.lower()
    summary = json.loads(run("audit", tmp_path / "l.jsonl", "--format", "json").stdout)["summary"]
    assert (summary["risks"], summary["risk"]) == ([], None)


def test_processes_and_the_store_add_up_the_same(many: Path, run: Run) -> None:
    base = ("audit", "many.jsonl", "--format", "json", "--as-of", "2026-04-01")
    alone = run(*base).stdout_bytes
    assert run(*base, "--workers", "2", "--store", "kept").stdout_bytes == alone
    assert run(*base, "--store", "kept").stdout_bytes == alone


def test_the_probability_stands_beside_what_was_read_whatever_it_decides(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Symptom: only what could not be said showed it, as "unreadable" and without the uncertainty and the limit."""
    monkeypatch.chdir(tmp_path)
    told = []
    for bond in ("5.2 in u=0.1 in", "5.1 in u=0.1 in", "4.9 in u=0.05 in"):
        (tmp_path / "one.jsonl").write_text(log(1, bond) + "\n")
        told.append(" ".join(run("audit", "one.jsonl").stdout.split()))
    assert "bond length 5.2 in u=0.1 in (at least 5 in; probability of conformity 98%)" in told[0]
    assert ("adhesive-bond-length: bond length 5.1 in u=0.1 in, at least 5 in (probability of conformity 84%)") in told[
        1
    ]
    assert (
        "adhesive-bond-length: bond length 4.9 in u=0.05 in, at least 5 in (0.1 in short, probability of conformity 2%)"
    ) in told[2]
    assert "unreadable" not in " ".join(told)
