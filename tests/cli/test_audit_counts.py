"""The counts of many logs by contractor, crew, place and week: text, page and JSON add up to the same logs."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from html import unescape
from pathlib import Path

import pytest
from click.testing import Result

Run = Callable[..., Result]
JOB = {"work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "location": "aerial",
       "pressurized": "no"}  # fmt: skip
LOGS, WEEKS, CREWS = 210, 70, 62
FIRST = date(2026, 1, 5)
"""A Monday, of the second ISO week of its year."""


def one(number: int) -> str:
    """An invented log; each week, each crew and two contractors in turn, every third without a contractor."""
    day = FIRST + timedelta(weeks=number % WEEKS)
    crew = {"by": f"crew {number % CREWS}"}
    bond = {"bond-length": "4 in" if number % 5 == 0 else "5-1/2 in"}
    steps = [
        {"do": "open-sheath", "at": f"{day}T08:00:00Z", **crew},
        {"do": "assemble-sleeve", "at": f"{day}T09:00:00Z", **crew, **bond},
    ]
    job = JOB | {"reference": f"J-{number}", "date": str(day)} | ({"contractor": "C-1"} if number % 3 else {})
    return json.dumps({"procedure": "log", "records": "milestones", "job": job, "steps": steps})


def week(number: int) -> str:
    year, number, _ = (FIRST + timedelta(weeks=number % WEEKS)).isocalendar()
    return f"{year}-W{number:02}"


@pytest.fixture
def told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> Callable[[str], str]:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "m.jsonl").write_text("".join(one(number) + "\n" for number in range(LOGS)))
    return lambda form: run("audit", "m.jsonl", "--format", form).stdout


def test_every_group_is_in_json_with_all_its_logs(told: Callable[[str], str]) -> None:
    summary = json.loads(told("json"))["summary"]
    wanted = {
        "by-contractor": Counter("C-1" for number in range(LOGS) if number % 3),
        "by-crew": Counter(f"crew {number % CREWS}" for number in range(LOGS)),
        "by-place": Counter(["aerial"] * LOGS),
        "by-week": Counter(map(week, range(LOGS))),
    }
    assert {name: {each["name"]: each["logs"] for each in summary[name]} for name in wanted} == wanted
    bad = Counter(week(number) for number in range(0, LOGS, 5))
    assert {each["name"]: each["nonconforming"] for each in summary["by-week"] if each["nonconforming"]} == bad
    assert [each["name"] for each in summary["by-week"]] == sorted(wanted["by-week"])


def test_the_text_says_what_it_leaves_out(told: Callable[[str], str]) -> None:
    """Symptom: of more than eight weeks the first were not told, and nothing said so; nor who was of no contractor."""
    parts = {part.partition(" ")[2].split("  ")[0]: part for part in told("text").split("\n\n") if part[:3] == "BY "}
    assert "70 logs do not say it" in parts["CONTRACTOR"]
    assert "and 54 more" in parts["CREW"]
    weeks = re.findall(r"\d{4}-W\d\d", parts["WEEK"])
    assert weeks == sorted(map(week, range(WEEKS)))[-8:]
    assert "and 62 earlier" in parts["WEEK"]
    assert "do not say it" not in parts["CREW"] + parts["PLACE"] + parts["WEEK"]


def test_the_page_has_the_last_weeks_and_says_what_it_leaves_out(told: Callable[[str], str]) -> None:
    """Symptom: the page showed the first forty weeks of a trend, so that the newest were the ones left out."""
    page = told("html")
    tables = {
        name: part.partition("<table")[0]
        for name, part in re.findall(
            r'<table class="shares"><caption>By (\w+):(.*?)(?=<table class="sh|</section>)', page, re.S
        )
    }
    rows = {name: re.findall(r'<th scope="row" class="free">(.*?)</th>', part) for name, part in tables.items()}
    assert rows["week"] == sorted(map(week, range(WEEKS)))[-60:]
    assert "and 10 earlier; --format json has all." in tables["week"]
    assert len(rows["crew"]) == 60
    assert "and 2 more; --format json has all." in tables["crew"]
    assert "70 logs do not say it." in unescape(tables["contractor"])
