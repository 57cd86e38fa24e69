"""What each wall has of a quantity, by hand."""

from __future__ import annotations

import pytest

from service.core.shares import Shares, add_up, share_out


def test_add_up_has_each_wall_once_by_name() -> None:
    """Two parts of `b` and one of `a`, in any order."""
    parts = [("b", 1.5), ("a", 2.0), ("b", 0.5)]
    assert add_up(parts) == add_up(parts[::-1]) == (("a", 2.0), ("b", 2.0))


@pytest.mark.parametrize(
    ("total", "shares", "parts"),
    [
        (12.0, (("a", 1.0), ("b", 3.0)), (("a", 3.0), ("b", 9.0))),
        (0.0, (("a", 1.0),), ()),
        (12.0, (("a", 0.0), ("b", 0.0)), ()),
        (12.0, (), ()),
    ],
)
def test_share_out_goes_by_what_each_wall_has(total: float, shares: Shares, parts: Shares) -> None:
    """12 by 1 to 3 are 3 and 9; nothing is shared out where there is nothing, or nobody has any."""
    assert share_out(total, shares) == parts
