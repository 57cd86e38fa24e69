"""A table has one row for each word of its list, or the service doesn't start."""

from __future__ import annotations

import pytest

from service.core.closed_list import ListUnevenError, check_words, row_each


@pytest.mark.parametrize(
    "found",
    [("walls",), ("walls", "corners", "corners"), ("walls", "corners", "job"), ("walls", "job")],
)
def test_check_words_refuses_what_is_uneven(found: tuple[str, ...]) -> None:
    """A word that was not found, was found twice, or that nobody asked for: the error names both
    lists."""
    with pytest.raises(ListUnevenError, match="wanted: corners, walls; found: "):
        check_words(("walls", "corners"), found)


def test_check_words_passes_what_is_even() -> None:
    """The order changes nothing."""
    check_words(("walls", "corners"), ("corners", "walls"))


def test_row_each_gives_the_rows_as_they_stand() -> None:
    """The table is the rows, and nobody can change it; one row less is refused."""
    rows = {"up": 1, "down": -1}
    table = row_each(("up", "down"), rows)
    assert table == {"up": 1, "down": -1}
    with pytest.raises(TypeError):
        table["left"] = 0  # type: ignore[index]
    with pytest.raises(ListUnevenError):
        row_each(("up", "down", "left"), rows)
