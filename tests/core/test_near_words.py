"""Hints at the known word that was meant: as many as are worth the time of comparing."""

import difflib

import pytest

from service.core import near_words

KNOWN = ("bond", "profile", "plan", "name")


@pytest.fixture
def compared(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many known words each comparison went over."""
    seen: list[int] = []
    compare = difflib.get_close_matches

    def counted(word: str, known: tuple[str, ...], number: int, likeness: float) -> list[str]:
        seen.append(len(known))
        return compare(word, known, number, likeness)

    monkeypatch.setattr(difflib, "get_close_matches", counted)
    return seen


def test_nearest_names_the_word_that_was_meant() -> None:
    """A letter too many or missing is seen through; a word like none, or too long, is not."""
    given = near_words.NearWords()
    found = [given.nearest(word, KNOWN) for word in ("profil", "plann", "x", "plan" * 17)]
    assert found == ["profile", "plan", None, None]


def test_nearest_compares_so_many_words_for_one_document(compared: list[int]) -> None:
    """600 pairs of words are compared: of 1,000 words against four, the first 150."""
    given = near_words.NearWords()
    found = [given.nearest(f"profile{number}", KNOWN) for number in range(1000)]
    assert found == ["profile"] * 150 + [None] * 850
    assert sum(compared) == 600


def test_nearest_compares_a_word_once(compared: list[int]) -> None:
    """The same slip in each of a thousand walls is told each time, and compared once."""
    given = near_words.NearWords()
    assert {given.nearest("profil", KNOWN) for _ in range(1000)} == {"profile"}
    assert compared == [4]


def test_nearest_compares_at_least_once(compared: list[int]) -> None:
    """The first unknown word is held against all known ones, however many there are."""
    near = near_words.NearWords()
    known = tuple(f"item_{number}" for number in range(2000))
    assert [near.nearest(word, known) for word in ("item_777x", "item_778x")] == ["item_777", None]
    assert compared == [2000]


def test_nearest_compares_while_anything_is_left(compared: list[int]) -> None:
    """Of four pairs the first word takes three: the second has one left, the third has none."""
    near = near_words.NearWords(4)
    found = [near.nearest(f"plan{number}", ("plan", "name", "bond")) for number in range(3)]
    assert found == ["plan", "plan", None]
    assert compared == [3, 3]


@pytest.mark.parametrize(("letters", "found"), [(64, "p" * 63), (65, None)])
def test_nearest_looks_at_words_of_up_to_64_letters(letters: int, found: str | None) -> None:
    """A longer one is no slip of a name."""
    assert near_words.NearWords().nearest("p" * letters, ("p" * 63,)) == found
