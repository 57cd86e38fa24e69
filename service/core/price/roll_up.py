"""The roll-up from direct cost to subtotal (rule 15), each amount with its words.

Every amount is rounded half up to the currency's minor unit where it arises; sums are sums of
rounded amounts; each percentage names its base.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import assert_never

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.terms import Terms
from service.core.money import counted, percent, plain, result, total_of
from service.core.rounding import EXACT


@dataclass(frozen=True, slots=True)
class Amount:
    """A rounded amount and how it came about."""

    value: Decimal
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RollUp:
    """Direct cost to subtotal, in the order of rule 15."""

    direct_cost: Amount
    overhead: Amount
    contingency: Amount
    profit: Amount
    discount: Amount
    added_to_reach_minimum: Amount
    subtotal: Amount

    @property
    def cost(self) -> Decimal:
        """Direct cost, overhead and contingency: the base of a markup."""
        return total_of((self.direct_cost.value, self.overhead.value, self.contingency.value))


def roll_up(direct: Amount, crew_days: Decimal, terms: Terms, places: int) -> RollUp:
    """From direct cost to subtotal; a margin of 1 or more is refused before this."""
    overhead = _overhead(direct.value, crew_days, terms, places)
    base = total_of((direct.value, overhead.value))
    contingency = share_of(terms.contingency, base, "direct cost + overhead", places)
    cost = total_of((base, contingency.value))
    profit = _profit(cost, terms, places)
    discount_value = rounding.minor_unit(terms.discount, places)
    discount = Amount(discount_value, f"{discount_value:f} by the terms")
    before = EXACT.subtract(EXACT.add(cost, profit.value), discount_value)
    added = _added(before, terms, places)
    subtotal = EXACT.add(before, added.value)
    how = (
        f"direct cost {direct.value:f} + overhead {overhead.value:f} + contingency "
        f"{contingency.value:f} + profit {profit.value:f} - discount {discount_value:f} + added "
        f"to reach the minimum {added.value:f} = {subtotal:f}"
    )
    return RollUp(
        direct_cost=direct,
        overhead=overhead,
        contingency=contingency,
        profit=profit,
        discount=discount,
        added_to_reach_minimum=added,
        subtotal=Amount(subtotal, how),
    )


def share_of(share: Decimal, base: Decimal, base_name: str, places: int) -> Amount:
    """A percentage of a named base."""
    exact = Fraction(share) * Fraction(base)
    value = rounding.minor_unit(exact, places)
    return Amount(value, f"{percent(share)} of {base_name} {base:f} {result(exact, value)}")


def margin_of(sums: RollUp) -> tuple[Decimal | None, str]:
    """What is left of the subtotal after its cost, as a share of it; None of nothing."""
    subtotal = sums.subtotal.value
    if not subtotal:
        return None, "no margin: the subtotal is 0"
    left = EXACT.subtract(subtotal, sums.cost)
    exact = Fraction(left) / Fraction(subtotal)
    value = rounding.margin(exact)
    parts = f"(subtotal {subtotal:f} - direct cost, overhead and contingency {sums.cost:f})"
    return value, f"{parts} / subtotal {subtotal:f} {result(exact, value)}"


def _overhead(direct: Decimal, crew_days: Decimal, terms: Terms, places: int) -> Amount:
    """A share of direct cost, a sum per crew day, or both: rounded once."""
    exact = Fraction(terms.overhead_share) * Fraction(direct)
    how = f"{percent(terms.overhead_share)} of direct cost {direct:f}"
    if terms.overhead_per_crew_day:
        exact += Fraction(terms.overhead_per_crew_day) * Fraction(crew_days)
        how += f" + {counted(crew_days, 'crew day')} x {terms.overhead_per_crew_day:f}"
    value = rounding.minor_unit(exact, places)
    return Amount(value, f"{how} {result(exact, value)}")


def _profit(cost: Decimal, terms: Terms, places: int) -> Amount:
    """A markup on cost, or what makes the margin a share of the price."""
    share = terms.profit.share
    base = "direct cost + overhead + contingency"
    match terms.profit.basis:
        case "markup":
            return share_of(share, cost, base, places)
        case "margin":
            exact = Fraction(cost) * Fraction(share) / (1 - Fraction(share))
            value = rounding.minor_unit(exact, places)
            left = plain(1 - Fraction(share))
            parts = f"{base} {cost:f} x {plain(share)} / {left}"
            words = f"margin of {percent(share)} of the price: {parts} {result(exact, value)}"
            return Amount(value, words)
        case _:
            assert_never(terms.profit.basis)


def _added(before: Decimal, terms: Terms, places: int) -> Amount:
    """What is missing to the minimum charge; a discount can't take a price below 0 either."""
    minimum = rounding.minor_unit(terms.minimum_charge, places)
    value = max(EXACT.subtract(minimum, before), rounding.minor_unit(Decimal(0), places))
    return Amount(
        value, f"minimum charge {minimum:f}, price before it {before:f}: {value:f} is added"
    )
