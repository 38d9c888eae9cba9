"""``limit`` and ``record``, by the rows of their table in the language."""

from __future__ import annotations

from collections.abc import Callable

import pytest

OK, BAD, UNCLEAR, NONE = "conforms", "nonconforming", "undetermined", "not applicable"
WIDE, SIZE, DEEP = "limit: wrap.width >= 5 in", "limit: ruler.size >= 5 in", "limit: wrap.depth >= 5 in"
FOR_USE = "limit: ruler.size >= 5 in, of: use"
BOTH = "limit: both(wrap.width) >= 10 in"


def wrap(keys: str) -> str:
    return f"{{do: wrap, {keys}}}"


def ruler(size: str) -> str:
    return f"{{do: ruler, size: {size}}}"


CASES = [
    (WIDE, f"plan {wrap('width: 5 in')}", OK),
    (WIDE, f"plan {wrap('width: 127 mm')}", OK),  # exact
    (WIDE, f"plan {wrap('width: 4-15/16 in')}", BAD),
    (WIDE, "plan use", NONE),  # anchor absent
    (WIDE, "plan wrap", UNCLEAR),
    (WIDE, f"plan {wrap('width: {A: 5 in, B: 4 in}')}", BAD),  # each side
    (WIDE, f"plan {wrap('width: {A: 5 in}')}", UNCLEAR),  # a label that is missing is a missing reading
    (WIDE, f"plan {wrap('side: A, width: 5 in')}", OK),
    (BOTH, f"plan {wrap('width: {A: 6 in, B: 4 in}')}", OK),
    (BOTH, f"plan {wrap('side: A, width: 6 in')}, {wrap('side: B, width: 3 in')}", BAD),
    (BOTH, f"plan {wrap('side: A, width: 6 in')}", UNCLEAR),
    ("limit: least(wrap.width) >= 5 in", f"plan {wrap('width: {A: 6 in, B: 4 in}')}", BAD),
    ("limit: greatest(wrap.width) >= 5 in", f"plan {wrap('width: {A: 6 in, B: 4 in}')}", OK),
    # tolerance: the worst case
    (WIDE, f"plan {wrap('width: 5-1/2 in ± 1/2 in')}", OK),
    (WIDE, f"plan {wrap('width: 5-1/4 in ± 1/2 in')}", BAD),
    # redo: the latest, on its side
    (WIDE, f"plan {wrap('width: 4 in')}, {wrap('width: 5 in')}", OK),
    (WIDE, f"plan {wrap('width: 5 in')}, {wrap('width: 4 in')}", BAD),
    (WIDE, f"plan {wrap('width: 4 in')}, {wrap('side: A, width: 5 in')}", BAD),
    (WIDE + ", judge: every", f"plan {wrap('width: 4 in')}, {wrap('width: 5 in')}", BAD),
    (WIDE, f"plan {{any-order: [{wrap('width: 4 in')}, {wrap('width: 5 in')}]}}", BAD),
    # another: every one
    (SIZE, f"plan {ruler('4 in')}, {ruler('5 in')}", BAD),
    (SIZE, f"plan {ruler('6 in')}, {ruler('5 in')}", OK),
    # of another step: the latest before the anchor, never a later one
    (FOR_USE, f"plan {ruler('5 in')}, use", OK),
    (FOR_USE, f"plan {ruler('4 in')}, {ruler('5 in')}, use", OK),
    (FOR_USE, f"plan {ruler('5 in')}, use, {ruler('4 in')}", OK),
    (FOR_USE, f"plan {ruler('5 in')}, use, {ruler('4 in')}, use", BAD),
    (FOR_USE, f"plan {ruler('4 in')}, use, {ruler('5 in')}", BAD),
    (FOR_USE, f"plan use, {ruler('5 in')}", UNCLEAR),
    (FOR_USE, "plan use", UNCLEAR),  # another step absent
    (FOR_USE, f"plan {ruler('5 in')}", NONE),
    (FOR_USE, f"plan {{any-order: [{ruler('5 in')}, {ruler('4 in')}]}}, use", BAD),
    (FOR_USE, f"plan {ruler('5 in')}, {{any-order: [use, {ruler('4 in')}]}}", BAD),
    (FOR_USE, f"plan {{any-order: [use, {ruler('5 in')}]}}", UNCLEAR),  # an order in which there is none yet
    # of another redo step: the latest (a use looks at the latest before it)
    ("limit: wrap.layers >= 2 and ruler.size >= 1 in, of: ruler", f"plan {wrap('layers: 2')}, {ruler('1 in')}", OK),
    ("limit: ruler.size >= wrap.width", f"plan {ruler('5 in')}, {wrap('width: {A: 5 in, B: 6 in}')}", BAD),
    ("limit: ruler.size >= wrap.layers * 1 in", f"plan {ruler('2 in')}, {wrap('layers: 3')}, {wrap('layers: 2')}", OK),
    # adds
    ("limit: coat.thick >= 1 in", "plan {do: coat, thick: 1/2 in}, {do: coat, thick: 1/2 in}", OK),
    ("limit: coat.thick >= 1 in", "plan {do: coat, thick: 1/2 in}, {do: coat, thick: 1/4 in}", BAD),
    ("limit: coat.thick >= 1 in", "plan {do: coat, thick: 1/2 in}, coat", UNCLEAR),
    # job facts
    ("limit: ruler.size >= hole", f"plan job: {{hole: 5 in}} | {ruler('5 in')}", OK),
    ("limit: ruler.size >= hole", f"plan {ruler('5 in')}", UNCLEAR),
    ("limit: hole <= 5 in", "plan job: {hole: 6 in} | use", BAD),
    # words
    ("limit: ruler.grade is fine", "plan {do: ruler, grade: coarse}", BAD),
    ("limit: ruler.grade is one of [fine, coarse]", "plan {do: ruler, grade: Coarse}", OK),
    ("limit: if ruler.grade is fine then ruler.size >= 5 in", "plan {do: ruler, grade: coarse, size: 1 in}", OK),
    ("limit: if ruler.grade is fine then ruler.size >= 5 in", f"plan {ruler('5 in')}", OK),  # right either way
    ("limit: if ruler.grade is fine then ruler.size >= 5 in", f"plan {ruler('4 in')}", UNCLEAR),
    # only known when done: open, unless no possible value would do
    (DEEP, "plan wrap", OK),
    ("limit: read-p.gas <= 10 %LFL", "plan read-p", OK),
    ("limit: read-p.gas <= 100 %LFL", "plan read-p", OK),
    ("limit: read-p.gas >= 101 %LFL", "plan read-p", BAD),
    (DEEP, "log wrap", UNCLEAR),
    (DEEP, f"log {wrap('depth: 5 in')}", OK),
    (DEEP, f"log {wrap('depth: <6 in')}", UNCLEAR),  # an interval, never its edge
    (DEEP, "log {do: wrap, depth: '>5 in'}", OK),
    (DEEP, f"log {wrap('depth: <5 in')}", BAD),
    (DEEP, "log finished: no | use", UNCLEAR),
    # unclear turns a false limit into one that cannot be told
    (SIZE + ", unclear: ruler.grade is coarse", "plan {do: ruler, size: 4 in, grade: coarse}", UNCLEAR),
    (SIZE + ", unclear: ruler.grade is coarse", "plan {do: ruler, size: 4 in, grade: fine}", BAD),
    (SIZE + ", unclear: ruler.grade is coarse", "plan {do: ruler, size: 5 in, grade: coarse}", OK),
    # uncertainty: the decision level is 95 %
    (DEEP, f"log {wrap('depth: 5.1 in u=0.05 in')}", OK),
    (DEEP, f"log {wrap('depth: 5.05 in u=0.05 in')}", UNCLEAR),
    (DEEP, f"log {wrap('depth: 4.9 in u=0.05 in')}", BAD),
    # record
    ("record: [depth], of: wrap", f"log {wrap('depth: 5 in')}", OK),
    ("record: [depth], of: wrap", "log wrap", BAD),
    ("record: [depth], of: wrap", f"log {wrap('depth: {A: 5 in}')}", BAD),
    ("record: [depth], of: wrap", "log use", NONE),
    ("record: [depth], of: wrap", "plan wrap", NONE),  # blank on the card
    ("record: [depth], of: wrap", f"log wrap, {wrap('depth: 5 in')}", OK),
    ("record: [gas], of: read-p", "log read-p, {do: read-p, gas: 0 %LFL}", BAD),
    ("record: [depth], of: wrap", "log records: milestones | wrap", UNCLEAR),
    ("record: [depth], of: wrap", "log finished: no | use", UNCLEAR),
]


@pytest.mark.parametrize(("rule", "procedure", "expected"), CASES)
def test_limit_and_record(verdict: Callable[[str, str], str], rule: str, procedure: str, expected: str) -> None:
    assert verdict(rule, procedure) == expected
