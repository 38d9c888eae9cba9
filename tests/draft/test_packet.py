"""Job packets and stock lists as they come: CSV and YAML, by reference, every slip at its place."""

from __future__ import annotations

from fractions import Fraction

import pytest

from ringcut.draft.jobfacts import problems_of
from ringcut.draft.models import HERE
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
    assert read_packet(CSV, "jobs.csv", "hv-2").job == {
        "reference": "HV-2",
        "work": "auxiliary-repair",
        "sheath": {"A": "lead", "B": "polyethylene"},
        "cable-diameter": "1.8 in",
    }


def test_a_job_of_a_list() -> None:
    assert read_packet(YAML, "jobs.yaml", "HV-1").job["pressurized"] == "no"
    assert read_packet(YAML, "jobs.yaml", "HV-2").job["special"] == ["cable-band"]


def test_jobs_by_reference() -> None:
    packet = b"HV-1: {work: trouble-opening}\nHV-2: {work: sheath-repair}\n"
    assert read_packet(packet, "jobs.yaml", "HV-2").job == {"work": "sheath-repair", "reference": "HV-2"}


def test_one_job_needs_no_reference() -> None:
    assert read_packet(b"job: {work: sheath-repair}\n", "job.yaml").job == {"work": "sheath-repair"}


@pytest.mark.parametrize(
    ("reference", "told"), [("HV-3", "no job HV-3"), ("", "2 jobs"), ("HV-22", "Did you mean HV-2")]
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


def test_a_sleeve_that_shrinks_to_more_than_it_slips_over_is_no_sleeve() -> None:
    """With two columns exchanged no size fitted, and it was told as a conflict of the job."""
    data = b"size,slips-over,shrinks-to,length\nX-1,1 in,3 in,40 in\nX-2,50 mm,50 mm,40 in\nX-3,51 mm,50 mm,40 in\n"
    with pytest.raises(Unreadable) as told:
        read_stock(data, "stock.csv")
    assert [str(problem.place) for problem in told.value.problems] == ["stock.csv:2:C", "stock.csv:3:C"]
    assert "3 in, and it slips over 1 in" in str(told.value)
    assert "exchanged?" in str(told.value)


SIDED = b"reference,work,sheath A,sheath B,cable-diameter\nW-1,auxiliary-repair,lead,steel,2.05\n"


def test_a_heading_for_each_side(book: Rulebook) -> None:
    """Symptom: sheath A and sheath B were refused without a place."""
    packed = read_packet(SIDED.replace(b"steel", b"polyethylene").replace(b"2.05", b"2.05 in"), "jobs.csv")
    assert packed.job["sheath"] == {"A": "lead", "B": "polyethylene"}
    assert problems_of(packed.job, book, HERE, packed.places) == []


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        (
            "jobs.csv", SIDED.replace(b"work,", b"wrok,"),
            ["jobs.csv:1:B: wrok: no such", "jobs.csv:2:D: sheath: steel.", "jobs.csv:2:E: cable-diameter: 2.05"],
        ),
        (
            "jobs.yaml",
            b"W-1:\n  wrok: sheath-repair\n  sheath: {A: lead, B: steel}\n  cable-diameter: 2.05\n",
            ["jobs.yaml:2:3: wrok: no such", "jobs.yaml:3:24: sheath: steel.", "jobs.yaml:4:19: cable-diameter: 2.05"],
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_fact_is_told_at_its_place(
    name: str, data: bytes, told: list[str], book: Rulebook
) -> None:
    packed = read_packet(data, name)
    problems = [str(each) for each in sorted(problems_of(packed.job, book, HERE, packed.places))]
    assert [each[: len(start)] for each, start in zip(problems, told, strict=True)] == told


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"reference,sheath,sheath A\nW-1,lead,lead\n", "jobs.csv:2:C: sheath is given for both sides and for one"),
        (b"reference,work,work\nW-1,a,b\n", "jobs.csv:1:C: the heading work stands here twice"),
        (b"reference,work\nW-1,a,b\n", "jobs.csv:2:C: 3 cells under 2 headings"),
        (b'reference,work\nW-1,"a\n', "jobs.csv:2: this line is no row of cells"),
    ],
)
def test_a_slip_of_the_table_itself(data: bytes, told: str) -> None:
    with pytest.raises(Unreadable) as found:
        read_packet(data, "jobs.csv")
    assert str(found.value).startswith(told)


