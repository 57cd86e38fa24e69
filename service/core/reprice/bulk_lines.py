"""What each line of many packed quotes costs at new prices, in whole minor units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from service.core.reprice import packed_format as form
from service.core.reprice.packed_columns import (
    Bools,
    Ints,
    PackedColumns,
    PriceColumns,
    ratios,
)

# Products stay below it, so that twice as much still fits 64 bits.
MOST = float(2**61)
_TENS = np.array([10**n for n in range(19)], np.int64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """Cost of each line in minor units, whether it stands in the price, and the quotes in which
    one could not be had."""

    cost: Ints
    present: Bools
    failed: Bools


def half_up(part: Ints, whole: Ints) -> Ints:
    """The quotient rounded half up; both in bounds, `part` not negative."""
    rounded = 2 * part
    rounded += whole
    rounded //= 2 * whole
    return rounded


def cost_lines(packed: PackedColumns, prices: PriceColumns) -> Lines:
    """Amount x unit cost of each line, half up."""
    cost, per = _unit_costs(packed, prices)
    amount, places, part, whole = _amounts(packed, per)
    failed_line = whole == 0
    _hire(packed, cost, amount)
    whole[failed_line] = 1
    scale = _TENS.take(places + (form.UNIT_COST_PLACES - prices.places))
    wide = amount.astype(np.float64) * cost * part > MOST / 2
    wide |= scale.astype(np.float64) * whole > MOST / 2
    divisor = scale * whole
    divisor[wide] = 1
    rounded = half_up(amount * cost * part, divisor)
    for at in np.flatnonzero(wide).tolist():
        exact = int(amount[at]) * int(cost[at]) * int(part[at])
        by = int(scale[at]) * int(whole[at])
        rounded[at] = min((2 * exact + by) // (2 * by), form.LARGEST)
    failed = np.zeros(len(packed.quotes), np.bool_)
    failed[packed.quote[failed_line]] = True
    return Lines(cost=rounded, present=(packed.lines["hired"] == 0) | (amount > 0), failed=failed)


def _unit_costs(packed: PackedColumns, prices: PriceColumns) -> tuple[Ints, Ints]:
    """What each line costs per what, in millionths: by override, price list or wage. What isn't in
    the list, or is in stock there, fits nothing here, whatever it costs."""
    at, found = prices.find(packed.lines["item"])
    if len(prices.keys):
        cost = prices.cost[at]
        per = np.where(found, prices.per[at], form.NO_UNIT).astype(np.int64)
    else:
        cost = np.zeros(len(found), np.int64)
        per = np.full(len(found), form.NO_UNIT, np.int64)
    own = np.flatnonzero(packed.own_price >= 0)
    theirs = packed.own_prices[packed.own_price[own]]
    used = (theirs["use"] != form.WAGE) | ~found[own]
    cost[own[used]] = theirs["cost"][used]
    per[own[used]] = theirs["per"][used]
    if prices.stock.any():
        per[found & prices.stock[at]] = form.NO_UNIT
    return cost, per


def _amounts(packed: PackedColumns, per: Ints) -> tuple[Ints, Ints, Ints, Ints]:
    """Each line's amount, its places, and the ratio to the unit of its price (whole 0: none)."""
    unit = packed.lines["unit"]
    amount = packed.lines["amount"].astype(np.int64)
    places = packed.lines["places"].astype(np.int64)
    part, whole = ratios(unit, per)
    # Weights and pallets are no amounts that a price could be for.
    at = np.flatnonzero(packed.others["unit"] < len(form.UNIT_CODES))
    if len(at):
        others, other_line = packed.others[at], packed.other_line[at]
        asked = per[other_line]
        exact = others["unit"] == asked
        other_part, other_whole = ratios(others["unit"], asked)
        fits = (other_whole > 0) & (whole[other_line] == 0)
        for chosen in (fits & ~exact, exact):  # where both are of one line, the exact one counts
            line, other = other_line[chosen], others[chosen]
            amount[line] = other["amount"]
            places[line] = other["places"]
            part[line], whole[line] = other_part[chosen], other_whole[chosen]
    return amount, places, part, whole


def _hire(packed: PackedColumns, cost: Ints, amount: Ints) -> None:
    """Fill hired lines with the cheapest mix of weeks and days (as core/price/hire.py), fewer weeks
    where two cost the same."""
    if not len(packed.hires):
        return
    days, length = packed.hires["days"].astype(np.int64), packed.hires["week_days"].astype(np.int64)
    weekly = packed.week_line >= 0
    day_cost = cost[packed.day_line]
    week_cost = np.where(weekly, cost[packed.week_line], 0)
    dearest = float(max(day_cost.max(), week_cost.max()))
    if float(days.max()) * dearest > MOST:
        # Rare enough to be counted by Python's own integers, which have no bound.
        day_cost, week_cost = day_cost.astype(object), week_cost.astype(object)
    best_weeks = np.zeros(len(days), np.int64)
    best_cost = days * day_cost
    full = days // length
    for weeks in (full, full + 1):
        left = np.maximum(days - weeks * length, 0)
        found = weeks * week_cost + left * day_cost
        better = weekly & (found < best_cost).astype(np.bool_)
        best_weeks = np.where(better, weeks, best_weeks)
        best_cost = np.where(better, found, best_cost)
    np.add.at(amount, packed.day_line, np.maximum(days - best_weeks * length, 0))
    np.add.at(amount, packed.week_line[weekly], best_weeks[weekly])
