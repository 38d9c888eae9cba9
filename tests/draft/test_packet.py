"""Job packets and stock lists as they come: CSV and YAML, by reference, every slip at its place."""

from __future__ import annotations

from fractions import Fraction

import pytest

from ringcut.draft.packet import read_packet
from ringcut.draft.stock import read_stock, sleeves, with_stock
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

CSV = b"""Order,Work,Sheath,Cable Diameter,Opening
HV-1,trouble-opening,lead,2.05 in,14 in
HV-2,auxiliary-repair,"A lead, B polyethylene",1.8 in,
"""
YAML = b"""
- {reference: HV-1, work: trouble-opening, pressurized: no}
- {reference: HV-2, work: auxiliary-repair, sheath: {A: lead, B: polyethylene}, special: [cable-band]}
"""


def test_a_job_of_a_table() -> None:
    assert read_packet(CSV, "jobs.csv", "hv-2") == {
        "reference": "HV-2",
        "work": "auxiliary-repair",
        "sheath": {"A": "lead", "B": "polyethylene"},
        "cable-diameter": "1.8 in",
    }


def test_a_job_of_a_list() -> None:
    assert read_packet(YAML, "jobs.yaml", "HV-1")["pressurized"] == "no"
    assert read_packet(YAML, "jobs.yaml", "HV-2")["special"] == ["cable-band"]


def test_jobs_by_reference() -> None:
    packet = b"HV-1: {work: trouble-opening}\nHV-2: {work: sheath-repair}\n"
    assert read_packet(packet, "jobs.yaml", "HV-2") == {"work": "sheath-repair", "reference": "HV-2"}


def test_one_job_needs_no_reference() -> None:
    assert read_packet(b"job: {work: sheath-repair}\n", "job.yaml") == {"work": "sheath-repair"}


@pytest.mark.parametrize(
    ("reference", "told"), [("HV-3", "no job HV-3"), ("", "2 jobs"), ("HV-22", "did you mean HV-2")]
)
def test_a_job_that_is_not_there(reference: str, told: str) -> None:
    with pytest.raises(Unreadable, match=told):
        read_packet(CSV, "jobs.csv", reference)


STOCK_CSV = b"size,slips over (in),shrinks to (in),length\nX-1,2.5,0.8,40 in\nX-2,4,1.25,1 m\n"


def test_a_stock_list_of_ones_own(book: Rulebook) -> None:
    found = sleeves(with_stock(book, read_stock(STOCK_CSV, "stock.csv")))
    assert [row.size for row in found] == ["X-1", "X-2"]
    assert found[0].slips_over == Fraction("0.0635")
    assert found[1].length == 1


def test_a_stock_list_in_yaml(book: Rulebook) -> None:
    data = b"- {size: X-1, slips-over: 2.5 in, shrinks-to: 0.8 in, length: 40 in}\n"
    assert sleeves(with_stock(book, read_stock(data, "stock.yaml")))[0].shrinks_to == Fraction("0.02032")


def test_every_slip_of_a_stock_list_is_told() -> None:
    data = b"size,slips-over,shrinks-to,length\nX-1,2.5,0.8 in,40 in\nX-1,2 in,,40 in\n"
    with pytest.raises(Unreadable) as told:
        read_stock(data, "stock.csv")
    assert [problem.place.line for problem in told.value.problems] == [2, 3]
    assert "2.5 what" in str(told.value)
