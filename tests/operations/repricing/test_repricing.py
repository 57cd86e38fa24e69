"""Re-pricing saved quotes on another revision, on both databases."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import delete, update

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.repricing.repricing import (
    RepricingFinishedError,
    cancel_repricing,
    reprice_chunk,
    work_off,
)
from service.operations.repricing.repricing_reads import read_repricing
from service.storage import Store
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.repricing_tables import QUOTE_PRICING
from service.storage.saved_quotes import find_revision
from tests.given.repricings import (
    Json,
    catalog_at,
    draft_of,
    issue,
    items_of,
    quote_of,
    run,
    save,
    save_many,
    start,
    yard_request,
)


def answer_of(store: Store, quote_id: str, revision: int) -> Json:
    """The answer of a revision."""
    with store.read() as connection:
        saved = find_revision(connection, quote_id, revision)
    assert saved is not None
    answer: Json = json.loads(saved.answer)
    return answer


def test_preview_gives_what_a_quote_would_cost_now(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """Costs of 710.00 that rise by a tenth to 781.00: overhead 78.10, contingency 42.96, and a
    quarter of that cost for a margin of 0.20; the old price 1025.06 leaves 0.1200 over the new
    cost 902.06, and 1127.58 would leave 0.20 again. Nothing is written."""
    quote_id = save(store, draft_of(spring, yard_request("job-1")))
    answer = run(store, summer, margin_floor="0.15")
    assert (answer.status, answer.revision) == ("succeeded", 2)
    assert answer.counts.total == answer.counts.done == answer.counts.changed == 1
    assert (answer.counts.under_margin, answer.counts.failed) == (1, 0)
    (item,) = items_of(store, answer.id)
    assert (item["id"], item["revision"], item["reference"]) == (quote_id, 1, "job-1")
    old = answer_of(store, quote_id, 1)
    assert item["digest"] == old["digest"]
    # 710.00 + 71.00 = 781.00; + 39.05 = 820.05; / 0.8 = 1025.06; tax 74.32.
    assert (item["old_subtotal"], item["old_total"]) == ("1025.06", "1099.38")
    # 781.00 + 78.10 = 859.10; + 42.96 = 902.06; profit 225.52 (225.515); tax 81.75.
    assert (item["new_subtotal"], item["new_total"]) == ("1127.58", "1209.33")
    assert item["change"] == "109.95"
    assert (item["old_margin"], item["margin_at_old_price"]) == ("0.2000", "0.1200")
    assert item["price_to_hold_margin"] == "1127.58"
    assert item["under_margin"] is True
    # blocks and caps 378.00 + 27.00, stone 260.00 + 45.00
    assert item["by_group"] == [
        {"group": "units", "old_cost": "405.00", "new_cost": "445.50", "change": "40.50"},
        {"group": "stone", "old_cost": "305.00", "new_cost": "335.50", "change": "30.50"},
    ]
    assert quote_of(store, quote_id).latest == 1


def test_write_makes_what_the_preview_showed(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """Each draft gets a revision with the previewed total; quantities, their versions and cautions
    stay, and asking the stored request again gives the same price."""
    ids = save_many(store, spring, 7)
    preview = run(store, summer)
    written = run(store, summer, mode="write", preview=preview.id)
    assert written.counts.changed == written.counts.done == 7
    previewed = {item["id"]: item["new_total"] for item in items_of(store, preview.id)}
    for item in items_of(store, written.id):
        quote = quote_of(store, item["id"])
        assert item["written"]["revision"] == quote.latest == 2
        old, new = (answer_of(store, item["id"], n) for n in (1, 2))
        assert new["price"]["total"] == item["new_total"] == previewed[item["id"]]
        assert item["written"].get("digest", new["digest"]) == new["digest"]
        assert new["price_list"] == {"id": "yard", "revision": 2}
        assert new.pop("priced_by") == new["engine_version"]
        for key in ("price", "price_list", "digest"):
            old.pop(key), new.pop(key)
        assert new == old
    with store.read() as connection:
        saved = find_revision(connection, ids[0], 2)
    assert saved is not None
    again = draft_of(summer, json.loads(saved.request))
    assert json.loads(again.kept.answer)["price"] == answer_of(store, ids[0], 2)["price"]


def test_repricing_on_the_same_revision_changes_nothing(store: Store, spring: Catalog) -> None:
    """Every quote is unchanged, and writing that makes no revision."""
    ids = save_many(store, spring, 3)
    preview = run(store, spring)
    assert (preview.counts.changed, preview.summary.change) == (0, "0.00")
    run(store, spring, mode="write", preview=preview.id)
    assert [quote_of(store, quote_id).latest for quote_id in ids] == [1, 1, 1]


@pytest.mark.no_cover  # others run the same lines
def test_repricing_there_and_back_restores_every_price(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """A quote taken to a new revision and back has the price section it began with."""
    ids = save_many(store, spring, 3)
    for catalog in (summer, spring):
        preview = run(store, catalog)
        run(store, catalog, mode="write", preview=preview.id)
    for quote_id in ids:
        first, last = answer_of(store, quote_id, 1), answer_of(store, quote_id, 3)
        assert last["price"] == first["price"]


def test_write_leaves_a_quote_that_moved(store: Store, spring: Catalog, summer: Catalog) -> None:
    """A quote that was issued after the preview fails with changed-since-preview; the run goes
    on."""
    ids = save_many(store, spring, 3)
    preview = run(store, summer)
    issue(store, ids[1])
    written = run(store, summer, mode="write", preview=preview.id)
    assert (written.status, written.counts.failed, written.counts.changed) == ("succeeded", 1, 2)
    outcomes = [item["outcome"] for item in items_of(store, written.id)]
    assert outcomes == ["changed", "failed", "changed"]
    problem = items_of(store, written.id)[1]["problem"]
    assert (problem["code"], problem["status"]) == ("changed-since-preview", 409)
    assert quote_of(store, ids[1]).latest == 1


def test_repricing_takes_drafts_unless_issued_ones_are_asked_for(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """An issued quote is chosen with include_issued alone, and gets a new draft."""
    ids = save_many(store, spring, 2)
    issue(store, ids[0])
    assert run(store, summer).counts.total == 1
    preview = run(store, summer, include_issued=True)
    assert preview.counts.total == 2
    run(store, summer, mode="write", preview=preview.id)
    states = [each.state for each in quote_of(store, ids[0]).revisions]
    assert states == ["issued", "draft"]


def forget_pricing(store: Store, quote_id: str, *, packed: bool) -> None:
    """Take away the pricing of a quote as a whole; with `packed` its integers for runs as well."""
    with store.write() as connection:
        revision = QUOTE_REVISION.c.quote_id == quote_id
        connection.execute(update(QUOTE_REVISION).where(revision).values(pricing=None))
        if packed:
            connection.execute(delete(QUOTE_PRICING).where(QUOTE_PRICING.c.quote_id == quote_id))


def test_a_quote_kept_without_its_pricing_fails_alone(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """What re-pricing would read isn't there: a failed item that says what to do."""
    ids = save_many(store, spring, 2)
    forget_pricing(store, ids[0], packed=True)
    answer = run(store, summer)
    assert (answer.status, answer.counts.failed, answer.counts.changed) == ("succeeded", 1, 1)
    problem = items_of(store, answer.id)[0]["problem"]
    assert (problem["code"], problem["status"]) == ("pricing-missing", 409)
    assert "save it once more" in problem["messages"][0]


