"""Commercial terms: what turns cost into a price."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal, get_args

Kind = Literal["material", "labor", "equipment", "delivery", "disposal", "fee", "subcontract"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Brought = Literal["run", "downspouts", "spring"]
Needed = Literal[
    "permit",
    "engineering",
    "guard",
    "freight",
    "pallets",
    "downspouts",
    "spring",
    "surface",
    "run",
]
Excluded = Literal[Needed, "drainage"]
TaxBase = Literal["price", "purchase"]
Settled = Literal["in_price", "by_owner", "not_needed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Profit:
    """`markup` is a share of cost, `margin` a share of the price (below 1)."""

    basis: Literal["markup", "margin"] = "markup"
    share: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tax:
    """Sales tax. `price` taxes the price of the lines of the kinds in `on`; `purchase` is what
    the contractor pays on the cost of those lines and is a cost line itself."""

    rate: Decimal = Decimal(0)
    on: tuple[Kind, ...] = KINDS
    base: TaxBase = "price"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """A sum that is added once where a caution with this code is given."""

    caution: str
    description: str
    kind: Kind
    cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Brings:
    """What a stated fact brings in: tasks of site work by id (by the run's length or by the
    piece, as each is measured), and a sum for each of them."""

    fact: Brought
    tasks: tuple[str, ...] = ()
    description: str = ""
    kind: Kind = "subcontract"
    cost: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Ratios are shares (0.05 is 5 %), sums are in the quote's currency.

    `currency` is the one in which the terms state their sums, where they say so; it must be that
    of the prices.
    """

    overhead_share: Decimal = Decimal(0)
    overhead_per_crew_day: Decimal = Decimal(0)
    contingency: Decimal = Decimal(0)
    profit: Profit = field(default_factory=Profit)
    tax: Tax = field(default_factory=Tax)
    discount: Decimal = Decimal(0)
    minimum_charge: Decimal = Decimal(0)
    deposit: Decimal = Decimal(0)
    valid_days: int | None = None
    currency: str | None = None
    allowances: tuple[Allowance, ...] = ()
    brings: tuple[Brings, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A cost the caller or the terms add as it stands; `reason` says so in words, `what`
    for which need it is."""

    description: str
    kind: Kind
    cost: Decimal
    reason: str = "as it stands in the request"
    what: Needed | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Engineering:
    """Who settles it: a line of the price, the owner, or nobody, for a reason."""

    settled: Settled
    because: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractRules:
    """The deposit is at most `deposit_share` of the total and at most `deposit_most` in
    `currency`, whichever is less. `cancel_days` are business days after signing, to midnight;
    `saturday_counts` and `observed_holidays` say which days are none, None where rules differ.
    """

    deposit_share: Decimal | None = None
    deposit_most: Decimal | None = None
    currency: str | None = None
    cancel_days: int | None = None
    saturday_counts: bool | None = None
    observed_holidays: bool | None = None
    source: str = ""

    def cap(self, total: Decimal, currency: str) -> Decimal | None:
        """The most that a deposit may be, unrounded; None where the place sets no cap, or sets it
        in another currency alone."""
        caps = [total * self.deposit_share] if self.deposit_share is not None else []
        if self.deposit_most is not None and self.currency == currency:
            caps.append(self.deposit_most)
        return min(caps, default=None)
