"""What differs: between revisions, after a change of catalog, and between quote and job."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest

from service.catalog import Catalog, load_catalog
from service.storage import Store
from tests.given.catalog_files import write_folder
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import PROOF_FILES, level_wall, prices, read
from tests.given.saved_quotes import URL, Keeper, small_request

WHOLE_JOB = (
    Path(__file__).resolve().parents[2]
    / "openapi/examples/quote_walls/driveway_into_bank.request.json"
)


def test_difference_names_lines_groups_and_amounts(keeper: Keeper) -> None:
    """Units at 2.50 in place of 2.00: 189 units cost 94.50 more; nothing else is named.

    A 40 ft wall of 189 units costs 710.00 (by hand beside the prices), so 804.50 now. Overhead
    10 %, contingency 5 %, markup 20 %: (1.1 x 1.05 x 1.2 = 1.386) 984.06 and 1115.04 before tax.
    """
    quote_id = keeper.save()["id"]
    block = {"unit_cost": "2.50", "per": "each"}
    keeper.revise(quote_id, small_request(prices=prices(block=block)))
    found = read(keeper.get(f"/{quote_id}/revisions/1/difference/2"))
    assert (found["same"], found["parts"]) == (False, ["price"])
    amounts = {entry["amount"]: entry for entry in found["amounts"]}
    assert amounts["direct_cost"] == {
        "amount": "direct_cost",
        "before": "710.00",
        "after": "804.50",
        "change": "94.50",
    }
    assert (amounts["subtotal"]["before"], amounts["subtotal"]["after"]) == ("984.06", "1115.04")
    assert "discount" not in amounts
    (line,) = (line for line in found["lines"] if line["item"] == "block")
    assert (line["change"], line["before"]["unit_cost"], line["after"]["unit_cost"]) == (
        "changed",
        "2.00",
        "2.50",
    )
    (group,) = (group for group in found["groups"] if group["group"] == "units")
    assert (group["cost_before"], group["cost_after"], group["cost_change"]) == (
        "405.00",
        "499.50",
        "94.50",
    )
    assert (found["quantities"], found["tasks"]) == ([], [])


def test_difference_turns_round(keeper: Keeper) -> None:
    """From the other side every change has the other sign, and what was added is removed."""
    quote_id = keeper.save()["id"]
    extra = {"description": "Permit", "kind": "fee", "cost": "120.00"}
    longer = small_request(extras=[extra, extra])
    longer["walls"] = [level_wall("60 ft")]
    keeper.revise(quote_id, longer)
    there = read(keeper.get(f"/{quote_id}/revisions/1/difference/2"))
    back = read(keeper.get(f"/{quote_id}/revisions/2/difference/latest"))
    assert back["same"] is True
    assert (back["amounts"], back["lines"], back["parts"]) == ([], [], [])
    back = read(keeper.get(f"/{quote_id}/revisions/2/difference/1"))
    changes = [(entry["amount"], Decimal(entry["change"])) for entry in there["amounts"]]
    assert [(entry["amount"], -Decimal(entry["change"])) for entry in back["amounts"]] == changes
    added = [line["description"] for line in there["lines"] if line["change"] == "added"]
    assert added == ["Permit", "Permit"]
    assert [line["item"] for line in there["quantities"]] == [
        line["item"] for line in back["quantities"]
    ]
    turned = {"added": "removed", "removed": "added", "changed": "changed"}
    kinds = {(line["item"], line["description"]): line["change"] for line in there["lines"]}
    again = {(line["item"], line["description"]): turned[line["change"]] for line in back["lines"]}
    assert again == kinds


def test_difference_between_currencies_has_no_change(keeper: Keeper) -> None:
    """Dollars and euros are shown side by side and not taken from each other."""
    quote_id = keeper.save()["id"]
    keeper.revise(quote_id, small_request(prices=prices("EUR")))
    found = read(keeper.get(f"/{quote_id}/revisions/1/difference/2"))
    assert (found["before"]["currency"], found["after"]["currency"]) == ("USD", "EUR")
    assert found["parts"] == ["currency"]
    dearer = prices("EUR", block={"unit_cost": "2.50", "per": "each"})
    keeper.revise(quote_id, small_request(prices=dearer))
    found = read(keeper.get(f"/{quote_id}/revisions/1/difference/3"))
    assert {entry["change"] for entry in found["amounts"] if entry["amount"] != "margin"} == {None}
    assert {group["cost_change"] for group in found["groups"]} == {None}


def test_recomputed_is_the_same_while_nothing_changed(keeper: Keeper) -> None:
    """Engine, catalog and prices as they were: not a byte differs."""
    quote_id = keeper.save()["id"]
    found = read(keeper.get(f"/{quote_id}/revisions/latest/recomputed"))
    assert found["same"] is True
    assert found["faults"] == []
    assert found["difference"]["before"] == found["difference"]["after"]


@pytest.mark.no_cover  # others run the same lines
def test_recomputed_says_what_a_changed_catalog_changes(
    keeper: Keeper, store: Store, tmp_path: Path
) -> None:
    """A pad of 12 in in place of 6 in takes more stone; units are what they were."""
    quote_id = keeper.save()["id"]
    section = PROOF_FILES["sections/proof.toml"]
    thicker = section.replace('thickness = "6 in"', 'thickness = "12 in"')
    files = {**PROOF_FILES, "sections/proof.toml": thicker}
    later = Keeper(load_catalog([write_folder(tmp_path / "later", files)]), store)
    found = read(later.get(f"/{quote_id}/revisions/1/recomputed"))
    difference = found["difference"]
    assert (found["same"], difference["same"]) == (False, False)
    assert found["catalog_version"] == difference["after"]["catalog_version"]
    assert difference["after"]["catalog_version"] != difference["before"]["catalog_version"]
    assert [line["item"] for line in difference["quantities"]] == ["pad_stone"]
    assert Decimal(difference["amounts"][0]["change"]) > 0
    # What was issued stays what it was.
    kept = read(later.get(f"/{quote_id}/revisions/1/answer"))
    assert kept["catalog_version"] == difference["before"]["catalog_version"]


def test_recomputed_says_why_it_cannot_be(keeper: Keeper, catalog: Catalog, store: Store) -> None:
    """Where the catalog has lost an entry, the report holds the faults and is no error."""
    quote_id = keeper.save()["id"]
    found = read(Keeper(catalog, store).get(f"/{quote_id}/revisions/1/recomputed"))
    assert (found["same"], found["difference"]) == (False, None)
    codes = {fault["pointer"]: fault["code"] for fault in found["faults"]}
    assert codes == {"/wall_system": "unknown-wall-system", "/section": "unknown-section"}


def test_recomputed_names_a_new_engine(keeper: Keeper, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another engine version is a difference, also where no figure changed."""
    quote_id = keeper.save()["id"]
    monkeypatch.setattr("service.operations.quoting.quote_answer.ENGINE_VERSION", "99.0.0")
    difference = read(keeper.get(f"/{quote_id}/revisions/1/recomputed"))["difference"]
    assert (difference["same"], difference["parts"]) == (False, [])
    assert difference["after"]["engine_version"] == "99.0.0"


