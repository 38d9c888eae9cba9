"""A job in millimetres gets its plan, its limits and its card in millimetres."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from click.testing import CliRunner

from ringcut.checking import check, read
from ringcut.draft.drafting import draft
from ringcut.draft.holds import conforms_to_limits, with_opening
from ringcut.draft.metric import GRID, in_millimetres, is_metric
from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook
from ringcut.relations.spans import Span
from ringcut_cli.main import cli

LAID_OUT = ("bond-length", "overlap", "scuffed-length", "bar-length", "sleeve-length", "channel-length")


@pytest.fixture
def metric(lead: Job) -> Job:
    return {**lead, "cable-diameter": "52 mm", "opening-length": "355 mm"}


@pytest.mark.parametrize(
    ("cable", "opening", "expected"),
    [("52 mm", "355 mm", True), ("5.2 cm", "0.4 m", True), ("2.05 in", "355 mm", False), ("52 mm", "1 ft 2 in", False)],
)
def test_a_job_is_metric_where_cable_and_opening_are(cable: str, opening: str, expected: bool) -> None:
    assert is_metric({"cable-diameter": cable, "opening-length": opening, "manhole-depth": "9 ft"}) == expected


def test_every_length_is_told_in_millimetres(metric: Job, book: Rulebook, models: list[Model]) -> None:
    """A crew with a rule in millimetres was told to cut 28 in, and to stop past 15 in of its 355 mm."""
    made = draft(metric, book, models)
    assert check(made.text.encode(), "plan.yaml", book).verdict == "conforms"
    procedure = read(made.text.encode(), "plan.yaml", book)
    seen = set()
    for each in procedure.occurrences:
        for (name, _), value in each.readings.items():
            if name in LAID_OUT:
                assert isinstance(value, Span)
                assert value.low is not None
                assert value.low % GRID == 0, name
                seen.add(name)
        assert all(text.endswith("mm") for (name, _), (text, _) in each.texts.items() if name in LAID_OUT)
    assert seen == {*LAID_OUT}
    # opening, 25 mm of tape, 140 mm and 12.7 mm a side are 710.4 mm (5-1/2 in and 1/2 in: common practice, no source)
    assert "sleeve-length: 715 mm" in made.text
    told = [made.estimates[0], *(f"{b.words} {b.planned} {b.then} {b.beyond}" for b in made.holds)]
    assert not re.search(r"\d in\b", " ".join(told)), told
    assert [each.amount for each in made.materials[:2]] == ["715 mm", "715 mm"]


def test_tape_keeps_its_inches(metric: Job, book: Rulebook, models: list[Model]) -> None:
    made = draft(metric, book, models)
    assert "width: 2 in" in made.text
    assert "rubber tape, 2 in" in [each.item for each in made.materials]


def test_the_bounds_in_millimetres_are_exact(metric: Job, book: Rulebook, models: list[Model]) -> None:
    made = draft(metric, book, models)
    procedure, grid = read(made.text.encode(), "plan.yaml", book), in_millimetres(book)
    bound = made.holds[0]
    assert (bound.words, bound.resolution) == ("at most 375 mm", Fraction("0.005"))
    assert conforms_to_limits(with_opening(procedure, bound.value), grid)
    assert not conforms_to_limits(with_opening(procedure, bound.value + bound.resolution), grid)


def test_where_no_metric_lengths_fit_the_plan_is_in_inches(book: Rulebook, models: list[Model], lead: Job) -> None:
    """Stock of 12-1/4 in for 1/4 in of damage: 5-1/2 in and 1/2 in a side; on a grid of 5 mm it takes 315 mm."""
    from ringcut.draft.stock import read_stock, with_stock

    job: Job = {**lead, "work": "sheath-repair", "cable-diameter": "52 mm", "opening-length": "6.35 mm"}
    own = with_stock(book, read_stock(b"size,slips-over,shrinks-to,length\nS,3 in,1 in,11.25 in\n", "stock.csv"))
    made = draft(job, own, models)
    assert made.conforms, made.why
    assert "sleeve-length: 11-1/4 in" in made.text


def test_card_and_log_form_are_in_the_unit_of_the_job(
    metric: Job, book: Rulebook, models: list[Model], tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("metric")
    plan, form = folder / "plan.yaml", folder / "log.csv"
    plan.write_text(draft(metric, book, models).text, encoding="utf-8")
    done = CliRunner(env={"RINGCUT_CACHE": "off"}).invoke(cli, ["card", str(plan), "--log-form", str(form)])
    assert done.exit_code == 0, done.stderr
    assert "715 mm" in done.stdout
    assert "28 in" not in done.stdout
    assert re.search(r"at most 91.4\s+mm", done.stdout)
    assert "3.6 in" not in done.stdout
    heading = form.read_text("utf-8")
    assert "largest (mm)" in heading
    assert "bond-length A (mm)" in heading
    assert "width (in)" in heading
