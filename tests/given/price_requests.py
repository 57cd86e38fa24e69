"""Price lists over HTTP: an application over a database of its own, and calls on it."""

from typing import Any

from httpx2 import Response
from starlette.testclient import TestClient

from tests.given.served import NOTHING_YET

BASE = "/v1/price-lists/yard/revisions"
LATEST = f"{BASE}/latest"
NEAR: dict[str, Any] = {
    "currency": "USD",
    "effective_from": "2026-01-01",
    "note": "spring",
    "items": {
        "block": {"unit_cost": "6.85", "per": "each", "supplier": "Plant", "group": "units"},
        "a_cap": {"unit_cost": "5.125", "per": "each", "supplier": "Plant", "group": "units"},
        "pad_stone": {"unit_cost": "31.00", "per": "yd3", "supplier": "Pit", "group": "stone"},
        "gravel": {"unit_cost": "33.00", "per": "yd3", "supplier": "Pit", "group": "stone"},
    },
}


def publish(
    client: TestClient, body: object, *, etag: str | None = None, **headers: str
) -> Response:
    """Publish on the state with this ETag, or as the first revision."""
    sent = dict(NOTHING_YET) if etag is None else {"If-Match": etag}
    sent |= {name.replace("_", "-"): value for name, value in headers.items()}
    return client.post(BASE, json=body, headers=sent)


def changes(*made: object, effective_from: str = "2026-06-01") -> dict[str, Any]:
    """A body with changes to the latest revision."""
    return {"changes": list(made), "effective_from": effective_from, "note": "raised"}


def priced(unit_cost: object, per: str = "each") -> dict[str, object]:
    """The body of one price."""
    return {"unit_cost": unit_cost, "per": per}


def raised(percent: str = "1.04", **chosen: object) -> dict[str, Any]:
    """A factor for some items."""
    return {"adjust": {"factor": percent, **chosen}}
