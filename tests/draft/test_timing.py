"""The times of a plan against a longest path reckoned by hand."""

from __future__ import annotations

from fractions import Fraction

from ringcut.checking import read
from ringcut.draft.timing import times_of
from ringcut.draft.told import clock, times_lines
from ringcut.language.ir import Rulebook

PLAN = b"""procedure: plan
job: {work: trouble-opening, sheath: lead}
steps:
  - notify-pressure-desk
  - any-order: [identify-cable, check-foreign-voltage]
  - {do: open-sheath, opening-length: 14 in}
  - repair-conductors
  - shrink-sleeve
  - cool-closure
  - restore-pressure
"""


def test_times_by_usual_durations(book: Rulebook) -> None:
    """5 + max(10, 3) + 30 + 60 + 30 + 30 + 30 min, from the vocabulary (common practice, no source)."""
    times = times_of(read(PLAN, "plan.yaml", book), book)
    assert times.whole == 60 * Fraction(195)
    assert times.sheath_open == 60 * Fraction(30 + 60 + 30)
    assert times.pressure_back == 60 * Fraction(165)
    assert times.critical[1] == "identify-cable"


def test_an_old_auxiliary_that_is_opened_is_no_sheath(book: Rulebook) -> None:
    """Symptom: "the sheath is open for 2 h 56 min" where only old tape came off."""
    steps = "[strip-old-tape, scuff-lead, shrink-sleeve, cool-closure]"
    text = f"{{procedure: plan, job: {{work: auxiliary-repair}}, steps: {steps}}}"
    times = times_of(read(text.encode(), "plan.yaml", book), book)
    assert times.sheath_open is not None
    assert f"  the old auxiliary is open for {clock(times.sheath_open)}" in times_lines(times)
