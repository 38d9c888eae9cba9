"""Plans, logs and models as typed: every key of a step, every mistake at its place, never a traceback."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.procedurefile import STEP_KEYS, read_jsonl_line, read_procedure, read_raw
from ringcut.reading.raw import RawGroup, RawProcedure, RawReading, RawStep

DATA = Path(__file__).parent / "data"

PLAN = """\
procedure: plan
job: {reference: HV-2031, sheath: {A: lead, B: polyethylene}, hazards: [traffic, water]}
steps:
  - guard-work-area
  - Any Order: [identify-cable, [pump water, {do: bleed, id: b}], {any_order: [x, y]}]
  - do: wrap-rubber-tape
    id: tape
    layers: 2
    overlap: {A: 1 in, B: 1-1/8 in}
  - do: assemble-sleeve
    after: [tape, b]
    optional: true
    photos: [p1, p2]
  - {do: shrink sleeve, after: []}
title: a plan
"""

LOG = """\
procedure: log
records: milestones
job: {reference: X, core: }
steps:
  - do: test-atmosphere
    at: 07:15
    started: 2026-03-04T07:10:00-05:00
    by: [R. Example, S. Example]
    side: A
    closure: 2
    status: not-done
    reason: "no meter"
    evidence: photo 1
    note: it rained
    oxygen: 20.9 %
    combustible-gas:
    overlap: {A: 1 in, B: }
    carbon-monoxide: null
