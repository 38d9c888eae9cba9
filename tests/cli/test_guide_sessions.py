"""The guide's pages on files that go in beside a plan or a log: their sessions, typed, give what stands under them.

A block below a line with a file's name is that file; one that begins with ``$`` is typed. Three dots: any lines.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from ringcut.archive.jobs import read_jobs
from ringcut.draft.packet import read_packet
from ringcut.draft.stock import COLUMNS, read_stock
from ringcut.language.sources import read_sources
from ringcut_cli.commands.draft import COMMON
from ringcut_cli.commands.guide import topics

Run = Callable[..., Result]
ROOT = Path(__file__).parents[2]
FILE = re.compile(r"^`(?P<name>[\w.-]+)`[^\n]*:\n\n(?P<text>(?: {4}[^\n]*\n)+)", re.MULTILINE)
SESSION = re.compile(r"^ {4}\$ (?P<typed>[^\n]+)\n(?P<shown>(?: {4}(?!\$)[^\n]*\n)+)", re.MULTILINE)
ABOUT = ("reference", "date", "timezone", "contractor", "district")


def plain(block: str) -> str:
    return "".join(line[4:] + "\n" for line in block.splitlines())


def matches(wanted: list[str], given: list[str]) -> bool:
    if not wanted:
        return not given
    if wanted[0] == "...":
        return any(matches(wanted[1:], given[at:]) for at in range(len(given) + 1))
    return bool(given) and wanted[0] == given[0] and matches(wanted[1:], given[1:])


@pytest.mark.parametrize("topic", ["audit", "jobs", "stock-lists", "job-packets"])
def test_a_session_gives_what_stands_under_it(
    topic: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "74")
    page = topics()[topic]
    files = {found["name"]: plain(found["text"]) for found in FILE.finditer(page)}
    for name, text in files.items():
        Path(name).write_text(text, encoding="utf-8")
    sessions = list(SESSION.finditer(page))
    assert len(files) >= 3 and sessions
    for found in sessions:
        result = run(*shlex.split(found["typed"])[1:])
        given = [line.rstrip() for line in (result.stdout + result.stderr).splitlines()]
        wanted = [line.rstrip() for line in plain(found["shown"]).splitlines()]
        assert matches(wanted, given), "\n".join(given)


def test_the_two_ways_to_write_a_job_say_the_same() -> None:
    files = {found["name"]: plain(found["text"]).encode() for found in FILE.finditer(topics()["jobs"])}
    table, text = (read_jobs(files[name], name) for name in ("jobs.csv", "jobs.yaml"))
    told = [
        {
            each.name.text: each.value.text if each.value else [value.text for _, value in each.sides]
            for each in job.facts
        }
        for job in (table.of("WO-7")[0], text.of("WO-7")[0])
    ]
    assert told[0] == told[1]
    assert [job.closure for job in table.of("wo 8")] == ["north", "south"]


def test_the_two_ways_to_write_a_packet_say_the_same() -> None:
    files = {found["name"]: plain(found["text"]).encode() for found in FILE.finditer(topics()["job-packets"])}
    for reference in ("WO-7", "WO-8"):
        table, text = (read_packet(files[name], name, reference).job for name in ("packet.csv", "packet.yaml"))
        assert table == text


def test_the_two_ways_to_write_a_stock_list_say_the_same() -> None:
    files = {found["name"]: plain(found["text"]).encode() for found in FILE.finditer(topics()["stock-lists"])}
    table, text = (read_stock(files[name], name) for name in ("stock.csv", "stock.yaml"))
    assert [[cell.text for cell in row] for row in table.rows] == [[cell.text for cell in row] for row in text.rows]


def test_every_column_of_a_stock_list_and_every_question_of_a_draft_is_explained() -> None:
    for topic, names in (("stock-lists", COLUMNS), ("job-packets", ("reference", *COMMON))):
        assert [name for name in names if not re.search(rf"^ {{4}}{name}  ", topics()[topic], re.MULTILINE)] == []


def test_every_fact_that_is_no_consequence_of_others_is_named() -> None:
    page = topics()["jobs"]
    facts = read_sources(ROOT / "rulebook").vocabulary.facts
    given = {name for name, fact in facts.items() if fact.means is None} - {"phones", "plan-digest", *ABOUT}
    assert {name for name in given if not re.search(rf"(?<![\w-]){name}(?![\w-])", page)} == set()
