"""The guide's pages on files that people write: their sessions, typed, give what stands under them.

A block below a line with a file's name is that file; one that begins with ``$`` is typed. Three dots: any lines.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from click.testing import Result

from ringcut.archive.jobs import read_jobs
from ringcut.draft.packet import read_packet
from ringcut.draft.stock import COLUMNS, read_stock
from ringcut.language.compilerule import COMPANIONS, FORMS
from ringcut.language.layering import load_layers
from ringcut.language.sources import read_sources
from ringcut.language.words import StepText
from ringcut.rulebookfiles import builtin_rulebook
from ringcut_cli.commands.draft import COMMON
from ringcut_cli.commands.guide import topics

Run = Callable[..., Result]
ROOT = Path(__file__).parents[2]
FILE = re.compile(r"^`(?P<name>[\w.-]+)`[^\n]*:\n\n(?P<text>(?: {4}[^\n]*\n)+)", re.MULTILINE)
SESSION = re.compile(r"^ {4}\$ (?P<typed>[^\n]+)\n(?P<shown>(?: {4}(?!\$)[^\n]*\n|\n(?= {4}(?!\$)))+)", re.MULTILINE)
ABOUT = ("reference", "date", "timezone", "contractor", "district")


def plain(block: str) -> str:
    return "".join(line[4:] + "\n" for line in block.splitlines())


def matches(wanted: list[str], given: list[str]) -> bool:
    if not wanted:
        return not given
    if wanted[0] == "...":
        return any(matches(wanted[1:], given[at:]) for at in range(len(given) + 1))
    return bool(given) and wanted[0] == given[0] and matches(wanted[1:], given[1:])


PAGES = ("audit", "jobs", "stock-lists", "job-packets", "house-rules", "own-words", "writing-a-rule", "measures")


@pytest.mark.parametrize("topic", PAGES)
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
    assert files and sessions
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


def ruled(folder: Path, *lines: str) -> None:
    """Read a house rule with these lines; :class:`Unreadable` where they are none."""
    head = 'rulebook: x\nedition: "1"\nbased-on: base-practice\nin-force-from: 2026-01-01\nrules:\n'
    rule = ["- rule: x-rule", "  says: x", "  class: minor", *(f"  {line}" for line in lines)]
    file = folder / "x.yaml"
    file.write_text(head + "\n".join(rule) + "\n", encoding="utf-8")
    load_layers(file, builtin_rulebook())


def test_every_form_of_a_rule_is_shown_and_can_be_written_so(tmp_path: Path) -> None:
    part = topics()["writing-a-rule"].partition("## The form")[2].partition("## Expressions")[0]
    blocks = re.findall(r"(?:^ {4}[a-z].*\n)+(?:^ {8}.*\n)+", part, re.MULTILINE)
    shown = {}
    for block in blocks:
        lines = re.findall(r"^ {4}(\S.*)$", block, re.MULTILINE)
        shown[lines[0].partition(":")[0]] = block
        ruled(tmp_path, *lines)
    assert shown.keys() == set(FORMS) - {"pattern"}
    for form, block in shown.items():
        assert [key for key in COMPANIONS[form] if f"{key.rstrip('_')}:" not in block] == [], form


def test_every_expression_that_is_shown_can_be_read(tmp_path: Path) -> None:
    part = topics()["writing-a-rule"].partition("## Expressions")[2]
    shown = [each for line in re.findall(r"^ {4}(\S.*)$", part, re.MULTILINE) for each in re.split(r" {4,}", line)]
    assert len(shown) >= 10
    for each in shown:
        ruled(tmp_path, f'limit: "{each}"')


def test_every_key_of_a_step_of_ones_own_is_explained() -> None:
    page = topics()["own-words"]
    keys = {field.encode_name for field in msgspec.structs.fields(StepText)} - {"place", "subject", "lasting"}
    assert {key for key in keys if not re.search(rf"(?<![\w-]){key}(?![\w-])", page)} <= {"meant-where"}
