"""What limits demand of open readings agrees with what the judgement says when the readings are filled in."""

from __future__ import annotations

import random

import msgspec
import pytest

from ringcut.checking import read
from ringcut.fit.answers import Budget, GaveUp, NoSolution, Solution
from ringcut.fit.binding import facts_again, open_readings, values_left
from ringcut.fit.bindingwords import conflict_of
from ringcut.judge.judge import judge_procedure
from ringcut.language.ir import Limit, Rulebook
from ringcut.relations.procedure import Procedure
from ringcut.relations.spans import Value, Words, exactly

PLAN = """procedure: plan
job: {{work: trouble-opening, sheath: lead, construction: single, core: paper, opening-length: {opening}}}
steps:
  - {{do: open-sheath, opening-length: {opening}}}
  - {{do: place-permanent-bond, conductor: bar, bar-angle: 12 o'clock}}
  - any-order:
      - {{do: wrap-rubber-tape, id: tape, layers: 2, overlap: {{A: 1 in, B: 1-1/8 in}}}}
      - scuff-lead
  - select-sleeve
  - trim-sleeve
  - assemble-sleeve
  - turn-channel
"""


def _plan(book: Rulebook, opening: str) -> Procedure:
    return read(PLAN.format(opening=opening).encode(), "plan.yaml", book)


@pytest.mark.parametrize("seed", range(30))
def test_constraints_say_what_the_judgement_says(seed: int, book: Rulebook) -> None:
    """The reference interpreter on the filled plan is the oracle; values are near the limits and far from them."""
    draw = random.Random(seed)
    procedure = _plan(book, "14 in")
    opened = open_readings(procedure, book)
    solved = opened.choose()
    assert isinstance(solved, Solution)
    chosen = dict(solved.values)
    for where, domain in opened.domains.items():
        if draw.random() < 0.3:
            at = domain.index(chosen[where.name]) + draw.choice([-3, -1, 1, 2, 40])
            chosen[where.name] = domain[at % len(domain)]
    steps = list(procedure.occurrences)
    for where in opened.domains:
        value = chosen[where.name]
        filled: Value = Words((value,)) if isinstance(value, str) else exactly(value)
        old = steps[where.at]
        steps[where.at] = msgspec.structs.replace(old, readings={**old.readings, (where.reading, where.side): filled})
    limits = [rule.id for rule in book.rules if isinstance(rule.form, Limit)]
    report = judge_procedure(msgspec.structs.replace(procedure, occurrences=steps), book, rules=limits)
    judged = {finding.rule for finding in report.findings if finding.verdict == "nonconforming"}
    bound = {c.label.id for c in opened.constraints if c.label and not c.holds(chosen)}
    assert bound == judged


def test_values_left_in_words(book: Rulebook) -> None:
    """14 + 2-1/8 in of tape + 10 in of bond + 1 in of allowance (common practice, no source) is 27-1/8 in."""
    left = values_left(_plan(book, "14 in"), book)
    assert left[6 - 1, "sleeve-length", ""] == "27-1/4 to 48 in"
    assert left[2, "lap", ""] == "half or two-thirds"
    assert left[1, "bar-length", ""] == "12 to 16 in"
    assert left[3, "scuffed-length", "B"] == "at least 6-1/4 in"
    assert left[7, "channel-angle", ""] == "3 to 9 o'clock"
    assert (0, "opening-length", "") not in left


def test_a_conflict_in_words(book: Rulebook) -> None:
    opened = open_readings(_plan(book, "37 in"), book)
    answer = opened.choose()
    assert isinstance(answer, NoSolution)
    words = conflict_of(opened, answer).words
    assert words.startswith("no ")
    assert "fits: opening length 37 in" in words
    assert "stock list length 24 to 48 in" in words


def test_giving_up_is_no_conflict(book: Rulebook) -> None:
    assert isinstance(open_readings(_plan(book, "14 in"), book).choose(budget=Budget(nodes=1, checks=1)), GaveUp)


def test_nothing_is_demanded_of_what_hangs_on_an_unknown_fact(book: Rulebook) -> None:
    text = PLAN.format(opening="14 in").replace(", opening-length: 14 in", "")
    procedure = read(text.encode(), "plan.yaml", book)
    opened = open_readings(procedure, book, assume=facts_again(procedure, book))
    assert "opening-length" in opened.blocked["sleeve-long-enough"]
