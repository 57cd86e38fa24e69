"""A year of a contractor's quotes: saved, issued, accepted, run out, and priced again three times.

Every quote is the wall of 710.00 (tests/given/quote_requests.py), bought on one supplier's list
and sold at a margin m of 0.15, 0.20, 0.25 or 0.30, by its number: 710 / (1 - m) is 835.29, 887.50,
946.67 or 1014.29. The list rises by 5, 5 and 10 %: costs of 745.50, 782.78 and 861.05. A price
that is out keeps (price - cost) / price.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from service.catalog import Catalog
from service.storage import Store
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import read
from tests.given.repricings import COSTS, Json, yard_request
from tests.given.saved_quotes import Keeper

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

LISTS = "/v1/price-lists/quarry/revisions"
RUNS = "/v1/repricings"
MARGINS = ("0.15", "0.20", "0.25", "0.30")
SAVED, ISSUED = 40, 20
# These hold for 150 days from February 10th, to July 10th; the others for a year.
SHORT = (9, 10, 13, 14, 17)
FLOOR = "0.12"


class Office:
    """A contractor's year over HTTP. Quotes go by their numbers, 1 to 40."""

    def __init__(self, keeper: Keeper) -> None:
        self.keeper = keeper
        items = {item: {"unit_cost": cost, "per": per} for item, (cost, per) in COSTS.items()}
        whole = {"currency": "USD", "effective_from": "2026-01-01", "items": items}
        self.publish(whole, {"If-None-Match": "*"})
        self.ids = {number: self.save(number) for number in range(1, SAVED + 1)}

    def publish(self, body: Json, head: dict[str, str]) -> None:
        """Publish a revision of the supplier's list."""
        response = self.keeper.client.post(LISTS, json=body, headers=head)
        assert response.status_code == 201, response.text

    def save(self, number: int) -> str:
        """Save a quote."""
        terms: Json = {
            "profit": {"margin": MARGINS[(number - 1) % 4]},
            "valid_days": 150 if number in SHORT else 365,
        }
        request = yard_request(
            f"job-{number:02d}",
            issued_on="2026-02-10",
            prices={"price_list": "quarry"},
            terms=terms,
            engineering={"settled": "by_owner"},
        )
        quote_id: str = self.keeper.save(request)["id"]
        return quote_id

    def rise(self, factor: str, day: str) -> None:
        """The supplier raises all his prices."""
        tag = self.keeper.client.get(f"{LISTS}/latest").headers["etag"]
        changes = [{"adjust": {"factor": factor}}]
        self.publish({"effective_from": day, "changes": changes}, {"If-Match": tag})

    def say(self, number: int, state: str, day: str, **more: object) -> Json:
        """Move a quote that may be moved so."""
        body: Json = {"state": state, "on": day, **more}
        return read(self.keeper.say(self.ids[number], body))

    def preview(self, **quotes: object) -> Json:
        """A preview of the prices that are out."""
        asked = {
            "price_list": "quarry",
            "include_issued": True,
            "margin_floor": FLOOR,
            "quotes": quotes,
        }
        response = self.keeper.client.post(RUNS, json=asked)
        assert response.status_code == 201, response.text
        return read(response)

    def write(self) -> Json:
        """A preview of everything that is open, written: the run."""
        preview = self.preview()
        body = {"mode": "write", "preview": preview["id"]}
        response = self.keeper.client.post(RUNS, json=body)
        assert response.status_code == 201, response.text
        run = read(response)
        assert run["summary"] == preview["summary"]
        return run

    def states(self, number: int) -> list[str]:
        """The states of a quote's revisions."""
        state = read(self.keeper.get(f"/{self.ids[number]}/state"))
        return [held["state"] for held in state["revisions"]]

    def found(self, query: str) -> list[int]:
        """The numbers of the quotes that a list finds."""
        items = read(self.keeper.get(f"?limit=200&order_by=number&{query}"))["items"]
        return [item["number"] for item in items]


@pytest.fixture
def office(store: Store, spring: Catalog) -> Office:
    """The office at the end of January, with forty drafts."""
    return Office(Keeper(spring, store))


def under(run: Json) -> dict[int, str]:
    """What prices under the floor leave, by the number in their reference."""
    held = run["summary"]["out_under_margin"]
    assert run["counts"]["out_under_margin"] == len(held)
    lost = [float(each["lost"]) for each in held]
    assert lost == sorted(lost, reverse=True)
    return {int(each["reference"][4:]): each["margin_at_old_price"] for each in held}


