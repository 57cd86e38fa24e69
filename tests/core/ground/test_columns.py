"""Heights over offsets, added up and compared: against a look at every trapezoid at each place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.ground.columns import HeightRow, greater, less, lesser, moved, stacked
from service.core.ground.region import Trapezoid

PLACES = [0.013 + 0.0731 * n for n in range(180)]  # at none of which a trapezoid of tenths ends


@st.composite
def rows(draw: st.DrawFn) -> HeightRow:
    """Trapezoids side by side, some with a gap before them, in tenths of a meter."""
    found, x = [], draw(st.integers(0, 20)) / 10
    for _ in range(draw(st.integers(0, 6))):
        x += draw(st.sampled_from([0, 0, 3, 7])) / 10
        end = x + draw(st.integers(1, 15)) / 10
        first, last = (draw(st.integers(0, 30)) / 10 for _ in range(2))
        found.append((x, first, end, last))
        x = end
    return tuple(found)


def height_at(trapezoids: Sequence[Trapezoid], x_m: float) -> float:
    """What stands over an offset."""
    return sum(
        first + (last - first) * (x_m - a) / (b - a)
        for a, first, b, last in trapezoids
        if a <= x_m <= b
    )


@settings(max_examples=50)
@given(one=rows(), other=rows())
def test_stacked_adds_up_what_stands_over_each_place(one: HeightRow, other: HeightRow) -> None:
    """A row by itself, and two rows on each other; the result is a row of its own height."""
    for trapezoids in (one, other, (*one, *other)):
        found = stacked(trapezoids)
        assert all(a[2] <= b[0] for a, b in pairwise(found))
        for x in PLACES:
            assert height_at(found, x) == pytest.approx(height_at(trapezoids, x), abs=1e-8)


@settings(max_examples=50)
@given(one=rows(), other=rows())
@pytest.mark.parametrize(
    ("combined", "pick"),
    [
        (lesser, min),
        (greater, max),
        (less, lambda p, q: max(0.0, p - q)),
    ],
)
def test_two_rows_are_compared_place_by_place(
    combined: Callable[[HeightRow, HeightRow], HeightRow],
    pick: Callable[[float, float], float],
    one: HeightRow,
    other: HeightRow,
) -> None:
    """The lesser, the greater, and how much higher one is than the other, wherever they cross."""
    found = combined(stacked(one), stacked(other))
    for x in PLACES:
        expected = pick(height_at(one, x), height_at(other, x))
        assert height_at(found, x) == pytest.approx(expected, abs=1e-8)


def test_stacked_has_no_column_narrower_than_rounding() -> None:
    """In front of the line, too: trapezoids that overlap by half a billionth, or lie as far apart,
    stand beside each other. Overlaps of two billionths are a column of their own."""
    for off, count in ((-5e-10, 2), (5e-10, 2), (-2e-9, 3)):
        found = stacked([(-4.0, 2.0, -2.5, 2.0), (-2.5 + off, 3.0, -1.0, 0.5)])
        assert len(found) == count
        assert found[0][:2] == (-4.0, 2.0)
        assert found[-1][2:] == pytest.approx((-1.0, 0.5))


def test_moved_stands_farther_back_as_high_as_before() -> None:
    """Two pieces 1.5 m back, and one forward."""
    row = (1.0, 2.0, 3.0, 4.0), (3.5, 0.5, 5.0, 0.25)
    assert moved(row, 1.5) == ((2.5, 2.0, 4.5, 4.0), (5.0, 0.5, 6.5, 0.25))
    assert moved(row[:1], -2.0) == ((-1.0, 2.0, 1.0, 4.0),)
