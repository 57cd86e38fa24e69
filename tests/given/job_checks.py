"""What is asked of the answer to every job beside its page: its days, and what a bidder objects."""

from __future__ import annotations

from decimal import Decimal

from tests.given.quote_requests import Json, caution_codes
from tests.given.waiting import waiting_rates


def assert_days(answer: Json, days: str) -> None:
    """The crew's days, those of the order of work and those that are paid are the page's."""
    labor = answer["labor"]
    (crew,) = labor["crews"]
    assert Decimal(crew["days"]) == Decimal(days)
    assert Decimal(labor["crew_days"]) == Decimal(days)
    assert Decimal(answer["order_of_work"]["working_days"]) == Decimal(days)
    assert Decimal(crew["paid_hours"]) == 3 * 8 * Decimal(days)


def assert_elsewhere_no_dearer(here: Json, elsewhere: Json) -> None:
    """People who leave while they wait are paid no more, and have no more days."""
    (stays,), (leaves,) = here["labor"]["crews"], elsewhere["labor"]["crews"]
    assert Decimal(leaves["days"]) <= Decimal(stays["days"])
    assert Decimal(leaves["paid_hours"]) <= Decimal(stays["paid_hours"])


def with_waiting(request: Json, waiting: str) -> Json:
    """The request with the shipped rates written into it, and what people do who wait."""
    return {**request, "rates": waiting_rates(waiting)}


def missing(answer: Json, objections: tuple[tuple[str, str], ...]) -> set[tuple[str, str]]:
    """Objections that no line, no entry of what is needed and not priced and no caution meets."""
    met = {
        *(("line", line["item"]) for line in answer["price"]["lines"]),
        *(("needed", each["what"]) for each in answer["price"].get("needed_not_priced", [])),
        *(("caution", code) for code in caution_codes(answer)),
    }
    return set(objections) - met
