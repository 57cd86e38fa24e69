"""Pieces cut from rolls, by hand."""

from __future__ import annotations

import pytest

from service.core.takeoff.roll import cut_count, cut_rolls
from tests.given.walls import ft


@pytest.mark.parametrize(
    ("piece", "count"), [(5, 30), (4.8, 31), (6.55, 22), (150, 1), (151, 0), (0.3, 500)]
)
def test_cut_count_is_whole_pieces_of_one_roll(piece: float, count: int) -> None:
    """150 ft give 30 pieces of 5 ft, 31 of 4.8 ft (148.8), 22 of 6.55 ft (144.1)."""
    assert cut_count(ft(piece), ft(150)) == count


@pytest.mark.parametrize(("pieces", "rolls"), [(0, 0), (1, 1), (30, 1), (31, 2), (60, 2), (61, 3)])
def test_cut_rolls_begins_a_roll_when_the_last_is_used_up(pieces: int, rolls: int) -> None:
    """30 pieces of 5 ft come from a roll of 150 ft; the 31st begins another."""
    assert cut_rolls([(ft(5), pieces)], ft(150)) == rolls


def test_cut_rolls_gives_what_is_left_to_shorter_pieces() -> None:
    """22 pieces of 6.55 ft leave 5.9 ft of a roll: one of 4.8 ft comes from that, not two."""
    assert cut_rolls([(ft(6.55), 22), (ft(4.8), 1)], ft(150)) == 1
    assert cut_rolls([(ft(4.8), 2), (ft(6.55), 22)], ft(150)) == 2


def test_cut_rolls_cuts_the_longest_first() -> None:
    """Rolls of 10 m give two pieces of 6 m one each, and two of 4 m what is left of them; the
    short ones first would share a roll, and there would be three. What is cut is gone: a piece of
    6 m and one of 4 m leave nothing for 3 m, one of 6 m and one of 3.5 m half a meter."""
    assert cut_rolls([(4.0, 2), (6.0, 2)], 10.0) == 2
    assert cut_rolls([(6.0, 1), (4.0, 1), (3.0, 1)], 10.0) == 2
    assert cut_rolls([(6.0, 1), (3.5, 1), (0.5, 1)], 10.0) == 1
    assert cut_rolls([(6.0, 1), (3.5, 1), (0.6, 1)], 10.0) == 2
