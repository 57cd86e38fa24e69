"""A quote that shows layers of reinforcement, saved and priced again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.catalog import Catalog
from service.storage import Store
from tests.given.served import client_over

EXAMPLE = (
    Path(__file__).resolve().parents[2]
    / "openapi/examples/quote_walls/plain_stack_fails.request.json"
)
REVISIONS = "/v1/price-lists/quarry/revisions"


@pytest.mark.no_cover  # others run the same lines
def test_a_price_effect_of_layers_holds_at_the_prices_of_its_quote(
    catalog: Catalog, store: Store
) -> None:
    """The saved quote says what layers cost and which changes would pass; the re-priced one leaves
    the cost out and reads back as it was written, since only its own total was priced again."""
    items = catalog.price_lists["demo_2026"].document["items"]
    whole = {"currency": "USD", "effective_from": "2026-03-01", "items": items}
    request = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    request["prices"] = {"price_list": "quarry"}
    with client_over(catalog, store) as office:
        made = office.post(REVISIONS, json=whole, headers={"If-None-Match": "*"})
        assert made.status_code == 201, made.text
        quote = office.post("/v1/saved-quotes", json={"quote": request}).json()
        dearer = {"effective_from": "2026-06-01", "changes": [{"adjust": {"factor": "1.1"}}]}
        latest = office.get(f"{REVISIONS}/latest").headers["etag"]
        assert office.post(REVISIONS, json=dearer, headers={"If-Match": latest}).status_code == 201
        run = office.post("/v1/repricings", json={"price_list": "quarry"}).json()
        written = office.post("/v1/repricings", json={"mode": "write", "preview": run["id"]})
        assert written.json()["counts"]["changed"] == 1
        kept = f"/v1/saved-quotes/{quote['id']}/revisions"
        found = [office.get(f"{kept}/{n}/answer").json()["screening"] for n in (1, 2)]
        before, after = (screening["reinforcement"] for screening in found)
        again = office.get(f"{kept}/2/recomputed").json()
    assert float(before["price_effect"]["difference"]) > 0
    assert after == {key: value for key, value in before.items() if key != "price_effect"}
    assert again["same"] is True
    first, second = (screening.get("would_pass") for screening in found)
    assert first
    assert second == first
