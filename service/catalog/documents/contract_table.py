"""The table `[contract]` of a place: what it asks of a contract with a household."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.currency import CurrencyCode
from service.catalog.documents.entry import SourcedTable
from service.core.job.terms import ContractRules
from service.fields import MoneyText, RatioText, refused

CancelDays = Annotated[int, Field(ge=1, le=30)]


class ContractTable(SourcedTable):
    """What a contract with a household heeds; a key left out says that the place is silent."""

    deposit_share: RatioText | None = Field(None, description="The deposit at most, of the total.")
    currency: CurrencyCode | None = Field(None, description="Of `deposit_most`.")
    deposit_most: MoneyText | None = Field(
        None, description="The deposit at most, as a sum; the lesser of the two holds."
    )
    cancel_days: CancelDays | None = Field(
        None, description="Business days in which the customer may cancel, to midnight."
    )
    saturday_counts: bool | None = Field(
        None, description="Whether Saturday is a business day; the later day where it isn't said."
    )
    observed_holidays: bool | None = Field(
        None,
        description="Whether the day on which a holiday is observed is none either; the later day "
        "where it isn't said.",
    )

    @field_validator("deposit_most")
    @classmethod
    def _sum_has_a_currency(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """A sum without a currency would be taken for whatever a quote is in."""
        if value is not None and info.data.get("currency", "") is None:
            message = "is a sum of money, and the table gives no currency"
            raise refused("currency-missing", message, 'currency = "USD"')
        return value

    def to_core(self) -> ContractRules:
        """The core's rules."""
        return ContractRules(
            deposit_share=self.deposit_share,
            deposit_most=self.deposit_most,
            currency=self.currency,
            cancel_days=self.cancel_days,
            saturday_counts=self.saturday_counts,
            observed_holidays=self.observed_holidays,
            source=self.source.citation() if self.source else "",
        )
