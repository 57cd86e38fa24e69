"""What is asked of the answer to every job beside its page: its days, and what a bidder objects."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from tests.given.hand_page import Figure, cost
from tests.given.hand_rates import set_cost
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


def assert_mini_excavator(
    answer: Json, by_mini: Mapping[str, Figure], by_narrow: Mapping[str, Figure]
) -> None:
    """The mini excavator is chosen and the narrow one comes next, each at what it costs with the
    hours, days and trips of its whole set."""
    choice, others = answer["labor"]["choice"], ["skid_steer", "plate", "rammer", "cut_off_saw"]
    assert choice["machines"] == ["mini_excavator", *others]
    assert set(choice["runner_up"]["machines"]) == {"narrow_excavator", *others}
    assert Decimal(choice["cost"]) == cost(set_cost(by_mini), "1")
    assert Decimal(choice["runner_up"]["cost"]) == cost(set_cost(by_narrow), "1")


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