def test_actuals_stand_beside_an_accepted_revision_only(keeper: Keeper) -> None:
    """Before the customer has accepted there is nothing to compare with: 409, and 404 to read."""
    quote_id = keeper.save()["id"]
    url = f"{URL}/{quote_id}/revisions/1/actuals"
    body = {"quantities": {"block": "200"}}
    for state in ("draft", "issued"):
        if state == "issued":
            keeper.moved(quote_id, "issued")
        put = keeper.client.put(url, json=body, headers=keeper.seen(quote_id))
        assert_problem(put, 409, "revision-not-accepted")
    assert_problem(keeper.client.get(url), 404, "actuals-missing")
    keeper.moved(quote_id, "accepted")
    assert keeper.client.put(url, json=body, headers=keeper.seen(quote_id)).status_code == 200


def test_actuals_are_held_against_the_quote_by_group(keeper: Keeper) -> None:
    """210 blocks for the 189 ordered: 21 more, a ratio of 1.1111, 42.00 at 2.00 each."""
    quote_id = keeper.save()["id"]
    keeper.moved(quote_id, "issued", "accepted")
    url = f"{URL}/{quote_id}/revisions/1/actuals"
    body = {
        "quantities": {"gravel": "6", "block": "210", "a_cap": "27", "gold": "1"},
        "hours": {"set_units": "12.5"},
        "haul_loads": 2,
    }
    put = keeper.client.put(url, json=body, headers=keeper.seen(quote_id))
    assert put.content == keeper.client.get(url).content
    groups = {group["group"]: group for group in read(put)["groups"]}
    assert list(groups) == ["labor", "units", "stone", "not_quoted", "earth"]
    units = groups["units"]
    blocks, caps = units["lines"]
    assert (caps["name"], caps["difference"], caps["cost_difference"]) == ("a_cap", "0", "0.00")
    assert blocks == {
        "name": "block",
        "unit": "each",
        "quoted": "189",
        "actual": "210",
        "difference": "21",
        "ratio": "1.1111",
        "cost_difference": "42.00",
    }
    assert (units["quoted"], units["actual"]) == (
        {"value": "216", "unit": "each"},
        {"value": "237", "unit": "each"},
    )
    assert (units["difference"], units["cost_difference"]) == ("21", "42.00")
    # 6.5 yd3 ordered, 6 taken, at 40.00 a yard.
    assert groups["stone"]["lines"][0]["difference"] == "-0.5"
    assert groups["stone"]["cost_difference"] == "-20.00"
    for name in ("labor", "not_quoted", "earth"):
        (line,) = groups[name]["lines"]
        assert (line["quoted"], line["difference"], groups[name]["quoted"]) == (None, None, None)
    assert read(put)["actuals"] == body


