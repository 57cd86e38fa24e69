"""Many quotes at new prices at once: the ordinary calculation in exact integers, as columns.

Every amount is that of `core/price`, to the minor unit: the same rounding at the same points. What
the integers can't hold is said in `ordinary` and goes the ordinary way: a price that is missing or
doesn't fit, sums beyond 2^62. Nothing here is approximate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.core.reprice import packed_format as form
from service.core.reprice.bulk_freight import add_freight
from service.core.reprice.bulk_lines import MOST, Lines, cost_lines, half_up
from service.core.reprice.bulk_spread import Spreading, taxed_lines
from service.core.reprice.packed_columns import (
    Bools,
    Ints,
    PackedColumns,
    PriceColumns,
    read_columns,
)

# Columns of so many quotes stay in the caches, and in memory that is at hand.
QUOTES_AT_ONCE = 1000
# As many lines as a quote can have add up to less than 2^62.
_MOST_OF_A_LINE = form.LARGEST // form.NO_LINE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BulkPrices:
    """New roll-ups, one entry a quote, in minor units; `margin` and `margin_at_old_price` in
    ten-thousandths (`form.NO_MARGIN`: none), `price_to_hold_margin`, a subtotal, and its total with
    tax -1 where there is none.

    `amounts` has the columns of `form.AMOUNTS`, `cost_by_group` those of `form.GROUP_CODES`;
    `old_…` are what the quotes were packed with. Where `ordinary` is set nothing else holds.
    """

    ordinary: Bools
    amounts: Ints
    margin: Ints
    cost_by_group: Ints
    margin_at_old_price: Ints
    price_to_hold_margin: Ints
    total_to_hold_margin: Ints
    old_amounts: Ints
    old_margin: Ints
    old_cost_by_group: Ints
    kept_overrides: Ints


def reprice_packed(packed: Sequence[bytes], prices: PriceColumns) -> BulkPrices:
    """Re-price packed quotes, best some QUOTES_AT_ONCE.

    Raises PackedFormatError.
    """
    return reprice_columns(read_columns(packed), prices)


def reprice_columns(packed: PackedColumns, prices: PriceColumns) -> BulkPrices:
    """Re-price packed quotes that were read before."""
    packed, lines = add_freight(packed, cost_lines(packed, prices), prices)
    quotes = packed.quotes
    by_group = _cost_by_group(packed, lines)
    failed = lines.failed | _foreign(packed, prices)
    failed[packed.quote[lines.cost > _MOST_OF_A_LINE]] = True
    failed |= _add_purchase_tax(packed, lines, by_group)
    direct = by_group.sum(axis=1)
    steps = _RollUp(failed)
    overhead = steps.share(direct, quotes, "overhead", quotes["overhead_days"])
    contingency = steps.share(direct + overhead, quotes, "contingency")
    cost = direct + overhead + contingency
    profit = steps.share(cost, quotes, "profit")
    discount = quotes["discount"].astype(np.int64)
    before = cost + profit - discount
    added = np.maximum(quotes["minimum_charge"] - before, 0)
    subtotal = before + added
    spreading = Spreading(packed, lines, direct)
    taxable = _taxable(quotes, spreading, steps, (direct, subtotal))
    tax = steps.share(taxable, quotes, "tax")
    total = subtotal + tax
    deposit = steps.share(total, quotes, "deposit")
    rolled = (direct, overhead, contingency, profit, discount, added, subtotal, tax, total, deposit)
    old_subtotal = quotes["amounts"][:, form.AMOUNTS.index("subtotal")].astype(np.int64)
    old_margin = quotes["margin"].astype(np.int64)
    held = steps.held_price(cost, old_margin)
    held_taxable = _taxable(quotes, spreading, steps, (direct, np.maximum(held, 0)))
    held_tax = steps.share(held_taxable, quotes, "tax")
    return BulkPrices(
        amounts=np.stack(rolled, axis=1),
        margin=steps.margin(cost, subtotal),
        cost_by_group=by_group,
        margin_at_old_price=steps.margin(cost, old_subtotal),
        price_to_hold_margin=held,
        total_to_hold_margin=np.where(held < 0, -1, held + held_tax),
        old_amounts=quotes["amounts"].astype(np.int64),
        old_margin=old_margin,
        old_cost_by_group=quotes["cost_by_group"].astype(np.int64),
        kept_overrides=_kept_overrides(packed, lines),
        ordinary=steps.failed,
    )


def _cost_by_group(packed: PackedColumns, lines: Lines) -> Ints:
    """What the lines of each group cost, quote by quote."""
    by_group = np.zeros((len(packed.quotes), len(form.GROUP_CODES)), np.int64)
    sums = np.add.reduceat(lines.cost, packed.segment)
    by_group[packed.quote[packed.segment], packed.segment_group] = sums
    return by_group


def _foreign(packed: PackedColumns, prices: PriceColumns) -> Bools:
    """Quotes that were not packed for this, or are in another currency."""
    held = packed.quotes
    same = (held["currency"] == prices.currency.encode("ascii")) & (held["places"] == prices.places)
    foreign: Bools = (held["flags"] == form.IRREGULAR) | ~same
    return foreign


class _RollUp:
    """Steps of the roll-up over all quotes; `failed` gathers those beyond the bounds. Sums of a few
    amounts fit: a cost and a margin by ten thousand have to (`held_price`, `margin`)."""

    def __init__(self, failed: Bools) -> None:
        self.failed = failed

    def share(self, base: Ints, quotes: np.ndarray, name: str, more: Ints | int = 0) -> Ints:
        """(base x part + more) / whole, half up."""
        part, whole = quotes[name], quotes[f"{name}_whole"]
        size = base.astype(np.float64) * part + more
        sound = (size < MOST / 2) & (whole < form.LARGEST // 4) & (whole > 0)
        self.failed = self.failed | ~sound
        return half_up(base * part + more, np.where(sound, whole, 1))

    def margin(self, cost: Ints, subtotal: Ints) -> Ints:
        """(subtotal - cost) / subtotal to four decimals, half up; none of nothing."""
        left = (subtotal - cost) * 10**form.MARGIN_PLACES
        wide = np.abs((subtotal - cost).astype(np.float64)) * 10**form.MARGIN_PLACES > MOST / 2
        self.failed = self.failed | wide
        whole = np.where(subtotal > 0, subtotal, 1)
        rounded = np.sign(left) * half_up(np.abs(left), whole)
        return np.where(subtotal > 0, rounded, form.NO_MARGIN)

    def held_price(self, cost: Ints, margin: Ints) -> Ints:
        """Cost / (1 - margin), half up; -1 where no price leaves that margin."""
        one = 10**form.MARGIN_PLACES
        wide = cost.astype(np.float64) * one > MOST / 2
        self.failed = self.failed | wide
        possible = (margin != form.NO_MARGIN) & (margin < one)
        left = np.where(possible, one - margin, 1)
        return np.where(possible, half_up(cost * one, left), -1)


def _add_purchase_tax(packed: PackedColumns, lines: Lines, by_group: Ints) -> Bools:
    """What the contractor pays on what he buys, as a cost under the fees; the quotes for which
    that can't be held."""
    failed = np.zeros(len(packed.quotes), np.bool_)
    paid = packed.quotes["tax_base"] == form.PURCHASE_BASE
    if not paid.any():
        return failed
    taxed = np.where(taxed_lines(packed), lines.cost, 0)
    base = np.zeros(len(packed.quotes), np.int64)
    starts = packed.segment
    np.add.at(base, packed.quote[starts], np.add.reduceat(taxed, starts))
    steps = _RollUp(failed)
    tax = steps.share(base, packed.quotes, "tax")
    by_group[:, form.GROUP_CODES.index("fees")] += np.where(paid, tax, 0)
    beyond: Bools = steps.failed & paid
    return beyond


