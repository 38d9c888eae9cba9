"""The bulk says of every log what the reference interpreter says of it.

``tests/benchmarks/bench_many.py --agree`` does the same on as many logs as one likes.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from itertools import count

import pytest
from tests.benchmarks.manylogs import logs as usual_logs
from tests.bulk.adversarial import families, logs
from tests.bulk.comparing import differences, reference

from ringcut.bulk.cutting import STAMP, Cut
from ringcut.bulk.cutting import cut as cut_really
from ringcut.bulk.entries import Entries
from ringcut.bulk.judging import Bulk
from ringcut.bulk.kinds import Kind, Run
from ringcut.language.ir import Rulebook

USUAL_JOB = {
    "work": "trouble-opening", "sheath": "polyethylene", "construction": "single", "jacket": "none", "core": "plastic",
    "pressurized": "no", "fed": "no", "location": "aerial",
}  # fmt: skip


@pytest.fixture(scope="module")
def bulk(book: Rulebook) -> Bulk:
    """What has been learnt goes on from test to test, as from log to log."""
    return Bulk(book)


@pytest.mark.parametrize("seed", range(3))
def test_unlikely_logs_and_their_siblings_get_the_verdicts_of_the_reference(
    seed: int, bulk: Bulk, book: Rulebook
) -> None:
    told = [(line, differences(line, bulk, book)) for line in families(6, seed)]
    assert [(line, parted) for line, parted in told if parted] == []
    assert sum(parted is None for _, parted in told) < len(told) / 2, "most logs are left to the other way"


def test_usual_logs_are_all_judged_in_bulk(bulk: Bulk, book: Rulebook) -> None:
    for log in usual_logs(20, seed=7):
        assert differences(json.dumps(log, separators=(",", ":")).encode(), bulk, book) == []


def test_verdicts_do_not_depend_on_what_was_learnt_before(book: Rulebook) -> None:
    """The same logs, in another order on another bulk, and once more on the first."""
    lines = list(families(5, seed=99))
    first, second = Bulk(book), Bulk(book)
    judged = {line: first.judge(line) for line in lines}
    random.Random(5).shuffle(lines)
    for each in (second, first):
        for line in lines:
            here, there = each.judge(line), judged[line]
            assert (here is None) == (there is None)
            if here and there:
                assert (here.codes, here.uncovered) == (there.codes, there.uncovered)


def test_a_bulk_that_forgets_judges_alike(book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringcut.bulk.judging.MOST_TEXTS", 40)
    bulk = Bulk(book)
    assert all(differences(line, bulk, book) in (None, []) for line in logs(8, seed=3))


def test_a_bulk_that_drops_what_is_seldom_met_judges_alike(book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringcut.bulk.judging.MOST_RUNS", 45)
    left: list[bool] = []

    def keep(kind: Kind, wanted: Callable[[Run], bool]) -> None:
        before = len(kind.runs)
        keep_really(kind, wanted)
        left.append(len(kind.runs) < before)

    keep_really = Kind.keep
    monkeypatch.setattr(Kind, "keep", keep)
    bulk = Bulk(book)
    most = 0
    for seed in (3, 4):
        for line in [*families(4, seed), *(json.dumps(log, separators=(",", ":")).encode() for log in usual_logs(9))]:
            assert differences(line, bulk, book) in (None, [])
            most = max(most, bulk._runs())
    assert 0 < most <= 45
    assert any(left)


def test_an_alphabet_that_is_full_is_begun_anew(book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringcut.bulk.letters.MOST", 60)
    bulk = Bulk(book)
    assert all(differences(line, bulk, book) in (None, []) for line in logs(8, seed=4))


def test_a_log_longer_than_its_alphabet_is_left_to_the_other_way(
    book: Rulebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ringcut.bulk.letters.MOST", 3)
    line = json.dumps(next(usual_logs(1))).encode()
    assert Bulk(book).judge(line) is None
    assert reference(line, book) is not None


@pytest.mark.parametrize("diameters", [("0.2 in", "1.5 in"), ("1.5 in", "0.2 in")])
def test_a_look_up_that_one_job_has_and_another_has_not_is_no_matter_of_order(
    diameters: tuple[str, str], book: Rulebook
) -> None:
    """A cable outside the shield table made the limit undetermined for every later one of its kind of job."""
    bulk, said = Bulk(book), {}
    for diameter in diameters:
        job = {**USUAL_JOB, "cable-diameter": diameter, "shield-type": "A"}
        measured = {"resistance": "500 ohm", "temperature": "68 degF", "measured-length": "1000 ft"}
        steps = [{"do": "measure-shield", "at": "2026-03-01T08:00:00Z", **measured}]
        line = json.dumps({"procedure": "log", "job": job, "steps": steps}).encode()
        assert differences(line, bulk, book) == []
        report = reference(line, book)
        assert report is not None
        said[diameter] = next(each.verdict for each in report.rules if each.rule == "shield-resistance")
    assert said == {"0.2 in": "undetermined", "1.5 in": "nonconforming"}


def test_a_step_whose_readings_add_up_is_left_to_the_other_way(small_book: Callable[..., Rulebook]) -> None:
    readings = "readings: {wide: {kind: length, unit: in}}"
    words = f"steps: {{a: {{says: a, again: adds, {readings}}}, b: {{says: b, {readings}}}}}"
    reader = Entries(small_book(words, "  []"), {})
    assert reader.read(f'"do":"b","at":"{STAMP}","wide":"2 in"') is not None
    assert reader.read(f'"do":"a","at":"{STAMP}","wide":"2 in"') is None


def test_jobs_that_say_something_of_their_own_are_one_frame(book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many texts there are around the steps, what was learnt of the logs is kept."""
    monkeypatch.setattr("ringcut.bulk.frames.MOST_HEADS", 3)
    monkeypatch.setattr("ringcut.bulk.judging.MOST_FRAMES", 3)
    bulk = Bulk(book)
    log = next(usual_logs(1, seed=8))
    for number in range(10):
        log["job"]["district"] = f"D-{number}"
        assert differences(json.dumps(log).encode(), bulk, book) == []
    assert len(bulk.frames) == 1
    assert len(bulk.frames._known) <= 3
    learnt = sum(kind.learnt for kind in bulk._kinds.values())
    for number in range(10):
        log["job"]["cable-diameter"] = f"1.{70 + number} in"
        assert differences(json.dumps(log).encode(), bulk, book) == []
        assert len(bulk.frames) <= 4
    kinds = bulk._kinds.values()
    assert sum(kind.learnt for kind in kinds) == learnt, "a job that differs in a number was learnt anew"


