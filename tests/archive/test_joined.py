"""Gaps that share something are one question: connected parts, against the components that networkx finds."""

from __future__ import annotations

import networkx
from hypothesis import given
from hypothesis import strategies as st

from ringcut.archive.joined import Gap, joined
from ringcut.archive.results import Wanted


def gap(number: int, shares: set[str], rule: str = "") -> Gap:
    return Gap(
        (Wanted(number, step="s", reading="r"),), (rule or f"rule-{number}",), frozenset((each,) for each in shares)
    )


@given(st.lists(st.sets(st.sampled_from("abcdefgh"), max_size=3), max_size=9))
def test_the_parts_are_the_connected_components(shared: list[set[str]]) -> None:
    graph: networkx.Graph[int] = networkx.Graph()
    graph.add_nodes_from(range(len(shared)))
    graph.add_edges_from((one, two) for one in range(len(shared)) for two in range(one) if shared[one] & shared[two])
    wanted = {frozenset(part) for part in networkx.connected_components(graph)}
    found = [
        frozenset(each.row for each in part.wants) for part in joined(gap(n, each) for n, each in enumerate(shared))
    ]
    assert set(found) == wanted
    assert len(found) == len(wanted)


def test_the_same_reading_of_one_row_is_asked_once_for_all_its_rules() -> None:
    (part,) = joined([gap(4, {"a"}, "one"), gap(4, {"b"}, "two"), gap(4, {"b"}, "one")])
    assert part.wants == (Wanted(4, step="s", reading="r"),)
    assert part.rules == ("one", "two")


def test_wants_stand_by_row() -> None:
    (part,) = joined([gap(9, {"a"}), gap(3, {"a"})])
    assert [each.row for each in part.wants] == [3, 9]


def test_a_reading_is_not_asked_of_a_step_and_of_its_side_as_well() -> None:
    """Reach, and reach of side B, of the same row were two things to answer."""
    shares = frozenset({("a",)})
    wants = [Wanted(4, step="s", reading="r", side=side) for side in ("B", "", "A")]
    (part,) = joined([Gap((each,), (each.side or "both",), shares) for each in wants])
    assert (part.wants, part.rules) == ((wants[1],), ("B", "both", "A"))
    (part,) = joined([Gap((each,), ("one",), shares) for each in wants if each.side])
    assert [each.side for each in part.wants] == ["A", "B"]
