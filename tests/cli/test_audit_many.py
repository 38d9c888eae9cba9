"""The text of an audit of many logs, beside its own JSON report: which logs it names on one screen, what it counts."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from click.testing import Result
from tests.benchmarks.manylogs import Raw, flawed, made

from ringcut.archive.results import LogReport
from ringcut.judge.findings import Counts, Digests, Finding
from ringcut_cli.audit.gravest import Gravest, called
from ringcut_cli.audit.manytext import ROOM

Run = Callable[..., Result]
SCREEN = 46
"""Lines of a usual terminal window."""


def spoilt(count: int, seed: int, often: float) -> Iterator[Raw]:
    """Logs of good work, each third with a flaw; ``often``: the share without tests of air and pole."""
    rng = Random(seed)
    for number in range(count):
        raw = made(number, rng)
        raw["steps"] = [each for each in raw["steps"] if isinstance(each, dict)]
        if number % 3 == 0:
            flawed(raw["steps"], rng)
        if rng.random() < often:
            raw["steps"] = [each for each in raw["steps"] if each["do"] not in ("test-atmosphere", "inspect-pole")]
        yield raw


@pytest.fixture
def audited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> Callable[..., tuple[str, dict[str, Any]]]:
    """The text and the JSON report of some logs."""
    monkeypatch.chdir(tmp_path)

    def both(count: int, seed: int, often: float) -> tuple[str, dict[str, Any]]:
        lines = [json.dumps(raw) for raw in spoilt(count, seed, often)]
        (tmp_path / "m.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
        asked = ("audit", "m.jsonl", "--as-of", "2026-12-01")
        return run(*asked).stdout, json.loads(run(*asked, "--format", "json").stdout)

    return both


def part(text: str, heading: str) -> str:
    """What stands under a heading, to the next empty line."""
    return text[text.index(heading) :].partition("\n")[2].partition("\n\n")[0]


def broken(report: dict[str, Any]) -> dict[str, set[str]]:
    """The rules of the worst class that each nonconforming log breaks, by reference."""
    return {
        log["reference"]: {
            each["rule"] for each in log["findings"]
            if each["verdict"] == "nonconforming" and each["class"] == log["worst-class"]
        }
        for log in report["logs"]
        if log["verdict"] == "nonconforming"
    }  # fmt: skip


def test_the_gravest_logs_are_named_each_with_its_worst_rule(audited: Callable[..., Any]) -> None:
    """Symptom: the text of thirty logs and more had counts only, and no log by its name."""
    text, report = audited(100, 7, 0.05)
    critical = {log["reference"] for log in report["logs"] if log["worst-class"] == "critical"}
    assert 1 < len(critical) <= ROOM < len(broken(report))
    rows = part(text, "DO NOT CONFORM").splitlines()
    told = [re.match(r"  (critical|major|minor) +(\S+) +(?:\S+:\S+ )?([a-z-]+)", row) for row in rows[:ROOM]]
    named = {each[2]: (each[1], each[3]) for each in told if each}
    assert len(named) == ROOM
    assert critical <= set(named)
    classes = {log["reference"]: log["worst-class"] for log in report["logs"]}
    for reference, (class_, rule) in named.items():
        assert class_ == classes[reference]
        assert rule in broken(report)[reference]
    assert rows[ROOM] == f"  and {len(broken(report)) - ROOM} more: all below"


def test_more_critical_logs_than_lines_are_gathered_under_their_worst_rule(audited: Callable[..., Any]) -> None:
    text, report = audited(60, 3, 0.8)
    rules = broken(report)
    critical = {log["reference"] for log in report["logs"] if log["worst-class"] == "critical"}
    assert len(critical) > ROOM
    said = part(text, "DO NOT CONFORM")
    listed, _, more = said.rpartition("\n  and ")
    here, named = "", set()
    for word in re.findall(r"^  [a-z-]+|NS-\d+", listed, re.MULTILINE):
        if not word.startswith("NS-"):
            here = word.strip()
            continue
        named.add(word)
        assert here in rules[word]
    left = len(critical - named)
    assert more.startswith(f"{len(rules) - len(named)} more, {f'{left} of them critical' if left else 'none'}")
    assert len(listed.splitlines()) <= ROOM


@pytest.mark.parametrize(("count", "often"), [(100, 0.05), (60, 0.8), (13, 0.0)])
def test_it_is_one_screen_and_all_is_counted(audited: Callable[..., Any], count: int, often: float) -> None:
    text, report = audited(count, 7, often)
    screen = text.partition("EACH LOG THAT")[0].partition("BY CREW")[0]
    assert len(screen.splitlines()) <= SCREEN
    for verdict, number in report["summary"]["verdicts"].items():
        said = "CANNOT SAY" if verdict == "undetermined" else verdict.upper()
        assert re.search(rf"^ +{number}  {said}", screen, re.MULTILINE)
    most = report["summary"]["breaks-most"][0]
    assert re.search(rf"^ +{most['logs']}  {most['class']} +{most['rule']}$", part(screen, "BREAKS MOST"), re.MULTILINE)
    cause = report["summary"]["keeps-from-saying"][0]
    assert f"{cause['logs']}  {cause['cause']}" in part(screen, "KEEPS US FROM SAYING")
    first = max(report["questions"], key=lambda each: len(each["rules"]))
    assert part(screen, "TO ASK").strip().startswith(first["reference"])


def test_below_the_screen_each_log_that_does_not_conform_is_told_whole(audited: Callable[..., Any]) -> None:
    """Symptom: of thirteen logs the text repeated the lines of the screen, and never said what else broke a log."""
    text, report = audited(60, 3, 0.8)
    below = text.partition("EACH LOG THAT DOES NOT CONFORM")[2].partition("\nBY ")[0]
    assert all(len(row) <= 80 for row in below.splitlines())
    told = {each.split()[0]: " ".join(each.split()) for each in below.strip().split("\n\n")}
    assert set(told) == set(broken(report))
    for log in report["logs"]:
        heads = {e["rule"] for e in log["findings"] if e["verdict"] == "nonconforming" and not e["told-under"]}
        assert all(rule in told[log["reference"]] for rule in heads)


def test_files_by_the_dozen_are_one_line_of_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Symptom: forty files of one log each filled two screens with their names before anything was said of them."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "week").mkdir()
    for number, raw in enumerate(spoilt(14, 5, 0.0)):
        (tmp_path / "week" / f"{number:02}.json").write_text(json.dumps(raw), encoding="utf-8")
    text = run("audit", "week", "--as-of", "2026-12-01").stdout
    assert text.startswith("14 files   14 logs\n\n14 logs\n")


def report(reference: str, *classes: str, file: str = "f.jsonl") -> LogReport:
    findings = tuple(
        Finding(f"rule-{name}", name, "nonconforming", file=file, line=4, found="4 in", cause=f"{name} {number}")
        for number, name in enumerate(classes)
    )
    counts = Counts(**{name: classes.count(name) for name in classes})
    return LogReport(
        file=file, procedure="log", reference=reference, verdict="nonconforming" if classes else "conforms",
        worst_class="", counts=counts, judged=(), not_covered=(), uncovered=False, findings=findings, rules=(),
        to_measure=(), warnings=(), assumptions=(), digests=Digests("", "", "", ""), as_of="", rulebook="",
    )  # fmt: skip


def test_the_gravest_are_held_however_many_come() -> None:
    rng, held, came = Random(2), Gravest(5), list[tuple[tuple[int, int], str]]()
    for number in range(400):
        critical, minor = rng.choice(((0, 1), (0, 3), (1, 0), (2, 0), (0, 0)))
        held.add(report(f"R-{number}", *["critical"] * critical, *["minor"] * minor))
        if critical or minor:
            came.append(((-critical, -minor), f"R-{number}"))
    first = [name for _, name in sorted(came, key=lambda each: each[0])][:5]
    assert [each.name for each in held.found()] == first
    assert [each.more for each in held.found()] == [1] * 5


def test_a_log_without_a_reference_is_called_by_its_place() -> None:
    assert called(report("", "minor")) == "f.jsonl:4"
    assert called(report("HV-1", "minor")) == "HV-1"


def test_two_logs_of_one_reference_have_their_file_beside_it() -> None:
    held = Gravest(5)
    for file in ("week/a.csv", "week/b.csv"):
        held.add(report("HV-1", "minor", file=file))
    held.add(report("HV-2", "minor"))
    assert [each.name for each in held.found()] == ["HV-1 a.csv", "HV-1 b.csv", "HV-2"]


PLAN = """\
procedure: plan
job: {{reference: {reference}}}
steps: [{{do: shrink-sleeve}}, {{do: wash-hands, id: washing}}]
"""


def test_what_was_done_otherwise_than_planned_is_on_the_screen_of_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Of many logs the screen said nothing of plans, and nothing of a plan that no log is of, at any number."""
    monkeypatch.chdir(tmp_path)
    raws = list(spoilt(14, 3, 0.0))
    (tmp_path / "logs.jsonl").write_text("\n".join(map(json.dumps, raws)) + "\n")
    (tmp_path / "one.jsonl").write_text(json.dumps(raws[0]) + "\n")
    for name, reference in (("p.yaml", raws[1]["job"]["reference"]), ("other.yaml", "NOBODY-1")):
        (tmp_path / name).write_text(PLAN.format(reference=reference))
    given = ("--plan", "p.yaml", "--plan", "other.yaml")
    told = run("audit", "logs.jsonl", *given).stdout
    compared = json.loads(run("audit", "logs.jsonl", *given, "--format", "json").stdout)["logs"][1]["compared"]
    assert "\nOTHERWISE THAN PLANNED  1 of 1 log with a plan\n" in told
    line = " ".join(part(told, "OTHERWISE THAN PLANNED").split())
    name = raws[1]["job"]["reference"]
    assert line.startswith(f"{name} added {len(compared['added'])} steps")
    nobody = "other.yaml: no log here is of its job, so nothing was compared with it."
    assert nobody in told and "p.yaml: no log here" not in told
    assert nobody in run("audit", "one.jsonl", *given).stdout
    assert nobody in run("audit", "one.jsonl", *given, "--format", "csv").stderr
    assert "OTHERWISE" not in run("audit", "logs.jsonl").stdout
