"""Hints at the known word that was meant: as many as are worth the time of comparing."""

import difflib

import pytest

from service.faults import hints

KNOWN = ("bond", "profile", "plan", "name")


@pytest.fixture
def compared(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many known words each comparison went over."""
    seen: list[int] = []
    compare = difflib.get_close_matches

    def counted(word: str, known: tuple[str, ...], number: int) -> list[str]:
        seen.append(len(known))
        return compare(word, known, number)

    monkeypatch.setattr(difflib, "get_close_matches", counted)
    return seen


def test_nearest_names_the_word_that_was_meant() -> None:
    """A letter too many or missing is seen through; a word like none, or too long, is not."""
    given = hints.Hints()
    found = [given.nearest(word, KNOWN) for word in ("profil", "plann", "x", "plan" * 17)]
    assert found == ["profile", "plan", None, None]


def test_nearest_compares_so_many_words_for_one_document(compared: list[int]) -> None:
    """600 pairs of words are compared: of 1,000 words against four, the first 150."""
    given = hints.Hints()
    found = [given.nearest(f"profile{number}", KNOWN) for number in range(1000)]
    assert found == ["profile"] * 150 + [None] * 850
    assert sum(compared) == 600


def test_nearest_compares_a_word_once(compared: list[int]) -> None:
    """The same slip in each of a thousand walls is told each time, and compared once."""
    given = hints.Hints()
    assert {given.nearest("profil", KNOWN) for _ in range(1000)} == {"profile"}
    assert compared == [4]
