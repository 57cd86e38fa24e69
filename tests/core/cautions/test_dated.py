"""Cautions that go by the day of a quote."""

from __future__ import annotations

from dataclasses import replace

from service.catalog import Catalog
from service.core.cautions.dated import dated_cautions, dated_codes, order_of
from service.core.measure import US


def test_dated_cautions_go_by_month_and_prices(catalog: Catalog) -> None:
    """In a month of frost and of wet ground, before prices hold: those cautions and no other, the
    graver first; without a day none."""
    place = replace(catalog.jurisdictions["plain"].core, frost_months=(1,), wet_months=(1,))
    january = [each.code for each in dated_cautions(place, 1, US, not_effective=True)]
    assert january == ["frozen-fill", "wet-fill", "prices-not-effective", "frost-depth"]
    july = dated_cautions(place, 7, US, not_effective=True)
    assert [each.code for each in july] == ["prices-not-effective"]
    assert dated_cautions(place, None, US, not_effective=False) == ()
    assert set(dated_codes(place)) == set(january)
    assert [code for code in order_of(place) if code in january] == january
