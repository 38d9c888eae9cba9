"""The picture of a log: every step has room for its name, waits are told, what cannot be said is drawn apart."""

from __future__ import annotations

from ringcut.archive.results import LogReport
from ringcut.archive.timeline import Stop, Stretch, Timeline, Track
from ringcut.judge.findings import Counts, Digests, Finding
from ringcut_cli.audit.picture import APART, STEP, picture


def report(minutes: list[float], *tracks: Track, findings: tuple[Finding, ...] = ()) -> LogReport:
    last = max(len(minutes) - 1, 1)
    stops = tuple(Stop(f"step-{n}", n, "09:00" if at >= 0 else "", n / last, at) for n, at in enumerate(minutes))
    return LogReport(
        file="f", procedure="log", reference="R", verdict="", worst_class="", counts=Counts(), judged=(),
        not_covered=(), uncovered=False, findings=findings, rules=(), to_measure=(), warnings=(), assumptions=(),
        digests=Digests("", "", "", ""), as_of="", rulebook="",
        timeline=Timeline(stops, tracks, by_clock=min(minutes, default=-1) >= 0),
    )  # fmt: skip


def test_many_steps_of_one_minute_before_a_long_wait_have_room_each() -> None:
    """Symptom: with a desk reading on the next morning, 66 steps shared a sixth of the picture, without a name."""
    drawn = picture(report([*[0.0] * 20, *map(float, range(1, 46)), 1000.0]))
    assert drawn is not None
    gaps = [other.x - one.x for one, other in zip(drawn.steps, drawn.steps[1:], strict=False)]
    assert len(drawn.steps) == 66
    assert min(gaps) >= STEP - 0.11  # rounded to a tenth
    assert max(gaps) < 5 * min(gaps)
    assert [each.says for each in drawn.waits] == ["15 h"]
    assert drawn.steps[-2].x < drawn.waits[0].x < drawn.steps[-1].x < drawn.width


def test_times_that_are_written_do_not_touch() -> None:
    drawn = picture(report([float(each) for each in range(60)]))
    assert drawn is not None
    places = [each.x for each in drawn.steps if each.clock]
    assert len(places) > 10
    assert all(other - one >= APART - 0.11 for one, other in zip(places, places[1:], strict=False))


def test_without_times_all_steps_stand_equally_far_apart() -> None:
    drawn = picture(report([0.0, -1.0, 50.0, -1.0]))
    assert drawn is not None and not drawn.by_clock
    gaps = {round(other.x - one.x) for one, other in zip(drawn.steps, drawn.steps[1:], strict=False)}
    assert len(gaps) == 1
    assert drawn.waits == ()


def test_bars_stand_at_their_steps_and_keep_what_is_unknown() -> None:
    stretches = (Stretch(0.0, 0.25, True), Stretch(0.25, 0.75, False))
    drawn = picture(report([0.0, 5.0, 30.0, 31.0, 40.0], Track("torch lit", "A", stretches)))
    assert drawn is not None
    xs = [each.x for each in drawn.steps]
    (band,) = drawn.bands
    assert [(each.x, each.known) for each in band.bars] == [(xs[0], True), (xs[1], False)]
    assert abs(band.bars[1].x + band.bars[1].width - xs[3]) < 0.2


def test_a_step_with_a_finding_is_marked_where_it_is_sure_which() -> None:
    broken = Finding("r", "major", "nonconforming", line=2, steps=("step-2", "step-1"))
    doubt = Finding("q", "major", "undetermined", line=1, steps=("step-1",))
    drawn = picture(report([0.0, 1.0, 2.0], findings=(broken, doubt)))
    assert drawn is not None
    assert [each.marked for each in drawn.steps] == [False, False, True]


def test_a_log_without_a_step_has_no_picture() -> None:
    assert picture(report([])) is None