@pytest.mark.no_cover  # others run the same lines
def test_actuals_compare_hours_by_task(catalog: Catalog, store: Store) -> None:
    """Hours are compared task by task and, where every task was quoted, summed."""
    keeper = Keeper(catalog, store)
    request = json.loads(WHOLE_JOB.read_text(encoding="utf-8"))
    request["engineering"] = {"settled": "by_owner"}
    quote_id = keeper.save(request)["id"]
    answer = read(keeper.get(f"/{quote_id}/revisions/1/answer"))
    assert answer["price"]["complete"], answer["price"]["not_priced"]
    keeper.moved(quote_id, "issued", "accepted")
    quoted: dict[str, Decimal] = {}
    for task in answer["labor"]["tasks"]:
        quoted[task["task"]] = quoted.get(task["task"], Decimal(0)) + Decimal(task["hours"])
    took = {task: str(hours + 1) for task, hours in quoted.items()}
    machines = {entry["machine"]: entry["hours"] for entry in answer["labor"]["equipment"]}
    body = {"hours": took, "machine_hours": machines, "haul_loads": 9}
    url = f"{URL}/{quote_id}/revisions/latest/actuals"
    put = keeper.client.put(url, json=body, headers=keeper.seen(quote_id))
    groups = {group["group"]: group for group in read(put)["groups"]}
    assert Decimal(groups["labor"]["quoted"]["value"]) == Decimal(answer["labor"]["labor_hours"])
    assert Decimal(groups["labor"]["difference"]) == len(quoted)
    assert all(line["difference"] == "1.00" for line in groups["labor"]["lines"])
    assert Decimal(groups["equipment"]["difference"]) == 0
    loads = groups["earth"]["lines"][0]
    assert int(loads["difference"]) == 9 - answer["earthwork"]["haul_loads"]


def test_actuals_are_replaced_by_whoever_saw_them(keeper: Keeper) -> None:
    """What stands there is replaced under the quote's tag; an older one is 412, none 428."""
    quote_id = keeper.save()["id"]
    keeper.moved(quote_id, "issued", "accepted")
    path = f"/{quote_id}/revisions/1/actuals"
    body = {"quantities": {"block": "210"}}
    assert_problem(keeper.client.put(f"{URL}{path}", json=body), 428, "precondition-required")
    seen = keeper.seen(quote_id)
    first = keeper.client.put(f"{URL}{path}", json=body, headers=seen)
    assert first.headers["etag"] == keeper.tag(path) == keeper.tag(f"/{quote_id}")
    again = keeper.client.put(f"{URL}{path}", json=body, headers=seen)
    assert_problem(again, 412, "precondition-failed")
    more = {"quantities": {"block": "211"}}
    headers = {"If-Match": first.headers["etag"]}
    assert keeper.client.put(f"{URL}{path}", json=more, headers=headers).status_code == 200
    assert_problem(
        keeper.client.put(f"{URL}{path}", json=body, headers=headers), 412, "precondition-failed"
    )
    assert read(keeper.get(path))["actuals"] == more


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/hours"),
        ({"hours": {}}, "/hours"),
        ({"note": "Nothing else."}, "/hours"),
        ({"hours": {"set_units": 12}}, "/hours/set_units"),
        ({"hours": {"set_units": "-1"}}, "/hours/set_units"),
        ({"haul_loads": -1}, "/haul_loads"),
        ({"haul_loads": 1, "loads": 2}, "/loads"),
    ],
)
def test_actuals_that_say_nothing_or_not_rightly_are_refused(
    keeper: Keeper, body: dict[str, object], pointer: str
) -> None:
    """The fault points at the field that is wrong, or that would say something."""
    quote_id = keeper.save()["id"]
    url = f"{URL}/{quote_id}/revisions/1/actuals"
    problem = read(keeper.client.put(url, json=body, headers=keeper.seen(quote_id)))
    assert problem["status"] == 422
    assert [entry["pointer"] for entry in problem["errors"]] == [pointer]


@pytest.mark.no_cover  # others run the same lines
def test_difference_names_tasks_whose_hours_differ(catalog: Catalog, store: Store) -> None:
    """With a crew hours are named task by task; without one every task is removed."""
    keeper = Keeper(catalog, store)
    request = json.loads(WHOLE_JOB.read_text(encoding="utf-8"))
    quote_id = keeper.save(request)["id"]
    request["site_work"] = [
        {**entry, "quantity": "600 ft2"} if entry["task"] == "lay_sod" else entry
        for entry in request["site_work"]
    ]
    assert keeper.revise(quote_id, request).status_code == 201
    del request["rates"]
    assert keeper.revise(quote_id, request).status_code == 201
    twice = read(keeper.get(f"/{quote_id}/revisions/1/difference/2"))["tasks"]
    sod = next(task for task in twice if task["task"] == "lay_sod")
    # 300 ft2 take 1.90 h; twice the sod takes twice as long.
    assert (sod["change"], sod["before"], sod["after"]) == ("changed", "1.90", "3.80")
    none = read(keeper.get(f"/{quote_id}/revisions/2/difference/3"))["tasks"]
    assert {(task["change"], task["after"]) for task in none} == {("removed", None)}
    back = read(keeper.get(f"/{quote_id}/revisions/3/difference/2"))["tasks"]
    assert {(task["change"], task["before"]) for task in back} == {("added", None)}
    assert len(none) == len(back)
