"""Days end at midnight of the service's time zone: filters, and the day on which a quote is
accepted."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from service.catalog import Catalog
from service.storage import Store
from tests.given.quote_requests import TERMS, read
from tests.given.saved_quotes import Keeper, small_request

# 2026-05-05 06:30 in UTC: 23:30 of the day before, seven hours to the west.
EVENING = 1_777_962_600


@pytest.fixture
def evening(proof_catalog: Catalog, store: Store) -> Keeper:
    """A client of a service seven hours west of Greenwich, late in the evening."""
    return Keeper(proof_catalog, replace(store, now=lambda: EVENING, zone=ZoneInfo("Etc/GMT+7")))


def found(keeper: Keeper, query: str) -> int:
    """How many quotes a list has."""
    return len(read(keeper.get(f"?{query}"))["items"])


def test_filters_count_days_of_the_zone(evening: Keeper) -> None:
    """A quote saved at 23:30 was saved on that day, though it is the next one in UTC."""
    evening.save()
    assert found(evening, "created_from=2026-05-04&created_to=2026-05-04") == 1
    assert found(evening, "created_from=2026-05-05") == 0
    assert found(evening, "created_to=2026-05-03") == 0


def test_quote_is_accepted_on_the_day_of_the_zone(evening: Keeper) -> None:
    """On the evening of the last day of an offer it is accepted, though the day is over in UTC."""
    saved = evening.save(small_request() | {"terms": {**TERMS, "valid_days": 30}})
    evening.say(saved["id"], {"state": "issued", "on": "2026-04-04"})
    until = read(evening.get(f"/{saved['id']}"))["facts"]["valid_until"]
    assert until == "2026-05-04"
    assert evening.say(saved["id"], {"state": "accepted"}).status_code == 200
