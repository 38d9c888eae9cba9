"""Counts are those of an audit of every log one by one, however the file is cut and whoever counts."""

from __future__ import annotations

import json
import random
from codecs import BOM_UTF8
from collections import Counter as Tally
from pathlib import Path

import pytest
from tests.benchmarks.manylogs import logs as usual_logs
from tests.bulk.adversarial import logs

from ringcut.archive import counting
from ringcut.archive.counting import Counter, Stretch, stretches
from ringcut.archive.counts import Adding, Counts
from ringcut.archive.crowd import counted
from ringcut.archive.jsonlines import LONGEST_LINE
from ringcut.archive.work import Bench, Piece, Settings, pieces
from ringcut.rulebookfiles import builtin_rulebook

BROKEN = (b'{"procedure":"log","job":{},', b'{"procedure":"plan","steps":["wash-hands"]}', b"\xff\xfe", b"[1, 2]", b"")


@pytest.fixture(scope="module")
def settings() -> Settings:
    """The built-in rulebook."""
    return Settings(builtin_rulebook(), "2026-06-01")


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Usual logs, unlikely ones, and lines that are none, in no order and without a line end at the end."""
    lines = [*BROKEN, *logs(14, seed=21), *(json.dumps(log).encode() for log in usual_logs(10, seed=22))]
    random.Random(1).shuffle(lines)
    path = tmp_path_factory.mktemp("many") / "logs.jsonl"
    path.write_bytes(b"\n".join(lines))
    return path


@pytest.fixture(scope="module")
def one_by_one(settings: Settings, file: Path) -> tuple[Tally[str], Tally[tuple[str, str]], int]:
    """Verdicts, verdicts by rule and the number of logs that were not read, from an audit of every log."""
    bench, verdicts, rules, not_read = Bench(settings), Tally[str](), Tally[tuple[str, str]](), 0
    for piece in pieces([(file, "logs.jsonl")]):
        for item in bench.done(piece).items:
            not_read += item.unread is not None
            if item.report is not None:
                verdicts[item.report.verdict] += 1
                rules.update((each.rule, each.verdict) for each in item.report.rules)
    return verdicts, rules, not_read


def counts_of(settings: Settings, file: Path, workers: int = 1) -> Counts:
    """The counts of a file."""
    counter, adding = Counter(settings), Adding()
    for work, found in counted(stretches([(file, "logs.jsonl")]), settings, workers, counter):
        adding.add(found, work.name)
    return adding.counts(settings.as_of, counter.bench.context())


@pytest.mark.parametrize("size", [10**9, 9000, 1])
def test_counts_are_those_of_an_audit_one_by_one(
    size: int,
    settings: Settings,
    file: Path,
    one_by_one: tuple[Tally[str], Tally[tuple[str, str]], int],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(counting, "STRETCH", size)
    found = counts_of(settings, file)
    verdicts, rules, not_read = one_by_one
    assert found.verdicts == dict(verdicts)
    assert (found.logs, found.not_read) == (sum(verdicts.values()), not_read)
    assert 10 <= found.in_bulk < found.logs
    for rule in found.rules:
        told = [rules[rule.rule, each] for each in ("conforms", "nonconforming", "undetermined", "under concession")]
        assert told == [rule.conforms, rule.nonconforming, rule.undetermined, rule.under_concession], rule.rule
    applied = {rule for rule, verdict in rules if verdict != "not applicable"}
    assert applied == {rule.rule for rule in found.rules}


def test_problems_name_the_line_of_the_file(settings: Settings, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting, "STRETCH", 5000)
    found = counts_of(settings, file)
    lines = file.read_bytes().split(b"\n")
    for problem in found.problems:
        line = lines[problem.line - 1]
        assert line in BROKEN or b'"steps"' in line
    assert {number for number, line in enumerate(lines, 1) if line in BROKEN[:4]} <= {p.line for p in found.problems}


def test_two_processes_count_what_one_does(settings: Settings, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting, "STRETCH", 60_000)
    assert counts_of(settings, file, workers=2) == counts_of(settings, file)


@pytest.mark.parametrize("workers", [1, 2])
def test_lines_that_need_a_closer_look_are_set_aside(
    workers: int, settings: Settings, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those that an audit one by one does not find to conform, and those that it cannot read, in order."""
    monkeypatch.setattr(counting, "STRETCH", 60_000)
    bench, wanted = Bench(settings), list[bytes]()
    for number, line in enumerate(file.read_bytes().splitlines(), 1):
        items = bench.done(Piece(file, "logs.jsonl", ((number, line),))).items if line.strip() else ()
        for item in items:
            fails = item.report is None or item.report.verdict in ("nonconforming", "undetermined")
            wanted += [line + b"\n"] if fails and line != b"\xff\xfe" else []
    marked = tmp_path / "logs.jsonl"
    marked.write_bytes(BOM_UTF8 + file.read_bytes())
    for path, aside in ((file, True), (marked, True), (file, False)):
        work = stretches([(path, "logs.jsonl")], aside=aside)
        found = [line for _, each in counted(work, settings, workers, Counter(settings)) for line in each.aside]
        assert found == (wanted if aside else [])


