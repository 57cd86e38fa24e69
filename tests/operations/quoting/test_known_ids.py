"""An id that is left out is asked for by one that the shipped catalog has."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import level_wall
from tests.given.served import client_over

ROOT = Path(__file__).resolve().parents[3]
# Where a request names entries of the catalog that it can't do without, and of which kind.
NEEDED = {
    "/wall_system": "wall_systems",
    "/section": "sections",
    "/site_work/0/task": "site_work",
}


@pytest.fixture(scope="module")
def hints() -> dict[str, str]:
    """What a request without any id is told of each place."""
    asked = {"units": "us", "walls": [level_wall()], "site_work": [{}], "soils": {}}
    client: TestClient
    with client_over(shipped_catalog()) as client:
        answered = client.post("/v1/quotes", json=asked)
    return {fault["pointer"]: fault["hint"] for fault in answered.json()["errors"]}


@pytest.mark.parametrize(("pointer", "kind"), NEEDED.items())
def test_missing_id_is_asked_for_by_an_entry(
    hints: dict[str, str], pointer: str, kind: str
) -> None:
    """The hint shows an id of the kind that is wanted, so that whoever writes it is quoted."""
    before, _, after = hints[pointer].partition('"')
    assert before == "write it like "
    assert after.removesuffix('"') in getattr(shipped_catalog(), kind)


def test_schemas_show_entries_of_the_catalog() -> None:
    """What the API document gives as examples of a request's ids is in the shipped catalog."""
    document = json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))
    request = document["components"]["schemas"]["QuoteRequest"]["properties"]
    for key, kind in (("wall_system", "wall_systems"), ("section", "sections")):
        shown = request[key]["examples"]
        assert shown
        assert set(shown) <= getattr(shipped_catalog(), kind).keys()