def each(numbers: Iterable[int], margin: str) -> dict[int, str]:
    """The same margin for some quotes."""
    return dict.fromkeys(numbers, margin)


def test_a_year_of_quotes(office: Office) -> None:
    """At each rise the prices that are out and under 12 % are these, by hand; what is accepted is
    what the customer has in hand, and never what has run out or was withdrawn."""
    for number in range(1, ISSUED + 1):
        office.say(number, "issued", "2026-02-10")
    assert office.found("out_state=issued") == list(range(1, 21))

    # April: 745.50. Of 835.29 are left 0.1075, of 887.50 0.1600.
    office.rise("1.05", "2026-04-01")
    run = office.write()
    assert under(run) == each((1, 5, 9, 13, 17), "0.1075")
    assert run["counts"]["changed"] == SAVED
    assert office.states(1) == ["issued", "draft"]
    assert office.states(40) == ["superseded", "draft"]
    assert office.found("out_state=issued&draft=true") == list(range(1, 21))

    # May: four are accepted at the price that is out; the dearer draft is gone.
    for number in (3, 4, 7, 8):
        office.say(number, "accepted", "2026-05-04")
        assert office.states(number) == ["accepted", "withdrawn"]

    # June: 782.78. 835.29 leaves 0.0629, 887.50 0.1180; the drafts of April are replaced.
    office.rise("1.05", "2026-06-01")
    run = office.write()
    fifteen, twenty = (1, 5, 9, 13, 17), (2, 6, 10, 14, 18)
    assert under(run) == each(fifteen, "0.0629") | each(twenty, "0.1180")
    assert office.states(2) == ["issued", "superseded", "draft"]
    issued = office.keeper.client.post(
        f"{RUNS}/{run['id']}/issue",
        json={"on": "2026-07-01", "ids": [office.ids[1], office.ids[5]]},
    )
    assert read(issued)["issued"] == 2
    # 782.78 / 0.85, rounded in its profit of 138.14.
    assert office.found("out_state=issued&total_from=920.92&total_to=920.92") == [1, 5]
    assert office.states(1) == ["superseded", "superseded", "issued"]
    for number in (11, 12, 15, 16):
        office.say(number, "accepted", "2026-07-02")
    assert office.found("out_state=accepted") == [3, 4, 7, 8, 11, 12, 15, 16]

    # August: five have run out.
    assert office.found("out_state=issued&valid_until_to=2026-07-31") == list(SHORT)
    late = office.keeper.say(office.ids[9], {"state": "accepted", "on": "2026-08-03"})
    assert_problem(late, 409, "quote-expired")
    assert office.states(9)[0] == "issued"

    # September: 861.05. 920.92 leaves 0.0650, 946.67 0.0904, 1014.29 0.1511.
    office.rise("1.1", "2026-09-01")
    run = office.write()
    falling = each((1, 5), "0.0650") | each((2, 6, 18), "0.0298") | each((19,), "0.0904")
    gone = each((9, 13, 17), "-0.0308") | each((10, 14), "0.0298")
    assert under(run) == falling | gone
    holding = office.preview(states=["issued"], valid_until_from="2026-09-01")
    assert under(holding) == falling
    _accept_what_stands(office)


def _accept_what_stands(office: Office) -> None:
    """The customer's word at the end of the year."""
    # The newest that went out, and not the one before it nor the draft after it.
    office.say(1, "accepted", "2026-09-10")
    assert office.states(1) == ["superseded", "superseded", "accepted", "withdrawn"]
    # One that has run out, with a word.
    office.say(9, "accepted", "2026-09-10", after_expiry=True)
    accepted = read(office.keeper.get(f"/{office.ids[9]}/state"))
    moves = [move for move in accepted["history"] if move["after"] == "accepted"]
    assert [move["after_expiry"] for move in moves] == [True]
    # One that was withdrawn, draft and price: nothing is left to accept or to issue.
    office.say(6, "withdrawn", "2026-09-10")
    office.say(6, "withdrawn", "2026-09-10")
    for state in ("accepted", "issued"):
        refused = office.keeper.say(office.ids[6], {"state": state, "on": "2026-09-10"})
        assert_problem(refused, 409, "state-not-allowed")
    assert office.found("out_state=none&draft=false") == [6]
    (item,) = read(office.keeper.get("?reference=JOB-01"))["items"]
    assert (item["out"]["facts"]["total"], item["out"]["state"]) == ("920.92", "accepted")
