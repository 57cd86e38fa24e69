"""A quote whose people are elsewhere while a machine works: quoted, kept, and priced again."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.catalog import Catalog
from service.storage import Store
from tests.given.list_office import ListOffice
from tests.given.quote_requests import Json
from tests.given.served import client_over
from tests.given.stores import ON_SQLITE
from tests.given.waiting import terrace

# An hour of one person, then a day of one person, then an hour again.
TURNS = (("52.13", "h"), ("417.77", "day"), ("55.55", "h"))


def people_paid(answer: Json) -> tuple[Decimal, str]:
    """What the line of the crew comes to, and per what."""
    (line,) = (line for line in answer["price"]["lines"] if line["item"] == "crew_hour")
    return Decimal(line["cost"]), line["per"]


@ON_SQLITE
@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("own_drivers", [False, True], ids=["drivers alone", "away"])
def test_a_quote_of_people_elsewhere_priced_again_is_a_fresh_quote(
    catalog: Catalog, store: Store, own_drivers: bool
) -> None:
    """By the hour and by the day of one person, the preview's total (in bulk) and the written
    answer (by itself) are those of a quote that is asked for on the new list, and less than those
    of people who are paid while they wait."""
    on_list = {"prices": {"price_list": "quarry"}}
    asked = terrace("elsewhere", own_drivers=own_drivers, **on_list)
    paid = terrace("paid", own_drivers=own_drivers, **on_list)
    with client_over(catalog, store) as client:
        office, saved = ListOffice(client, "quarry"), ""
        for cost, per in TURNS:
            office.publish({"crew_hour": {"unit_cost": cost, "per": per}})
            fresh = people_paid(office.quote(asked))
            assert fresh[1] == per
            assert fresh < people_paid(office.quote(paid))
            if saved:
                office.reprice_as_fresh(saved, asked)
            saved = saved or office.save(asked)