"""


def read(text: str) -> RawProcedure:
    return read_procedure(text.encode(), "p.yaml")


def told(text: str) -> list[str]:
    with pytest.raises(Unreadable) as caught:
        read(text)
    return [str(problem).removeprefix("p.yaml:") for problem in caught.value.problems]


def names(items: tuple[RawStep | RawGroup, ...]) -> list[object]:
    return [item.do.text if isinstance(item, RawStep) else [names(each) for each in item.branches] for item in items]


def at(line: int, column: int) -> Place:
    return Place("p.yaml", line, column)


def test_a_plan() -> None:
    plan = read(PLAN)
    assert plan.kind == "plan" and plan.place == at(1, 1)
    assert plan.digest == hashlib.sha256(PLAN.encode()).hexdigest()
    assert plan.keys == {"title": Phrase("a plan", at(15, 8))}
    assert plan.job == (
        RawReading(Phrase("reference", at(2, 7)), Phrase("HV-2031", at(2, 18))),
        RawReading(
            Phrase("sheath", at(2, 27)),
            sides=(
                (Phrase("A", at(2, 36)), Phrase("lead", at(2, 39))),
                (Phrase("B", at(2, 45)), Phrase("polyethylene", at(2, 48))),
            ),
        ),
        RawReading(
            Phrase("hazards", at(2, 63)),
            items=(Phrase("traffic", at(2, 73)), Phrase("water", at(2, 82))),
            is_list=True,
        ),
    )
    assert names(plan.steps) == [
        "guard-work-area",
        [["identify-cable"], ["pump water", "bleed"], [[["x"], ["y"]]]],
        "wrap-rubber-tape",
        "assemble-sleeve",
        "shrink sleeve",
    ]
    bare, _, tape, sleeve, shrink = plan.steps
    assert bare == RawStep(Phrase("guard-work-area", at(4, 5)), place=at(4, 5))
    assert isinstance(tape, RawStep) and isinstance(sleeve, RawStep) and isinstance(shrink, RawStep)
    assert tape.id == Phrase("tape", at(7, 9)) and tape.after is None
    assert [reading.name.text for reading in tape.readings] == ["layers", "overlap"]
    assert [(side.text, value.text) for side, value in tape.readings[1].sides] == [("A", "1 in"), ("B", "1-1/8 in")]
    assert sleeve.after is not None and [each.text for each in sleeve.after] == ["tape", "b"]
    assert sleeve.optional is not None and sleeve.optional.text == "true"
    assert sleeve.readings[0].is_list
    assert shrink.after == (), "after nothing is not the same as no after"


def test_a_log_keeps_its_times_as_typed_and_takes_a_blank_for_not_recorded() -> None:
    log = read(LOG)
    assert log.kind == "log" and log.keys["records"].text == "milestones"
    assert [fact.name.text for fact in log.job] == ["reference"]
    (step,) = log.steps
    assert isinstance(step, RawStep)
    single = {key: getattr(step, key) for key in ("at", "started", "closure", "status", "reason", "note")}
    assert {key: phrase.text for key, phrase in single.items()} == {
        "at": "07:15",
        "started": "2026-03-04T07:10:00-05:00",
        "closure": "2",
        "status": "not-done",
        "reason": "no meter",
        "note": "it rained",
    }
    several = {key: getattr(step, key) for key in ("by", "side", "evidence")}
    assert {key: [each.text for each in phrases] for key, phrases in several.items()} == {
        "by": ["R. Example", "S. Example"],
        "side": ["A"],
        "evidence": ["photo 1"],
    }
    assert [reading.name.text for reading in step.readings] == ["oxygen", "overlap"]
    assert [side.text for side, _ in step.readings[1].sides] == ["A"]


def test_a_plan_as_typed_comes_back_for_further_checks() -> None:
    problems: list[Problem] = []
    plan = read_raw((DATA / "plan-as-typed.yaml").read_bytes(), "plan", problems)
    assert [str(problem.place) for problem in sorted(problems)] == ["plan:19:21", "plan:29:15"]
    assert plan is not None
    places = {step.do.text: step for step in plan.steps if isinstance(step, RawStep)}
    assert str(places["notify desk"].place) == "plan:13:5"
    assert str(places["place dessicant"].place) == "plan:21:5"
    values = {reading.name.text: reading for step in places.values() for reading in step.readings}
    found = {name: reading.value for name, reading in values.items() if reading.value}
    assert [str(found[name].place) for name in ("oxygen", "combustible-gas", "sleeve-length")] == [
        "plan:9:13",
        "plan:10:22",
        "plan:36:20",
    ]
    assert "conductor-size" not in values, "what a comment ate is told once"
    assert [(side.text, value.text) for side, value in values["overlap"].sides] == [("A", '1"'), ("B", '1"')]


HEAD = "procedure: plan\nsteps:\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("- a", "1:1: found a list. a mapping (key: value). begin the file with procedure: plan, or procedure: log."),
        ("steps: [a]", "1:1: the key procedure is missing. procedure: plan or procedure: log."),
        ("procedure: plna\nsteps: [a]", "1:12: procedure: plna is no kind of procedure. "
         "procedure: plan or procedure: log. did you mean plan?"),
        ("procedure: [plan]\nsteps: [a]", "1:12: procedure: found a list. procedure: plan or procedure: log."),
        ("procedure:\nsteps: [a]", "1:11: procedure: found nothing. procedure: plan or procedure: log."),
        ("procedure: plan", "1:1: the key steps is missing. steps: and a list."),
        ("procedure: plan\nsteps: []", "2:8: steps: the list is empty. at least one step."),
        ("procedure: plan\nsteps: {a: b}", "2:8: steps: found a mapping. a list of steps. "
         "write each step in a line of its own, as - name."),
        (HEAD + "  -a\n  -b", "3:3: steps: found a text. a list of steps. a blank is missing after the dash."),
        (HEAD + "- a\njob: x", "4:6: job: found a text. a mapping of facts. write job: {location: manhole, ...}."),
        (HEAD + "- a\njob: {x: }", "4:10: x: empty. a value. write it, or delete the key."),
        (HEAD + "- a\njob: {x: {A: {b: c}}}", "4:14: x A: found a mapping. a value."),
        (HEAD + "- a\njob: {x: {}}", "4:10: x: empty. a value, or a value a side."),
        (HEAD + "- a\nrecord: milestones", "4:1: record is not a key of a procedure. did you mean records?"),
        (HEAD + "- a\nrecords: [x]", "4:10: records: found a list. a text."),
        (HEAD + "- a\nrecords:", "4:9: records: empty. a text. write it, or delete the line."),
        (HEAD + "-\n- a", "3:2: an empty step. the name of a step. delete the dash."),
        (HEAD + "- {}", "3:3: an empty step. do: and the name of a step."),
        (HEAD + "- [a, b]", "3:3: a list among the steps. a step. steps in no order go under any-order:."),
        (HEAD + "- do:", "3:6: do: empty. the name of a step."),
        (HEAD + "- do: [a]", "3:7: do: found a list. the name of a step."),
        (HEAD + "- do:ventilate", "3:3: a blank is missing after the colon. write do: ventilate."),
        (HEAD + "- step: ventilate", "3:3: step is not the key of a step's name. write do: ventilate."),
        (HEAD + "- id: x\n  layers: 2", "3:3: the key do is missing. do: and the name of a step."),
        (HEAD + "- ventilate: 10 min", "3:3: ventilate: is a step without do. "
         "write do: ventilate, and its readings under it as keys."),
        (HEAD + "- wrap-rubber-tape: {layers: 2}", "3:3: wrap-rubber-tape: is a step without do. "
         "write do: wrap-rubber-tape, and its readings under it as keys."),
        (HEAD + "- Wrap rubber tape:\n  layers: 2", "3:3: Wrap rubber tape: is a step without do. "
         "write do: wrap-rubber-tape."),
        (HEAD + "- do: a\n  at: [x]", "4:7: at: found a list. a value."),
        (HEAD + "- do: a\n  by: {x: y}", "4:7: by: found a mapping. a value."),
        (HEAD + "- do: a\n  layers: [1, [2]]", "4:15: layers: found a list. a value."),
        (HEAD + "- any-order: a", "3:14: any-order: found a text. a list of steps or sequences."),
        (HEAD + "- any-order: []", "3:14: any-order: the list is empty. at least one step."),
        (HEAD + "- any-order: [[], a]", "3:15: an empty sequence in any-order. at least one step."),
        (HEAD + "- any-order: [a]\n  id: x", "4:3: id beside any-order. give it to a step inside."),
    ],
)  # fmt: skip
def test_a_mistake_is_told_once_at_its_place(text: str, said: str) -> None:
    assert told(text) == [said]


def test_a_far_key_of_the_file_is_answered_with_those_there_are() -> None:
    (said,) = told(HEAD + "- a\nweather: rain")
    assert said.startswith("4:1: weather is not a key of a procedure. one of procedure, job, steps")
    assert said.endswith("facts go under job:, readings into a step.")


def test_a_step_without_do_is_still_looked_at() -> None:
    problems: list[Problem] = []
    plan = read_raw((HEAD + "- wrap-rubber-tape:\n    layers: 2\n- b").encode(), "p.yaml", problems)
    assert plan is not None and len(problems) == 1
    assert names(plan.steps) == ["wrap-rubber-tape", "b"]
    assert isinstance(plan.steps[0], RawStep)
    assert [reading.name.text for reading in plan.steps[0].readings] == ["layers"]


def test_all_mistakes_come_at_once_with_those_of_the_syntax() -> None:
    text = "procedure: plan\njob: {A:1}\nstep: x\nsteps:\n- do: a\n  note: x: y\n- b: {c: 1}\n- \n"
    assert [said.split(":")[0] for said in told(text)] == ["2", "3", "6", "7", "8"]


SHAPES = ["x", "[x]", "[[x]]", "{x: y}", "{x: [y]}", ""]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("key", [*STEP_KEYS, "layers"])
def test_every_shape_at_every_key_of_a_step_is_taken_or_told_there(key: str, shape: str) -> None:
    single, several = {"x"}, {"x", "[x]"}
    taken = {"after": several, "by": several, "side": several, "evidence": several}.get(key, single)
    taken = {"x", "[x]", "{x: y}"} if key == "layers" else taken
    text = f"{HEAD}- do: a\n  {key}: {shape}\n" if key != "do" else f"{HEAD}- do: {shape}\n"
    if shape in taken:
        assert len(read(text).steps) == 1
    else:
        (said,) = told(text)
        assert said.startswith(f"{3 if key == 'do' else 4}:")


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("key", ["procedure", "job", "steps", "records", "title"])
def test_every_shape_at_every_key_of_the_file_is_taken_or_told(key: str, shape: str) -> None:
    lines = {"procedure": "procedure: log", "steps": "steps: [a]", key: f"{key}: {shape}"}
    taken = {"procedure": set(), "job": {"{x: y}", "{x: [y]}"}, "steps": {"[x]"}}.get(key, {"x"})
    text = "\n".join(lines.values())
    if shape in taken:
        assert read(text).kind == "log"
    else:
        assert told(text)[0].startswith(f"{list(lines).index(key) + 1}:")


def test_a_json_file_is_read_with_its_places() -> None:
    text = '{\n\t"procedure": "plan",\n\t"job": {"core": "paper"},\n\t"steps": ["a", {"do": "b", "layers": 2}]\n}\n'
    plan = read(text)
    assert names(plan.steps) == ["a", "b"]
    assert plan.steps[1].place == at(4, 17)


LINE = {
    "procedure": "log",
    "job": {"reference": "X", "pressurized": True},
    "steps": ["a", {"do": "b", "at": None, "layers": 2, "overlap": {"A": "1 in"}}],
}


def test_a_line_of_json() -> None:
    data = json.dumps(LINE).encode()
    log = read_jsonl_line(data, "logs.jsonl", 7)
    assert log.place == Place("logs.jsonl", 7)
    assert log.digest == hashlib.sha256(data).hexdigest()
    assert names(log.steps) == ["a", "b"]
    assert log.job[1].value is not None and log.job[1].value.text == "true"
    step = log.steps[1]
    assert isinstance(step, RawStep) and step.at is None
    assert [reading.name.text for reading in step.readings] == ["layers", "overlap"]


def test_a_line_of_json_says_the_same_as_the_yaml() -> None:
    log, other = read(json.dumps(LINE)), read_jsonl_line(json.dumps(LINE).encode(), "p.yaml", 1)
    assert names(log.steps) == names(other.steps)
    assert [fact.name.text for fact in log.job] == [fact.name.text for fact in other.job]


def test_numbers_of_json_keep_their_digits() -> None:
    log = read_jsonl_line(b'{"procedure": "log", "steps": [{"do": "a", "n": 1.10, "m": 9e400}]}', "l", 1)
    step = log.steps[0]
    assert isinstance(step, RawStep)
    assert [reading.value.text for reading in step.readings if reading.value] == ["1.10", "9e400"]


@pytest.mark.parametrize(
    ("data", "place", "piece"),
    [
        (b"{", Place("l", 3, 2), "not JSON"),
        (b"", Place("l", 3, 1), "not JSON"),
        (b"[]", Place("l", 3), "found a list"),
        (b'{"procedure": "log", "procedure": "log", "steps": ["a"]}', Place("l", 3), "twice"),
        (b'{"procedure": "log"}', Place("l", 3), "steps is missing"),
        (b"\xff", Place("l", 3), "0xFF"),
        (b'{"a":' * 60 + b"1" + b"}" * 60, Place("l", 3), "levels"),
        (b"[" * 100_000, Place("l", 3), "levels"),
    ],
)
def test_a_broken_line_of_json(data: bytes, place: Place, piece: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_jsonl_line(data, "l", 3)
    assert caught.value.problems[0].place == place
    assert piece in caught.value.problems[0].found


@given(st.binary(max_size=80))
def test_any_bytes_are_a_procedure_or_unreadable(data: bytes) -> None:
    with pytest.raises(Unreadable) as caught:
        read_procedure(data, "f")
    assert caught.value.problems
    with pytest.raises(Unreadable) as caught:
        read_jsonl_line(data, "f", 1)
    assert caught.value.problems


PIECES = [
    *PLAN.splitlines(keepends=True),
    *LOG.splitlines(keepends=True),
    "{",
    "]",
    '"',
    "'",
    "\t",
    "#",
    ": ",
    "- ",
    "\n",
]


@given(st.lists(st.sampled_from(PIECES), max_size=25).map("".join))
def test_any_mixture_of_lines_is_a_procedure_or_unreadable(text: str) -> None:
    try:
        assert read_procedure(text.encode(), "f").steps
    except Unreadable as error:
        assert error.problems


@given(st.data())
def test_a_plan_with_a_wrong_character_is_a_procedure_or_unreadable(data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(PLAN)))
    width = data.draw(st.sampled_from([0, 1, 4]))
    text = PLAN[:place] + data.draw(st.sampled_from([*":-#'\"[]{},&*!|>%\t\n\x85"])) + PLAN[place + width :]
    try:
        assert read_procedure(text.encode(), "f").steps
    except Unreadable as error:
        assert all(problem.place.line <= text.count("\n") + 1 for problem in error.problems)
