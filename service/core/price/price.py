"""What the price step answers: priced lines and the roll-up."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from service.core.job.section import Group
from service.core.job.terms import Kind
from service.core.takeoff.quantities import QuantityLine

# Amounts of the roll-up in its order: sums of money, and `margin`, which is a share.
ROLL_UP: tuple[str, ...] = (
    "direct_cost",
    "overhead",
    "contingency",
    "profit",
    "discount",
    "added_to_reach_minimum",
    "subtotal",
    "tax",
    "total",
    "margin",
    "deposit",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line: `quantity` in `quantity_unit` at `unit_cost` per `per`; `cost` and `price` exact.

    `from_list` says that the unit cost stands in the price list (inline or not), `override` that
    the caller set it for this quote; neither for extras, wages of the rates and purchase tax.
    """

    item: str
    description: str
    group: Group
    kind: Kind
    quantity: Decimal
    quantity_unit: str
    unit_cost: Decimal
    per: str
    cost: Decimal
    price: Decimal
    taxable: bool
    from_list: bool
    override: bool
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The roll-up, each amount as rule 15 defines it; `bought` are the quantity
    lines as they are ordered at these prices."""

    bought: tuple[QuantityLine, ...]
    lines: tuple[PriceLine, ...]
    direct_cost: Decimal
    overhead: Decimal
    contingency: Decimal
    profit: Decimal
    discount: Decimal
    added_to_reach_minimum: Decimal
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    margin: Decimal | None
    deposit: Decimal
    by_wall: tuple[tuple[str, Decimal], ...]
    site_wide: Decimal
    how: tuple[tuple[str, str], ...]  # (amount, the arithmetic in words), as ROLL_UP has them
