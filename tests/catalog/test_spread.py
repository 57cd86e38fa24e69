"""`[spread]` of production rates: what it holds, and what the shipped file says."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pydantic import ValidationError

from service.catalog import read_catalog
from service.catalog.documents.spread import SpreadTable
from service.catalog.schemas import shipped_folder
from service.core.job.rates import Spread


def test_shipped_rates_say_how_far_hours_are_off_together() -> None:
    """A deviation of 12 % of a sum, common practice: nobody has measured this crew."""
    catalog = read_catalog([shipped_folder()])
    assert catalog.production_rates["small_crew"].core.spread == Spread(
        share=Decimal("0.12"), source="common practice"
    )


def test_spread_takes_the_source_of_its_file_where_it_names_none() -> None:
    """A table without a source has that of the rates it stands in."""
    found = SpreadTable.model_validate({"share": "0.2"}).to_core("rates of the request")
    assert found == Spread(share=Decimal("0.2"), source="rates of the request")


@pytest.mark.parametrize("share", ["1", "-0.1", "12 %"])
def test_spread_refuses_a_share_of_the_whole_sum(share: str) -> None:
    """A share is a part of the sum: from 0 to below 1."""
    with pytest.raises(ValidationError):
        SpreadTable.model_validate({"share": share})
