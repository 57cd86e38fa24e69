"""Start, finish and critical path of small networks, against every chain written out."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.labor.sequencing.sequence import (
    Activity,
    ActivityCircularError,
    schedule_activities,
)


def activity(key: str, days: int, *after: str, by: tuple[str, ...] = ()) -> Activity:
    """An activity of whole days."""
    return Activity(key=key, days=Fraction(days), resources=by, after=after)


def test_schedule_activities_starts_when_all_before_are_done() -> None:
    """The third waits for the longer of two; the shorter has a day to spare and isn't critical."""
    found = schedule_activities([activity("a", 3), activity("b", 2), activity("c", 1, "a", "b")])
    assert [found["c"].start, found["c"].finish] == [Fraction(3), Fraction(4)]
    assert [key for key, timed in found.items() if timed.critical] == ["a", "c"]


def test_schedule_activities_gives_a_crew_to_the_first_in_the_list() -> None:
    """One crew: what stands first goes first, and what waits for the crew is critical too."""
    found = schedule_activities([activity("b", 2, by=("x",)), activity("a", 3, by=("x",))])
    assert [found["b"].finish, found["a"].start] == [Fraction(2), Fraction(2)]
    assert found["a"].finish == Fraction(5)
    assert all(timed.critical for timed in found.values())


def test_schedule_activities_names_the_circle() -> None:
    """Activities that wait for each other can't be put in order."""
    with pytest.raises(ActivityCircularError) as caught:
        schedule_activities([activity("a", 1, "b"), activity("b", 1, "a"), activity("c", 1)])
    assert {*caught.value.keys} == {"a", "b"}


@given(
    lengths=st.lists(st.integers(0, 9), min_size=1, max_size=7),
    edges=st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=12),
)
def test_schedule_activities_ends_with_the_longest_chain(
    lengths: list[int], edges: list[tuple[int, int]]
) -> None:
    """Without shared crews the end is the longest of all chains, and a critical activity lies on
    a chain of that length."""
    before: dict[int, list[int]] = {i: [] for i in range(len(lengths))}
    for first, second in edges:
        if first < second < len(lengths) and first not in before[second]:
            before[second].append(first)
    found = schedule_activities(
        [activity(str(i), days, *map(str, before[i])) for i, days in enumerate(lengths)]
    )

    def chains(to: int) -> list[tuple[int, ...]]:
        if not before[to]:
            return [(to,)]
        return [(*chain, to) for earlier in before[to] for chain in chains(earlier)]

    every = [chain for i in before for chain in chains(i)]
    longest = max(sum(lengths[i] for i in chain) for chain in every)
    assert max(timed.finish for timed in found.values()) == longest
    on_longest = {
        str(i) for chain in every if sum(lengths[i] for i in chain) == longest for i in chain
    }
    assert {key for key, timed in found.items() if timed.critical} == on_longest
