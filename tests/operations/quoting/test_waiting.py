"""`waiting` in the rates of a request: one figure of days, whoever drives (rules 19.2 and 19.8)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, answered
from tests.given.waiting import terrace, waiting_rates

pytestmark = pytest.mark.no_cover  # others run the same lines

CATALOG: Catalog = shipped_catalog()


def answer(waiting: str, *, own_drivers: bool) -> Json:
    """The terrace, quoted."""
    return answered(terrace(waiting, own_drivers=own_drivers), CATALOG)


@pytest.mark.parametrize("own_drivers", [False, True], ids=["crew drives", "own drivers"])
@pytest.mark.parametrize("waiting", ["paid", "elsewhere"])
def test_quote_says_one_figure_of_days(waiting: str, *, own_drivers: bool) -> None:
    """The days of the crew, of the order, of its phases and of the overhead (at 300 each) are one
    figure; with what it is away they make the working days."""
    found = answer(waiting, own_drivers=own_drivers)
    labor, order = found["labor"], found["order_of_work"]
    (crew,), (ordered,) = labor["crews"], order["crews"]
    days = Decimal(crew["days"])
    assert Decimal(labor["crew_days"]) == Decimal(ordered["days"]) == days
    phases = [Decimal(part["days"]) for phase in order["phases"] for part in phase["crews"]]
    assert sum(phases) == days
    gone = sum(Decimal(away["days"]) for away in ordered["away"])
    assert days + gone == Decimal(order["working_days"])
    price = found["price"]
    of_days = Decimal(price["overhead"]) - Decimal(price["direct_cost"]) * Decimal("0.05")
    assert abs(of_days - 300 * days) <= Decimal("0.005")
    (travel,) = [task for task in labor["tasks"] if task["task"] == "travel"]
    came = {False: {"paid": "10", "elsewhere": "10"}, True: {"paid": "8", "elsewhere": "5"}}
    assert travel["quantity"]["value"] == came[own_drivers][waiting]


def test_quote_leaves_a_crew_out_of_days_of_machines_alone() -> None:
    """The same hours and the same order; elsewhere, the crew is away while machines alone grade
    what lies beyond their reach from behind the wall."""
    paid, elsewhere = (answer(waiting, own_drivers=True) for waiting in ("paid", "elsewhere"))
    assert paid["order_of_work"]["working_days"] == elsewhere["order_of_work"]["working_days"]
    assert paid["order_of_work"]["crews"][0]["away"] == []
    assert elsewhere["order_of_work"]["crews"][0]["away"] == [
        {
            "start_day": 4,
            "start_half": "afternoon",
            "finish_day": 7,
            "finish_half": "afternoon",
            "days": "3.5",
        }
    ]


def test_quote_keeps_drivers_of_the_crew_while_their_machines_work() -> None:
    """Where the crew drives, nobody's half day is free of it: the days are those of people who are
    paid while they wait, the hours are not, and the arithmetic says who drives alone."""
    paid, elsewhere = (answer(waiting, own_drivers=False) for waiting in ("paid", "elsewhere"))
    assert elsewhere["order_of_work"]["crews"] == paid["order_of_work"]["crews"]
    (less,), (more,) = elsewhere["labor"]["crews"], paid["labor"]["crews"]
    assert less["days"] == more["days"]
    assert Decimal(less["paid_hours"]) < Decimal(more["paid_hours"]) == 24 * Decimal(more["days"])
    assert "alone = " in less["how"][-1]


def test_quote_says_on_what_people_elsewhere_rest() -> None:
    """That half days are left out of the price is an assumption; paid while they wait, nothing is
    left out."""
    for waiting, said in (("paid", []), ("elsewhere", ["elsewhere"])):
        assumed = answer(waiting, own_drivers=True)["assumptions"]
        assert [each["value"] for each in assumed if each["field"] == "/rates/waiting"] == said


def test_rates_waiting_is_paid_unless_they_say_otherwise() -> None:
    """Rates without the key are paid while they wait, in the catalog and in a request."""
    assert CATALOG.production_rates["small_crew"].core.waiting == "paid"
    rates = waiting_rates("paid")
    del rates["waiting"]
    assert answered(terrace("paid", rates=rates), CATALOG) == answered(terrace("paid"), CATALOG)


def test_rates_waiting_refuses_other_words() -> None:
    """The fault names the key and the two words."""
    with pytest.raises(QuoteFaultsError) as caught:
        quote_document(terrace("unpaid"), CATALOG)
    (fault,) = caught.value.faults
    assert fault.at[-1] == "waiting"
    assert "paid" in f"{fault.message} {fault.hint}"
    assert "elsewhere" in f"{fault.message} {fault.hint}"
