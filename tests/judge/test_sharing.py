"""Which findings share a mend: held to every way of choosing them, and to a cost that grows with the findings."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringcut.judge import sharing
from ringcut.judge.mends import Mend, Mends, Stretch
from ringcut.judge.sharing import Group, shared

GUARD, BOND = Mend("step", "guard"), Mend("step", "bond")


def stretch(low: int, long: int, closure: str = "") -> Stretch:
    return Stretch(low, low + long, closure)


def room_for_all(stretches: list[Stretch]) -> bool:
    return max(each.low for each in stretches) < min(each.high for each in stretches)


@given(st.lists(st.builds(stretch, st.integers(-1, 8), st.integers(1, 5)), max_size=7))
def test_no_larger_set_of_findings_has_room_for_one_doing(stretches: list[Stretch]) -> None:
    groups = list(shared([{GUARD: each} for each in stretches]))
    left = set(range(len(stretches)))
    for group in groups:
        assert room_for_all([stretches[index] for index in group.members])
        assert group.stretch.low == max(stretches[index].low for index in group.members)
        assert group.stretch.high == min(stretches[index].high for index in group.members)
        for larger in combinations(sorted(left), len(group.members) + 1):
            assert not room_for_all([stretches[index] for index in larger])
        assert left.issuperset(group.members)
        left -= set(group.members)
    assert all(not room_for_all([stretches[one], stretches[two]]) for one, two in combinations(left, 2))


def test_of_equally_many_those_with_the_first_finding_count() -> None:
    two: list[Mends] = [{BOND: stretch(5, 2)}, {GUARD: stretch(0, 2)}, {GUARD: stretch(1, 2)}, {BOND: stretch(6, 2)}]
    assert [(group.members, group.mend) for group in shared(two)] == [((0, 3), BOND), ((1, 2), GUARD)]
    apart = [{GUARD: stretch(low, 2)} for low in (5, 0, 1, 6)]
    assert [group.members for group in shared(apart)] == [(0, 3), (1, 2)]


def test_a_step_of_the_site_has_a_place_in_the_line_of_each_closure() -> None:
    """Two in one closure that no doing mends together were told as one, where a third stood in another closure."""
    apart = [{GUARD: stretch(0, 1, "2")}, {GUARD: stretch(3, 1, "1")}, {GUARD: stretch(6, 1, "1")}]
    assert list(shared(apart)) == [Group((0, 1), GUARD, apart[0][GUARD])]


def test_many_findings_cost_no_more_each_than_few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every finding was once looked at again for every cause."""
    looked: list[int] = []
    together = sharing._together

    def counting(mend: Mend, indexes: tuple[int, ...], able: list[Mends]) -> tuple[tuple[int, ...], Stretch]:
        looked.append(len(indexes))
        return together(mend, indexes, able)

    monkeypatch.setattr(sharing, "_together", counting)
    cost = []
    for pairs in (20, 80):
        looked.clear()
        able: list[Mends] = [{Mend("place", f"open #{number // 2}"): stretch(number, 3)} for number in range(2 * pairs)]
        assert len(list(shared(able))) == pairs
        cost.append(sum(looked))
    assert cost[1] <= 5 * cost[0]
