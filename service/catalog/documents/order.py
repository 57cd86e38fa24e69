"""`[order]` of production rates: what the order of work allows for."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import AfterValidator, Field

from service.catalog.documents.entry import SourcedTable
from service.core.job.phase import OrderRules
from service.fields import PositiveDecimalText, PositiveLength, RatioBelowOneText, refused

MOST_LOST = Decimal("0.9")
LEAST_OPEN_DAYS = Decimal("0.1")


def _worth_allowing(value: Decimal) -> Decimal:
    """Where nine days of ten are lost nobody builds."""
    if value > MOST_LOST:
        raise refused("out-of-range", f"{value:f} is more than {MOST_LOST:f}", "such as 0.20")
    return value


def _worth_opening(value: Decimal) -> Decimal:
    """A trench stays open for some part of a day."""
    if value < LEAST_OPEN_DAYS:
        message = f"{value:f} days are less than {LEAST_OPEN_DAYS:f}"
        raise refused("out-of-range", message, "such as 2")
    return value


class OrderTable(SourcedTable):
    """Weather and open trenches: allowances that every answer states."""

    lost_day_probability: Annotated[RatioBelowOneText, AfterValidator(_worth_allowing)] = Field(
        description="Chance that weather takes a working day, at most 0.9: by local climate."
    )
    open_trench_days: Annotated[PositiveDecimalText, AfterValidator(_worth_opening)] = Field(
        description="Working days for which a stretch of trench may stay open."
    )
    shortest_stretch: PositiveLength = Field(description="Shorter ones are not worth opening.")

    def to_core(self, entry_source: str) -> OrderRules:
        """The core's rules; `entry_source` holds where the table names none of its own."""
        return OrderRules(
            lost_day_probability=self.lost_day_probability,
            open_trench_days=self.open_trench_days,
            shortest_stretch_m=self.shortest_stretch,
            source=self.source.citation() if self.source else entry_source,
        )