def test_semicolons_as_a_spreadsheet_writes_them() -> None:
    assert read_packet(b"reference;work\nW-1;sheath-repair\n", "jobs.csv").job["work"] == "sheath-repair"


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        (
            "stock.csv", b"size,slips-over,shrinks-onto,length\nX-1,2 in,1 in,40 in\nX-2,3 in,1 in,40 in\n",
            ["stock.csv:1:C: shrinks-onto is no column here. Did you mean shrinks-to?"],
        ),
        (
            "stock.yaml",
            b"- {size: X-1, slips-over: 2 in, shrinks-onto: 1 in, length: 40 in}\n"
            b"- {size: X-2, slips-over: 2 in, shrinks-onto: 1 in, length: 40 in}\n",
            ["stock.yaml:1:33: shrinks-onto is no column here. Did you mean shrinks-to?"],
        ),
        (
            "stock.csv", b"price,slips-over,length\n1,2 in,40 in\n",
            [
                "stock.csv:1: no column shrinks-to. size, slips-over, shrinks-to, length.",
                "stock.csv:1: no column size. size, slips-over, shrinks-to, length.",
            ],
        ),
    ],
)  # fmt: skip
def test_a_heading_that_is_not_meant_is_told_once(name: str, data: bytes, told: list[str]) -> None:
    with pytest.raises(Unreadable) as found:
        read_stock(data, name)
    assert [str(each) for each in found.value.problems] == told


def test_a_heading_that_only_begins_like_a_column_is_another_column(book: Rulebook) -> None:
    """A remark on the size was taken for the size, and a length code for lengths without a unit known here."""
    data = b"size,size note,slips over in,shrinks to (in),length,length code\nX-1,good,2.5,0.8,40 in,7\n"
    (row,) = sleeves(with_stock(book, read_stock(data, "stock.csv")))
    assert (row.size, row.slips_over) == ("X-1", Fraction("0.0635"))


def test_a_column_that_stands_twice_is_no_choice_of_one() -> None:
    data = b"size,slips over (in),slips over (mm),shrinks to (in),length\nX-1,2.5,20,0.8,40 in\n"
    with pytest.raises(Unreadable) as found:
        read_stock(data, "stock.csv")
    assert str(found.value) == "stock.csv:1:C: slips over (mm) is slips-over again. each column once."


@pytest.mark.parametrize("blank", [b"\n", b";;;\n", b" \r\n\n"])
def test_blank_lines_above_the_heading_are_no_heading(blank: bytes, book: Rulebook) -> None:
    data = blank + b"size;slips over (in);shrinks to (in);length\nX-1;2.5;0.8;40 in\n"
    assert [row.size for row in sleeves(with_stock(book, read_stock(data, "stock.csv")))] == ["X-1"]
    bad = blank + b"size;slips over (in);shrinks to (in);length\nX-1;2.5;x;40 in\n"
    with pytest.raises(Unreadable) as found:
        read_stock(bad, "stock.csv")
    assert found.value.problems[0].place.line == 2 + blank.count(b"\n")


def test_a_value_that_is_no_text_is_not_left_out() -> None:
    """A nested list or mapping vanished, and the rest of the fact was taken for the whole."""
    data = b"work: sheath-repair\nspecial: [long-repair, {b: c}]\nlocation: {A: [aerial], B: aerial}\n"
    with pytest.raises(Unreadable) as found:
        read_packet(data, "jobs.yaml")
    assert [str(each) for each in found.value.problems] == [
        "jobs.yaml:2:24: a list or a mapping inside a fact. one text.",
        "jobs.yaml:3:15: a list or a mapping inside a fact. one text.",
    ]