def test_what_does_not_conform_is_judged_with_concessions(tmp_path: Path, file: Path, settings: Settings) -> None:
    """A concession needs the job and the day, so that a log that may have one is looked at by itself."""
    given = tmp_path / "given.yaml"
    given.write_text(
        "concessions:\n  - {job: NS-0000001, rule: adhesive-bond-length, reason: tried, approved-by: R. Example, "
        "granted: 2026-01-01, expires: 2026-12-31}\n",
        encoding="utf-8",
    )
    allowed = Settings(builtin_rulebook(), "2026-06-01", concessions=given)
    counter = Counter(allowed)
    if not counter.bench.concessions.usable:
        pytest.skip("the built-in rulebook lets nobody approve")
    found, plain = counts_of(allowed, file), counts_of(settings, file)
    assert found.in_bulk == plain.verdicts.get("conforms", 0)


def test_stretches_are_whole_lines_and_cover_the_file(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting, "STRETCH", 3000)
    data, end = file.read_bytes(), 0
    for stretch in stretches([(file, "logs.jsonl")]):
        assert isinstance(stretch, Stretch)
        assert stretch.start == end
        end = stretch.start + stretch.size
        assert end == len(data) or data[end - 1 : end] == b"\n"
    assert end == len(data)


@pytest.mark.parametrize("at_once", [counting.MOST_AT_ONCE, 0])
def test_a_file_that_became_shorter_is_counted_to_its_end(
    at_once: int, settings: Settings, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Symptom: what was not there any more was waited for without end."""
    monkeypatch.setattr(counting, "MOST_AT_ONCE", at_once)
    (stretch,) = stretches([(file, "logs.jsonl")])
    lines = file.read_bytes().splitlines(keepends=True)
    file.write_bytes(b"".join(lines[:2]))
    assert Counter(settings).counted(stretch).lines == 2


def test_an_empty_file_and_one_that_is_gone_are_told(settings: Settings, tmp_path: Path) -> None:
    (tmp_path / "empty.jsonl").write_bytes(b"")
    assert counts_of(settings, tmp_path / "empty.jsonl").logs == 0
    gone = counts_of(settings, tmp_path / "gone.jsonl")
    assert (gone.logs, gone.not_read, len(gone.problems)) == (0, 1, 1)


@pytest.mark.parametrize("size", [LONGEST_LINE + 10, counting.MOST_AT_ONCE])
def test_a_line_that_is_no_line_of_a_log_costs_itself(size: int, settings: Settings, tmp_path: Path) -> None:
    path = tmp_path / "logs.jsonl"
    good = json.dumps(next(usual_logs(1))).encode()
    path.write_bytes(good + b"\n" + b"x" * size + b"\n" + good + b"\n")
    found = counts_of(settings, path)
    assert (found.logs, found.not_read, found.problems[0].line) == (2, 1, 2)
    assert isinstance(next(iter(stretches([(path, "logs.csv")]))), Piece)
