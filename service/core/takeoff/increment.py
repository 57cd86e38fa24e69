"""What the yard rounds an order up to."""

from __future__ import annotations

from decimal import Decimal

from service.core.job.section import Group
from service.core.measure import Unit, number
from service.core.rounding import whole_increments

# Where neither a file nor the yard says what an order is rounded up to (rule 11.3):
# stone so, all else so, whatever its unit.
STONE_INCREMENT = Decimal("0.5")
OTHER_INCREMENT = Decimal("0.01")


def assumed_increment(group: Group) -> Decimal:
    """What an order of a group is rounded up to where nothing says so."""
    return STONE_INCREMENT if group == "stone" else OTHER_INCREMENT


def round_up(amount: float, sold: Unit, step: Decimal) -> tuple[Decimal, str]:
    """An SI amount in the unit in which it is sold, rounded up to a step, with its words."""
    ordered = whole_increments(amount / float(sold.si), step)
    return ordered, f"rounded up to {number(step)} {sold.symbol}: {number(ordered)} {sold.symbol}"
