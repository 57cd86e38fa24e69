"""A job that is worked by hand, and what is asked of its answer beside its page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from tests.given.hand_page import NEAR, Page, cost
from tests.given.hand_rates import machines_of, set_cost
from tests.given.quote_requests import Json, caution_codes
from tests.given.waiting import waiting_rates

# Kind and code of what a careful bidder would object to: a line, what is needed and not priced, or
# a caution.
Objections = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Job:
    """A request, every figure of its quote, its crew's days, and what a bidder would object to.

    `runner_up` are hours and days with the next best set of machines, where they are worked by hand
    too; `volumes` is how near earth must be, in relation to it.
    """

    request: Json
    page: Callable[[], Page]
    days: str
    objections: Objections
    runner_up: Callable[[], Page] | None = None
    volumes: float = NEAR


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


def assert_choice(answer: Json, page: Page, runner_up: Page | None) -> None:
    """The set of machines is the page's, at what it costs with the hours, days and trips of the
    whole set; so is the next best one, where it is worked by hand. It costs more."""
    choice = answer["labor"]["choice"]
    assert choice["machines"] == machines_of(page)
    assert Decimal(choice["cost"]) == cost(set_cost(page), "1")
    assert Decimal(choice["runner_up"]["cost"]) > Decimal(choice["cost"])
    if runner_up is not None:
        assert choice["runner_up"]["machines"] == machines_of(runner_up)
        assert Decimal(choice["runner_up"]["cost"]) == cost(set_cost(runner_up), "1")


def with_waiting(request: Json, waiting: str) -> Json:
    """The request with the shipped rates written into it, and what people do who wait."""
    return {**request, "rates": waiting_rates(waiting)}


def missing(answer: Json, objections: Objections) -> set[tuple[str, str]]:
    """Objections that no line, no entry of what is needed and not priced and no caution meets."""
    met = {
        *(("line", line["item"]) for line in answer["price"]["lines"]),
        *(("needed", each["what"]) for each in answer["price"].get("needed_not_priced", [])),
        *(("caution", code) for code in caution_codes(answer)),
    }
    return set(objections) - met
