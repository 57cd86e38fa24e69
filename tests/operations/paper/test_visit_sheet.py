"""A visit sheet of a quote: what to settle first."""

from __future__ import annotations

from service.documents.tree import Bullets
from tests.given.papers import paper_of


def first_questions(example: str) -> list[str]:
    """The sentences under the first heading."""
    bullets = next(
        block for block in paper_of("visit_sheet", example).blocks if isinstance(block, Bullets)
    )
    return list(map(str, bullets.items))


def test_visit_sheet_settles_the_dearest_assumptions_first() -> None:
    """Of the wall in the bank: the bank's top (1410.54), the fill (333.24), both ends (80.48),
    then what changes nothing, soil under the wall before slopes as the quote lists them."""
    bank, fill, start, finish, under = first_questions("what_is_assumed")
    assert "the ground behind is taken to meet the top" in bank
    assert "filled behind the wall" in fill
    assert "its start" in start
    assert "its far end" in finish
    assert "soil under the wall" in under


def test_visit_sheet_keeps_the_order_of_a_quote_that_was_not_asked() -> None:
    """Without what each is worth they stand as the quote lists them."""
    first = first_questions("dug_terrace")[0]
    assert "soil under the wall" in first
