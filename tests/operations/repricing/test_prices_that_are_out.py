"""Re-pricing quotes whose price is out: what is compared, what is written, what is said."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec import UNSET

from service.catalog import Catalog
from service.operations.conditions import Conditions
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.repricing.repricing_start import PricesChangedError
from service.operations.saved.saved_quote import revise_quote
from service.storage import Store
from service.storage.repricing_leases import take_run
from tests.given.repricings import (
    COSTS,
    Json,
    catalog_at,
    draft_of,
    issue,
    items_of,
    quote_of,
    run,
    save,
    start,
    yard_request,
)


class AnyTag(Conditions):
    """Conditions that hold whatever stands: for tests of what comes after."""

    def check(self, etag: str | None) -> None:
        """Nothing is asked."""


def revise(store: Store, catalog: Catalog, quote_id: str, request: Json) -> None:
    """Make a further revision by hand."""
    with store.write() as connection:
        revise_quote(connection, quote_id, draft_of(catalog, request), AnyTag(), store.now())


def states(store: Store, quote_id: str) -> list[str]:
    """The states of a quote's revisions."""
    return [held.state for held in quote_of(store, quote_id).revisions]


def written(store: Store, catalog: Catalog, **asked: object) -> list[Json]:
    """The items of a preview that is written at once."""
    preview = run(store, catalog, **asked)
    return items_of(store, run(store, catalog, mode="write", preview=preview.id).id)


@pytest.fixture
def autumn(tmp_path: Path) -> Catalog:
    """The price list a year on: a fifth dearer than in spring."""
    return catalog_at(tmp_path, 3, "1.2")


def test_repricing_compares_with_the_price_that_is_out(
    store: Store, spring: Catalog, summer: Catalog, autumn: Catalog
) -> None:
    """Issued at 1025.06 on a cost of 820.05; in summer a draft at 902.06 of cost. In autumn the
    cost is 710 x 1.2 = 852.00 + 85.20 + 46.86 = 984.06: of the price that is OUT
    (1025.06 - 984.06) / 1025.06 = 0.0400 are left, whatever the draft holds."""
    quote_id = save(store, draft_of(spring, yard_request("job-1")))
    issue(store, quote_id)
    asked: Json = {"include_issued": True, "quotes": {"states": ["issued"]}}
    written(store, summer, **asked)
    assert states(store, quote_id) == ["issued", "draft"]
    answer = run(store, autumn, margin_floor="0.12", **asked)
    (item,) = items_of(store, answer.id)
    assert (item["revision"], item["state"], item["old_subtotal"]) == (1, "issued", "1025.06")
    assert (item["margin_at_old_price"], item["under_margin"]) == ("0.0400", True)
    # 984.06 - 820.05
    assert item["lost"] == "164.01"
    (under,) = answer.summary.out_under_margin
    assert (under.id, under.reference, under.lost) == (quote_id, "job-1", "164.01")
    assert answer.counts.out_under_margin == 1


def test_a_draft_that_repricing_made_is_replaced_by_the_next(
    store: Store, spring: Catalog, summer: Catalog, autumn: Catalog
) -> None:
    """Two rises, one draft: the second takes the place of the first, and both stand for the price
    that is out. A rise that is written twice writes nothing new."""
    quote_id = save(store, draft_of(spring, yard_request()))
    issue(store, quote_id)
    for catalog in (summer, autumn):
        written(store, catalog, include_issued=True)
    assert states(store, quote_id) == ["issued", "superseded", "draft"]
    (again,) = written(store, autumn, include_issued=True)
    assert states(store, quote_id) == ["issued", "superseded", "draft"]
    assert again["written"]["revision"] == 3
    # A draft alone is re-priced from the draft, whoever made it.
    (item,) = written(store, summer)
    assert (item["revision"], item["state"], item["written"]["revision"]) == (3, "draft", 4)


@pytest.mark.no_cover  # others run the same lines
def test_a_draft_made_by_hand_is_left(store: Store, spring: Catalog, summer: Catalog) -> None:
    """A longer wall was quoted by hand beside the price that is out: the price is told and nothing
    takes the draft's place, unless drafts are asked for too, when it is re-priced itself."""
    quote_id = save(store, draft_of(spring, yard_request(feet=40)))
    issue(store, quote_id)
    revise(store, spring, quote_id, yard_request(feet=60))
    asked: Json = {"include_issued": True, "quotes": {"states": ["issued"]}}
    (item,) = written(store, summer, **asked)
    assert (item["revision"], item["kept_draft"], item["outcome"]) == (1, 2, "changed")
    assert "written" not in item
    assert states(store, quote_id) == ["issued", "draft"]
    out, draft = written(store, summer, include_issued=True)
    assert (out["revision"], draft["revision"]) == (1, 2)
    assert ("written" in out, draft["written"]["revision"]) == (False, 3)


