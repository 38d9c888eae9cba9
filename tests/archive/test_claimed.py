"""A row that says everything was done counts as nothing done: it is told, and asked about."""

from __future__ import annotations

import pytest
from tests.archive.small import Small, verdicts

from ringcut.archive.claimed import claims_all

ROW = "K-1,2026-03-02,08:00,JM,{},\nK-1,2026-03-02,09:00,JM,scuff-polyethylene,"
CLAIM = "All steps per practice"


@pytest.mark.parametrize("known", [True, False])
def test_it_is_found_and_asked_about_once(small: Small, known: bool) -> None:
    """Whether or not the column file says that the words prove nothing."""
    small.columns += f"tasks: [{{say: {CLAIM}, do: []}}]\n" if known else ""
    items = small.audited(ROW.format(CLAIM))
    assert verdicts(items)["says-all-done"] == "undetermined"
    (item,) = items
    assert item.report is not None
    (finding,) = [each for each in item.report.findings if each.rule == "says-all-done"]
    assert (finding.line, finding.letter) == (2, "E")
    (asked,) = [ask for ask in item.asks if (ask.row, ask.column) == (2, "E")]
    assert (asked.text, asked.rules) == (CLAIM, ("says-all-done",))


def test_it_is_no_step(small: Small) -> None:
    alone = verdicts(small.audited(ROW.format(CLAIM)))
    without = verdicts(small.audited(ROW.format(CLAIM).splitlines()[1]))
    assert {rule for rule, verdict in alone.items() if verdict != without[rule]} == {"says-all-done"}


def test_the_answer_stands_in_its_place(small: Small) -> None:
    items = small.audited(ROW.format(CLAIM))
    found = verdicts(small.audited(ROW.format(CLAIM), small.answered(items, {"name no step": "clean-polyethylene"})))
    assert "says-all-done" not in found or found["says-all-done"] != "undetermined"
    assert found["poly-clean-before-scuff"] == "conforms"


def test_a_remark_claims_where_the_row_has_no_task(small: Small) -> None:
    row = ROW.format("").replace("JM,,", "JM,,all steps done as per spec", 1)
    assert verdicts(small.audited(row))["says-all-done"] == "undetermined"


@pytest.mark.parametrize("below", [f"{CLAIM} - R. Vole,,,,,", f",,,,,{CLAIM}", f"K-1,{CLAIM},,,,"])
def test_a_line_below_the_rows_is_a_claim_of_their_order(small: Small, below: str) -> None:
    """Symptom: it was a work order of its own, called after the claim."""
    items = small.audited("K-1,2026-03-02,09:00,JM,scuff-polyethylene,\n" + below)
    assert [item.report.reference for item in items if item.report] == ["K-1"]
    assert verdicts(items)["says-all-done"] == "undetermined"


@pytest.mark.parametrize(
    "words",
    [
        CLAIM, "ALL WORK PER PRACTICE", "everything done", "done per local practice", "all other steps ok",
        "completed to spec", "all  tasks complete",
    ],
)  # fmt: skip
def test_claims(words: str) -> None:
    assert claims_all(words)


@pytest.mark.parametrize("words", ["Lunch", "drove to yard", "waited for all clear", "per phone with desk", "total"])
def test_no_claims(words: str) -> None:
    assert not claims_all(words)