def test_a_text_that_was_not_met_is_read_by_itself(book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a log differs from earlier ones in its job's number and in what one entry says, only that entry is read."""
    bulk, log = Bulk(book), next(usual_logs(1, seed=8))
    place = next(place for place, step in enumerate(log["steps"]) if step["do"] == "check-foreign-voltage")
    numbers = count()

    def line(voltage: str) -> bytes:
        log["steps"][place]["voltage"] = voltage
        log["job"]["reference"] = f"N-{next(numbers)}"
        return json.dumps(log, separators=(",", ":")).encode()

    for voltage in ("2 V", "3 V"):
        assert differences(line(voltage), bulk, book) == []
    whole: list[bytes] = []

    def cut(line: bytes) -> Cut | None:
        whole.append(line)
        return cut_really(line)

    monkeypatch.setattr("ringcut.bulk.judging.cut", cut)
    for voltage in ("4 V", "4.5 V", "0 V"):
        assert differences(line(voltage), bulk, book) == []
    assert whole == []
    for voltage in ("200 V", "two volts", "5 V\\", "6 V\x7f", ""):
        assert differences(line(voltage), bulk, book) in (None, [])
    assert len(whole) == 5


def test_functions_for_what_is_usual_are_bounded(book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> None:
    """A function takes ten kilobytes, and in a million logs nearly everything is met often enough to have one."""
    monkeypatch.setattr("ringcut.bulk.kinds.OFTEN", 1)
    monkeypatch.setattr("ringcut.bulk.judging.MOST_FUNCTIONS", 5)
    bulk = Bulk(book)
    lines = [json.dumps(log, separators=(",", ":")).encode() for log in usual_logs(40, seed=9)]
    for line in lines:
        assert bulk.judge(line) is not None
        made = sum(len(run.usual) for kind in bulk._kinds.values() for run in kind.all_runs())
        assert bulk._tally.functions == made <= 6
    assert bulk._tally.often > 1
    assert [differences(line, bulk, book) for line in lines] == [[]] * len(lines)