@pytest.mark.parametrize("most_kept_whole", [200], indirect=True)
def test_a_write_tells_of_a_pricing_that_went_after_its_preview(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """A draft that is written whole needs more than the integers of the preview."""
    ids = save_many(store, spring, 2)
    preview = run(store, summer)
    forget_pricing(store, ids[0], packed=False)
    written = run(store, summer, mode="write", preview=preview.id)
    assert (written.counts.failed, written.counts.changed) == (1, 1)
    problem = items_of(store, written.id)[0]["problem"]
    assert (problem["code"], problem["status"]) == ("pricing-missing", 409)
    assert [quote_of(store, quote_id).latest for quote_id in ids] == [1, 2]


def test_an_item_that_is_no_longer_sold_fails_its_quote_alone(
    store: Store, spring: Catalog, tmp_path: Path
) -> None:
    """A quote with the item is a failed item that names it; the others are re-priced."""
    without = catalog_at(tmp_path, 2, "1.1", ("gravel",))
    save(store, draft_of(spring, yard_request("job-1")))
    override = {"gravel": {"unit_cost": "40.00", "per": "yd3"}}
    prices = {"price_list": "yard", "overrides": override}
    save(store, draft_of(spring, yard_request("job-2", prices=prices)))
    answer = run(store, without)
    assert (answer.status, answer.counts.failed, answer.counts.changed) == ("succeeded", 1, 1)
    first, second = items_of(store, answer.id)
    assert first["problem"]["code"] == "price-missing"
    assert "'gravel'" in first["problem"]["messages"][0]
    assert second["kept_overrides"] == ["gravel"]
    assert [change["group"] for change in second["by_group"]] == ["units", "stone"]


def test_quotes_are_chosen_by_filter(store: Store, spring: Catalog, summer: Catalog) -> None:
    """By reference, by total, by the list they are on."""
    for number, feet in enumerate((20, 40, 60), start=1):
        save(store, draft_of(spring, yard_request(f"job-{number}", feet)))
    chosen = run(store, summer, quotes={"references": ["job-1", "job-3"]})
    assert [item["reference"] for item in items_of(store, chosen.id)] == ["job-1", "job-3"]
    assert run(store, summer, quotes={"total_from": "1000.00"}).counts.total == 2
    assert run(store, summer, quotes={"price_list": "other"}).counts.total == 0
    assert run(store, summer, quotes={"price_list": "other"}).status == "succeeded"


@pytest.mark.no_cover  # others run the same lines
def test_a_chunk_twice_changes_nothing(
    store: Store, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A chunk done again, and a run taken up in the middle, end as an unbroken one."""
    monkeypatch.setattr("service.operations.repricing.repricing_start.WRITE_CHUNK", 2)
    monkeypatch.setattr("service.operations.repricing.repricing_start.LARGE_CHUNK", 2)
    ids = save_many(store, spring, 5)
    preview = run(store, summer)
    started = start(store, summer, mode="write", preview=preview.id)
    run_id = started.asked.id
    for chunk in (1, 1, 0, 0):
        reprice_chunk(store, summer, run_id, chunk)
    with store.read() as connection:
        assert read_repricing(connection, run_id, store.now()).counts.done == 4
    work_off(store, summer, run_id)
    with store.read() as connection:
        answer = read_repricing(connection, run_id, store.now())
    assert (answer.status, answer.counts.done) == ("succeeded", 5)
    assert [quote_of(store, quote_id).latest for quote_id in ids] == [2] * 5


def test_cancel_stops_a_run_and_keeps_what_is_done(
    store: Store, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A cancelled run does no further chunk; once more is no fault, a finished one is."""
    monkeypatch.setattr("service.operations.repricing.repricing_start.WRITE_CHUNK", 2)
    monkeypatch.setattr("service.operations.repricing.repricing_start.LARGE_CHUNK", 2)
    ids = save_many(store, spring, 4)
    preview = run(store, summer)
    run_id = start(store, summer, mode="write", preview=preview.id).asked.id
    reprice_chunk(store, summer, run_id, 0)
    for _ in range(2):
        with store.write() as connection:
            assert cancel_repricing(connection, run_id, store.now()).status == "cancelled"
    work_off(store, summer, run_id)
    reprice_chunk(store, summer, run_id, 1)
    assert [quote_of(store, quote_id).latest for quote_id in ids] == [2, 2, 1, 1]
    with pytest.raises(RepricingFinishedError), store.write() as connection:
        cancel_repricing(connection, preview.id, store.now())


@pytest.mark.parametrize("at_once", [2, 5])
def test_quotes_keep_their_order_however_many_are_counted_at_once(
    store: Store,
    spring: Catalog,
    summer: Catalog,
    monkeypatch: pytest.MonkeyPatch,
    at_once: int,
) -> None:
    """Each of five quotes has the total that it has at the new prices alone."""
    requests = [yard_request(f"job-{feet}", feet) for feet in (20, 60, 30, 50, 40)]
    for request in requests:
        save(store, draft_of(spring, request))
    alone = [json.loads(draft_of(summer, request).kept.answer) for request in requests]
    monkeypatch.setattr("service.operations.repricing.repricing_items.QUOTES_AT_ONCE", at_once)
    answer = run(store, summer)
    found = [(item["reference"], item["new_total"]) for item in items_of(store, answer.id)]
    assert found == [(each["reference"], each["price"]["total"]) for each in alone]


@pytest.mark.no_cover  # others run the same lines
def test_summary_holds_the_ten_largest_changes(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """The largest first, over all chunks; sums are those of the items."""
    for feet in range(10, 22):
        save(store, draft_of(spring, yard_request(f"job-{feet}", feet)))
    answer = run(store, summer)
    items = items_of(store, answer.id)
    changes = sorted((Decimal(item["change"]) for item in items), reverse=True)
    assert [Decimal(c.change) for c in answer.summary.largest_changes] == changes[:10]
    assert Decimal(answer.summary.change) == sum(changes)


def test_a_write_needs_a_preview_that_succeeded(store: Store, spring: Catalog) -> None:
    """No preview, an unknown one and one that still runs are refused."""
    save_many(store, spring, 1)
    running = start(store, spring)
    for preview in ("r0", running.asked.id):
        with pytest.raises(QuoteFaultsError, match="preview"):
            start(store, spring, mode="write", preview=preview)
    with pytest.raises(QuoteFaultsError, match="names the preview"):
        start(store, spring, mode="write")
