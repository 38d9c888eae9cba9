"""Two rulebooks side by side: kinds of difference, examples that really differ, and verdicts over logs."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ringcut.language.compile import compile_rulebook
from ringcut.language.compilerule import PATTERNS
from ringcut.language.ir import Rulebook
from ringcut.language.layering import load_layers
from ringcut.language.sources import read_sources
from ringcut.proof.compare import Difference, differences, over_logs
from ringcut.proof.judged import Judged
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure

HEAD = 'rulebook: north\nedition: "1"\nbased-on: base-practice\nin-force-from: 2026-03-01\n'
NEW_RULE = """\
rules:
  - rule: warmth-written
    says: The warmth is written down.
    class: minor
    record: [surface]
    of: cool
    reason: we look later
    remedy: write it
    basis: {house: invented}
    cases:
      - {log: [{do: cool, surface: 90 degF}], verdict: conforms}
      - {log: [cool], verdict: nonconforming}
"""


@pytest.fixture
def compared(base: Path, tmp_path: Path) -> Callable[[str], tuple[Rulebook, Rulebook, list[Difference]]]:
    def compared(text: str) -> tuple[Rulebook, Rulebook, list[Difference]]:
        file = tmp_path / "house.yaml"
        file.write_text(HEAD + text, encoding="utf-8")
        old = compile_rulebook(read_sources(base))
        new = load_layers(file, base, "2026-06-01").book
        return old, new, differences(old, new)

    return compared


@pytest.mark.parametrize(
    ("text", "rule", "kind", "verdicts"),
    [
        ("change:\n  - {rule: bond-long-enough, shortest: 6 in}\n",
         "bond-long-enough", "tightened", ("conforms", "nonconforming")),
        ("change:\n  - {rule: bond-long-enough, shortest: 4 in, reason: x, approved-by: R. Example}\n",
         "bond-long-enough", "loosened", ("nonconforming", "conforms")),
        ("change:\n  - {rule: looked-at, withdraw: yes, reason: x, approved-by: R. Example}\n",
         "looked-at", "gone", ("nonconforming", "conforms")),
        ("change:\n  - {rule: sniffed-in-time, wait: 5 min}\n",
         "sniffed-in-time", "tightened", ("conforms", "nonconforming")),
        ("change:\n  - {value: gas-limit, to: 5 %LFL}\n",
         "air-before-heat", "tightened", ("conforms", "nonconforming")),
        ("change:\n  - {rule: bond-long-enough, when: sheath is lead, shortest: 6 in}\n",
         "bond-long-enough", "tightened", ("conforms", "nonconforming")),
        (NEW_RULE, "warmth-written", "new", ("conforms", "nonconforming")),
    ],
)  # fmt: skip
def test_each_difference_has_a_small_procedure_that_shows_it(
    compared: Callable[[str], tuple[Rulebook, Rulebook, list[Difference]]],
    text: str,
    rule: str,
    kind: str,
    verdicts: tuple[str, str],
) -> None:
    old, new, found = compared(text)
    assert [(each.effect.rule, each.kind) for each in found] == [(rule, kind)]
    (example,) = found[0].examples
    assert (example.old, example.new) == verdicts
    assert Judged(old, new).both(rule, example.document) == verdicts
    for at in range(len(example.document["steps"])):
        fewer = {**example.document, "steps": [*example.document["steps"][:at], *example.document["steps"][at + 1 :]]}
        assert not fewer["steps"] or Judged(old, new).both(rule, fewer) != verdicts


def test_a_change_of_class_alone_leaves_every_verdict(
    compared: Callable[[str], tuple[Rulebook, Rulebook, list[Difference]]],
) -> None:
    _, _, (found,) = compared("change:\n  - {rule: looked-at, class: major}\n")
    assert (found.same_verdicts, found.examples) == (True, ())


def test_a_look_at_stamps_is_said_to_need_logs(with_rules: Callable[[str], Rulebook]) -> None:
    rule = f"  - {{rule: r, says: x, class: minor, pattern: {PATTERNS[0]}, reason: x, remedy: x, basis: geometry}}"
    (found,) = differences(with_rules("  []"), with_rules(rule))
    assert (found.stamps, found.examples) == (True, ())


def test_equal_rulebooks_do_not_differ(base: Path) -> None:
    book = compile_rulebook(read_sources(base))
    assert differences(book, book) == []


def _log(contractor: str, bond: str, **more: str) -> RawProcedure:
    steps = [{"do": "cover", "bond": bond}, "look", {"do": "cool", **more}]
    job = {"work": "covering", "place": "hall"}
    return read_procedure(json.dumps({"procedure": "log", "job": job, "steps": steps}).encode(), "log")


def test_verdicts_that_change_are_grouped(compared: Callable[..., tuple[Rulebook, Rulebook, list[Difference]]]) -> None:
    old, new, found = compared("change:\n  - {rule: bond-long-enough, shortest: 6 in}\n" + NEW_RULE)
    logs = [("one", _log("C", "5 in")), ("two", _log("C", "5-1/2 in")), ("three", _log("C", "7 in"))]
    judged = over_logs(old, new, logs, [each.effect.rule for each in found])
    changes = {(each.rule, each.old, each.new): each.logs for each in judged.changed}
    assert judged.judged == 3
    assert changes["bond-long-enough", "conforms", "nonconforming"] == ("one", "two")
    assert changes["warmth-written", "no such rule", "nonconforming"] == ("one", "two", "three")


def test_a_log_that_neither_rulebook_can_read_is_said_once(
    compared: Callable[..., tuple[Rulebook, Rulebook, list[Difference]]],
) -> None:
    old, new, _ = compared("change:\n  - {rule: bond-long-enough, shortest: 6 in}\n")
    raw = read_procedure(b"procedure: log\njob: {work: covering}\nsteps: [no-such-step, neither]\n", "log")
    judged = over_logs(old, new, [("odd", raw)], [])
    assert judged.judged == 0
    assert [each[:22] for each in judged.unread] == ["log:3:9: no-such-step:", "log:3:23: neither: no "]


def test_a_log_that_only_the_new_rulebook_can_read_is_said_with_the_other(
    compared: Callable[..., tuple[Rulebook, Rulebook, list[Difference]]],
) -> None:
    old, new, _ = compared("steps:\n  sing: {says: A song.}\n")
    raw = read_procedure(b"procedure: log\njob: {work: covering}\nsteps: [sing]\n", "log")
    judged = over_logs(old, new, [("odd", raw)], [])
    assert (judged.judged, [each.partition(":")[0] for each in judged.unread]) == (0, [f"by {old.name}, edition 1"])


def test_a_new_rule_on_a_new_step_has_its_example(
    compared: Callable[..., tuple[Rulebook, Rulebook, list[Difference]]],
) -> None:
    """Symptom: no example was found, since the old rulebook cannot read a step that it does not have."""
    _, _, found = compared(
        "steps:\n  hang: {says: hang it, readings: {high: {kind: length, unit: in, resolution: 1 in, known: planned,"
        " possible: [0 in, 90 in], says: how high}}}\nrules:\n  - rule: hung-low\n    says: x\n    class: minor\n"
        "    limit: hang.high <= 72 in\n    reason: x\n    remedy: x\n    basis: common practice\n"
        "    cases: [{steps: [{do: hang, high: 73 in}], verdict: nonconforming}]\n"
    )
    (example,) = found[0].examples
    assert (example.new, [step["do"] for step in example.document["steps"]]) == ("nonconforming", ["hang"])
