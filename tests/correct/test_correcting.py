"""Corrected plans conform, are as small as can be, and leave everything else as it was."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator

import msgspec
import pytest

from ringcut.checking import check
from ringcut.correct.correcting import correct
from ringcut.correct.edits import leaves, places, put_in, taken_out
from ringcut.correct.effort import Effort
from ringcut.correct.telling import difference
from ringcut.draft.drafting import draft
from ringcut.draft.models import Items, Job, Model
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Rulebook
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Unreadable
from ringcut.reading.procedurefile import read_procedure
from ringcut.reading.raw import RawProcedure, RawStep
from ringcut.relations.resolve import resolve

LEAD: Job = {
    "work": "trouble-opening", "sheath": "lead", "construction": "single", "core": "paper", "pressurized": "yes",
    "location": "manhole", "cable-diameter": "2.05 in", "opening-length": "14 in",
}  # fmt: skip
REPAIR: Job = {**LEAD, "work": "sheath-repair", "sheath": "polyethylene", "core": "plastic", "opening-length": "4 in"}


@pytest.fixture(scope="module")
def plan(book: Rulebook, models: list[Model]) -> str:
    """A plan that conforms, without the comments after its steps."""
    return draft(LEAD, book, models).text.partition("\n#\n")[0] + "\n"


@pytest.fixture(scope="module")
def repair(book: Rulebook, models: list[Model]) -> str:
    return draft(REPAIR, book, models).text.partition("\n#\n")[0] + "\n"


def _damaged(plan: str, edits: int, seed: int) -> str:
    """A plan with some steps taken out or put elsewhere."""
    draw = random.Random(seed)
    lines = plan.splitlines()
    first = lines.index("steps:") + 1
    head, steps = lines[:first], [line for line in lines[first:] if line.startswith("  - ")]
    for _ in range(edits):
        step = steps.pop(draw.randrange(len(steps)))
        if draw.random() < 0.6:
            steps.insert(draw.randrange(len(steps) + 1), step)
    return "\n".join([*head, *steps]) + "\n"


@pytest.mark.parametrize(("edits", "seed"), [(1, 1), (1, 2), (1, 3), (1, 4), (1, 5), (2, 6), (2, 7)])
@pytest.mark.parametrize("which", ["plan", "repair"])
def test_damage_is_corrected_with_no_more_edits_than_it_took(
    edits: int, seed: int, which: str, request: pytest.FixtureRequest, book: Rulebook, models: list[Model]
) -> None:
    text = _damaged(request.getfixturevalue(which), edits, seed)
    found = correct(text.encode(), "plan.yaml", book, models)
    assert len(found.edits) <= edits, [edit.words for edit in found.edits]
    assert found.smallest
    assert found.in_place
    assert check(found.text.encode(), "plan.yaml", book).verdict == "conforms"
    assert correct(found.text.encode(), "plan.yaml", book, models).edits == ()


SMALL = [
    ("lead-clean-before-scuff", "lead-scuffed", "lead-wiped", "lead-preheated"),
    ("assembled-before-shrinking", "turned-before-shrinking", "sleeve-trimmed", "channel-formed"),
    ("pairs-clear-before-closing", "muslin-on-paper", "desiccant-on-paper", "opening-taped"),
]
NAMES = [
    ["clean-lead", "scuff-lead", "wipe-lead", "preheat-lead", "assemble-sleeve"],
    ["trim-sleeve", "assemble-sleeve", "turn-channel", "shrink-sleeve", "form-channel"],
    ["repair-conductors", "place-desiccant", "wrap-muslin", "wrap-rubber-tape", "assemble-sleeve"],
]


def _neighbours(items: Items, names: list[str]) -> Iterator[Items]:
    """Every plan that one move or one addition makes."""
    for path, step in leaves(items):
        without = taken_out(items, path)
        for place in places(without):
            yield put_in(without, place, step)
    for name in names:
        for place in places(items):
            yield put_in(items, place, RawStep(Phrase(name)))


def _least(raw: RawProcedure, book: Rulebook, names: list[str], most: int) -> int | None:
    """The least number of edits by looking at every plan that so many can make."""

    def broken(items: Items) -> bool:
        procedure = resolve(msgspec.structs.replace(raw, steps=items), book, [])
        return judge_procedure(procedure, book).counts.nonconforming > 0

    wave = {raw.steps}
    for count in range(most + 1):
        if any(not broken(items) for items in wave):
            return count
        if count < most:
            wave = {each for items in wave for each in _neighbours(items, names)}
    return None


@pytest.mark.parametrize("seed", range(6))
def test_the_number_of_edits_is_the_least_there_is(seed: int, book: Rulebook, models: list[Model]) -> None:
    draw = random.Random(seed)
    names = NAMES[seed % 3]
    rules = tuple(rule for rule in book.rules if rule.id in SMALL[seed % 3])
    small = msgspec.structs.replace(book, rules=rules, covers={}, gaps=(), subjects={}, warnings=())
    steps = draw.sample(names, 4)
    text = "procedure: plan\njob: {work: trouble-opening, sheath: lead, core: paper}\nsteps:\n"
    text += "".join(f"  - {step}\n" for step in steps)
    raw = read_procedure(text.encode(), "plan.yaml")
    least = _least(raw, small, names, 2)
    found = correct(text.encode(), "plan.yaml", small, models)
    if least is None:
        assert len(found.edits) > 2
    else:
        assert len(found.edits) == least, (steps, [edit.words for edit in found.edits])


def test_comments_and_order_of_the_rest_stay(plan: str, book: Rulebook, models: list[Model]) -> None:
    lines = plan.splitlines()
    scuff = next(line for line in lines if "scuff-lead" in line)
    lines.remove(scuff)
    lines.insert(lines.index("  - wipe-lead") + 1, f"{scuff}   # by hand, damp")
    lines.insert(0, "# Thursday's plan")
    text = "\n".join(lines) + "\n"
    found = correct(text.encode(), "plan.yaml", book, models)
    assert [edit.kind for edit in found.edits] == ["moved"]
    assert "# Thursday's plan\n" in found.text
    assert found.text.index("scuff-lead, scuffed-length: 7 in}   # by hand, damp") < found.text.index("- wipe-lead")
    assert sorted(found.text.splitlines()) == sorted(text.splitlines())


def test_readings_change_least(plan: str, book: Rulebook, models: list[Model]) -> None:
    text = plan.replace("bond-length: 5-1/2 in", "bond-length: {A: 5-1/2 in, B: 4 in}").replace(
        "conductor-size: 6 AWG", "conductor-size: 10 AWG"
    )
    found = correct(text.encode(), "plan.yaml", book, models)
    assert sorted(edit.words.partition(" (line")[0] for edit in found.edits) == [
        "set bond length of assemble-sleeve",
        "set conductor size of place-temporary-bond",
    ]
    assert "bond-length: {A: 5-1/2 in, B: 5 in}" in found.text
    assert "{do: place-temporary-bond, conductor-size: 6 AWG}" in found.text
    assert found.verdict == "conforms"


METRIC: Job = {**REPAIR, "cable-diameter": "40 mm", "opening-length": "100 mm"}


def test_lengths_are_changed_and_added_in_the_unit_of_the_job(book: Rulebook, models: list[Model]) -> None:
    """A sleeve of 370 mm on a cable in millimetres was set to 16-1/4 in, and a step was added with 6 in."""
    text = draft(METRIC, book, models).text.partition("\n#\n")[0] + "\n"
    damaged = re.sub(r"  - \{do: scuff-polyethylene.*\n", "", text).replace(
        "sleeve-length: 410 mm", "sleeve-length: 370 mm"
    )
    found = correct(damaged.encode(), "plan.yaml", book, models)
    assert (found.verdict, found.text) == ("conforms", text)


def test_a_missing_planned_reading_is_filled(plan: str, book: Rulebook, models: list[Model]) -> None:
    text = plan.replace(", bar-angle: 12 o'clock", "")
    found = correct(text.encode(), "plan.yaml", book, models)
    assert found.verdict == "conforms"
    assert [edit.kind for edit in found.edits] == ["changed"]


def test_a_job_fact_is_never_changed(plan: str, book: Rulebook, models: list[Model]) -> None:
    text = plan.replace("14 in", "44 in")
    found = correct(text.encode(), "plan.yaml", book, models)
    assert found.edits == ()
    assert found.conflicts
    assert "opening length 44 in" in found.why
    assert found.text == text


def test_what_is_not_known_is_asked_for(plan: str, book: Rulebook, models: list[Model]) -> None:
    lines = [line for line in plan.splitlines() if not line.startswith("  core:")]
    found = correct(("\n".join(lines) + "\n").encode(), "plan.yaml", book, models)
    assert found.edits == ()
    assert any("core" in each for each in found.asks)


def test_a_log_is_not_corrected(book: Rulebook, models: list[Model]) -> None:
    with pytest.raises(Unreadable, match="what was done"):
        correct(b"procedure: log\njob: {work: sheath-repair}\nsteps: [shrink-sleeve]\n", "log.yaml", book, models)


def test_a_search_that_ends_early_says_so(plan: str, book: Rulebook, models: list[Model]) -> None:
    found = correct(_damaged(plan, 2, 6).encode(), "plan.yaml", book, models, effort=Effort(5))
    assert not found.smallest


def test_each_edit_names_the_rules_behind_it(plan: str, book: Rulebook, models: list[Model]) -> None:
    text = plan.replace("  - place-desiccant\n", "")
    found = correct(text.encode(), "plan.yaml", book, models)
    assert found.edits[0].words.startswith("add place-desiccant after ")
    assert "desiccant-on-paper" in found.edits[0].rules
    told = difference(text, found.text, "plan.yaml")
    assert "+  - place-desiccant" in told


def test_a_second_closure_takes_nothing_from_one_of_the_same_name(
    repair: str, book: Rulebook, models: list[Model]
) -> None:
    """Flame and look of the first sleeve were moved to the second, and both were said to conform."""
    before, after = repair.split("  - clean-polyethylene", 1)
    sleeve = "  - clean-polyethylene" + after.partition("  - cool-closure")[0]
    second = "\n".join(line for line in sleeve.splitlines() if "flame-treat" not in line) + "\n"
    twice = before + sleeve + second + after[after.index("  - cool-closure") :]
    found = correct(twice.encode(), "plan.yaml", book, models)
    assert not found.edits
    assert "closures-told-apart" in found.why and "closures: [1, 2]" in found.why
    assert found.text == twice


def test_a_step_that_no_model_has_stays_near_where_it_was(repair: str, book: Rulebook, models: list[Model]) -> None:
    """Moving the cable came after the guards were away, where it stood between no steps that usually follow."""
    moved = repair.replace("  - inspect-sleeve", "  - {do: move-cable, bend-radius: 24 in}\n  - inspect-sleeve", 1)
    assert moved != repair
    found = correct(moved.encode(), "plan.yaml", book, models)
    (edit,) = found.edits
    assert "move move-cable" in edit.words and "after cool-closure" in edit.words


def test_a_step_that_only_other_work_has_stands_as_there(repair: str, book: Rulebook, models: list[Model]) -> None:
    """Scuffing was moved between cleaning and drying, into wet solvent: the model of a removal has no new sleeve."""
    job: Job = {**REPAIR, "work": "sleeve-removal", "old-adhesive": "same-place-same-kind"}
    old = draft(job, book, models).text.partition("  # leave")[0]
    new = "  - clean-polyethylene" + repair.partition("  - clean-polyethylene")[2]
    scuff = "  - {do: scuff-polyethylene, scuffed-length: 6 in}\n"
    assert new.count(scuff) == 1
    wrong = old + scuff + new.replace(scuff, "", 1)
    found = correct(wrong.encode(), "plan.yaml", book, models)
    assert found.verdict == "conforms"
    assert "move scuff-polyethylene" in " ".join(edit.words for edit in found.edits)
    assert "  - solvent-dry\n" + scuff in found.text


def test_two_bonds_that_stand_each_in_the_place_of_the_other_are_both_moved(
    book: Rulebook, models: list[Model]
) -> None:
    """The temporary bond was moved and a second permanent one added: two edits as well, and a bar under the tape."""
    job: Job = {**REPAIR, "work": "trouble-opening", "opening-length": "14 in"}
    text = draft(job, book, models).text.partition("\n#\n")[0] + "\n"
    one, two = (line for line in text.splitlines() if "place-temporary-bond" in line or "place-permanent-bond" in line)
    exchanged = text.replace(one, "@").replace(two, one).replace("@", two)
    found = correct(exchanged.encode(), "plan.yaml", book, models)
    assert (found.verdict, found.smallest, [edit.kind for edit in found.edits]) == ("conforms", True, ["moved"] * 2)
    assert found.text == text
