"""What a place asks of a contract with a household: the deposit's cap, and days to cancel."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


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
