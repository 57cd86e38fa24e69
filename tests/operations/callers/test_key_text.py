"""The text of a key: what a slip of the hand makes of it is told apart without a look at any."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from service.operations.callers.key_text import is_key, new_key

MADE = new_key().text
CHARACTERS = "abcdefghijklmnopqrstuvwxyz0123456789_"


@given(at=st.integers(0, len(MADE) - 1), typed=st.sampled_from(CHARACTERS))
def test_is_key_refuses_a_key_with_one_wrong_character(at: int, typed: str) -> None:
    """A checksum of 32 bits finds every burst of up to 32 wrong bits, so one character too."""
    slipped = MADE[:at] + typed + MADE[at + 1 :]
    assert is_key(slipped) == (slipped == MADE)


def test_is_key_refuses_a_part_of_a_key() -> None:
    """Nothing may be missing at its end, and nothing may stand around it."""
    assert is_key(MADE)
    assert not any(
        is_key(text) for text in (MADE[:-1], MADE[:-8], MADE + "0", MADE + "\n", MADE.upper())
    )
