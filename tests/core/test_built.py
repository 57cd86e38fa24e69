"""What is assumed of orders that nobody says how to round up."""

from __future__ import annotations

from dataclasses import replace

from service.core.built import increment_assumptions
from tests.given.money import bought


def test_increment_assumptions_are_of_orders_that_nobody_says_how_to_round() -> None:
    """Stone by half a yard, all else by a hundredth (rule 11.3)."""
    stone = replace(bought("stone", unit="yd3", group="stone"), increment_assumed=True)
    pipe = replace(bought("pipe", unit="ft", group="pipe"), increment_assumed=True)
    found = list(increment_assumptions([stone, bought("block"), pipe]))
    assert [(each.field, each.value) for each in found] == [
        ("catalog: materials/stone, sold.increment", "0.5 yd3"),
        ("catalog: materials/pipe, sold.increment", "0.01 ft"),
    ]