def _taxable(
    held: np.ndarray, spreading: Spreading, steps: _RollUp, sums: tuple[Ints, Ints]
) -> Ints:
    """The price of the taxable lines: all of the subtotal, nothing, or what falls on them when it
    is spread by cost; `sums` are the direct cost and the subtotal."""
    direct, subtotal = sums
    by_price = held["tax_base"] == form.PRICE_BASE
    every = held["taxed_kinds"] == (1 << len(form.KIND_CODES)) - 1
    taxable = np.where(by_price & every, subtotal, 0)
    some = by_price & ~every & (held["taxed_kinds"] > 0) & (held["tax"] > 0) & ~steps.failed
    wide = direct.astype(np.float64) * subtotal > MOST
    steps.failed = steps.failed | (some & wide)
    if some.any():
        taxable[some] = spreading.on_taxed(subtotal)[some]
    return taxable


def _kept_overrides(packed: PackedColumns, lines: Lines) -> Ints:
    """How many lines of each quote keep a price that the caller set."""
    own = np.flatnonzero(packed.own_price >= 0)
    use = packed.own_prices["use"][packed.own_price[own]]
    kept = own[(use == form.OVERRIDE) | (use == form.NAMED_OVERRIDE)]
    quotes = packed.quote[kept[lines.present[kept]]]
    return np.bincount(quotes, minlength=len(packed.quotes)).astype(np.int64)
