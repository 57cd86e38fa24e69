"""`[spread]` of production rates: how far the hours of one job are off together."""

from __future__ import annotations

from pydantic import Field

from service.catalog.documents.entry import SourcedTable
from service.core.job.rates import Spread
from service.fields import RatioBelowOneText


class SpreadTable(SourcedTable):
    """The range of sums of hours. Without it a sum has the spread of its tasks alone."""

    share: RatioBelowOneText = Field(
        description="Deviation that all hours of a sum have in common, as a share of the sum."
    )

    def to_core(self, entry_source: str) -> Spread:
        """The core's spread; `entry_source` holds where the table names none of its own."""
        source = self.source.citation() if self.source else entry_source
        return Spread(share=self.share, source=source)