def test_a_draft_made_by_hand_since_the_preview_is_a_failed_item(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """What was made meanwhile is not overwritten."""
    quote_id = save(store, draft_of(spring, yard_request()))
    issue(store, quote_id)
    preview = run(store, summer, include_issued=True)
    revise(store, spring, quote_id, yard_request(feet=60))
    (item,) = items_of(store, run(store, summer, mode="write", preview=preview.id).id)
    assert item["problem"]["code"] == "changed-since-preview"
    assert states(store, quote_id) == ["issued", "draft"]


def test_named_quotes_are_never_left_out(store: Store, spring: Catalog, summer: Catalog) -> None:
    """One that is not there, and one in no state to be re-priced, are failed items; a reference is
    found in any case."""
    taken = save(store, draft_of(spring, yard_request("Job-1")))
    out = save(store, draft_of(spring, yard_request("job-2")))
    issue(store, out)
    names = {"references": ["JOB-1", "job-9"], "ids": [out, "q_nobody"]}
    answer = run(store, summer, quotes=names)
    assert (answer.counts.total, answer.counts.failed) == (4, 3)
    first, *rest = items_of(store, answer.id)
    assert (first["id"], first["outcome"]) == (taken, "changed")
    found = [(item.get("id"), item.get("reference"), item["problem"]["code"]) for item in rest]
    assert found == [
        (out, "job-2", "state-not-repriced"),
        ("q_nobody", None, "unknown-quote"),
        (None, "job-9", "unknown-quote"),
    ]
    write = run(store, summer, mode="write", preview=answer.id)
    assert (write.counts.failed, write.counts.changed) == (3, 1)


def test_open_quotes_that_were_not_looked_at_are_counted(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """By the list of their current revision; what is decided counts no more."""
    save(store, draft_of(spring, yard_request()))
    items = {item: {"unit_cost": cost, "per": per} for item, (cost, per) in COSTS.items()}
    prices = {"currency": "USD", "items": items}
    for _ in range(2):
        save(store, draft_of(spring, yard_request(prices=prices)))
    answer = run(store, summer)
    assert answer.counts.total == 1
    assert [(each.quotes, each.price_list) for each in answer.not_looked_at] == [(2, UNSET)]
    nothing = run(store, summer, quotes={"title": "no such title"})
    assert nothing.counts.total == 0
    assert "0 quotes" in str(nothing.hint)
    assert nothing.quotes == {"states": ["draft"], "title": "no such title"}
    assert sum(each.quotes for each in nothing.not_looked_at) == 3


def test_a_write_on_other_prices_than_previewed_is_refused(
    store: Store, spring: Catalog, summer: Catalog, tmp_path: Path
) -> None:
    """A file that says something else under the same number: the write is refused before anything
    is written, and a run that had begun fails."""
    quote_id = save(store, draft_of(spring, yard_request()))
    preview = run(store, summer)
    changed = catalog_at(tmp_path, 2, "1.5")
    with pytest.raises(PricesChangedError):
        start(store, changed, mode="write", preview=preview.id)
    begun = start(store, summer, mode="write", preview=preview.id).asked.id
    work_off(store, changed, begun)
    with store.read() as connection:
        answer = read_repricing(connection, begun, store.now())
    assert answer.status == "failed"
    assert "other prices" in str(answer.failure)
    assert states(store, quote_id) == ["draft"]


def test_a_run_whose_worker_was_killed_says_that_it_waits(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """Ten seconds without a sign of life and it waits: for its lease, whose end is said, and
    then to be taken up."""
    save(store, draft_of(spring, yard_request()))
    begun = start(store, summer).asked.id
    with store.write() as connection:
        take_run(connection, begun, "service_killed", store.now() + 20)
    with store.read() as connection:
        held = read_repricing(connection, begun, store.now())
        silent = read_repricing(connection, begun, store.now() + 10)
        waiting = read_repricing(connection, begun, store.now() + 20)
    assert (held.status, bool(held.held_until)) == ("queued", True)
    assert (silent.status, silent.held_until) == ("waiting", held.held_until)
    assert (waiting.status, bool(waiting.held_until)) == ("waiting", False)
    work_off(store, summer, begun)
    with store.read() as connection:
        assert read_repricing(connection, begun, store.now() + 60).status == "succeeded"


def test_the_total_that_holds_the_margin_has_its_tax(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """1127.58 of subtotal hold the margin; all lines are material at 7.25 %: 81.75 of tax."""
    save(store, draft_of(spring, yard_request()))
    (item,) = items_of(store, run(store, summer).id)
    assert item["price_to_hold_margin"] == "1127.58"
    assert item["total_to_hold_margin"] == "1209.33"
