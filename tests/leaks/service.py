"""A service full of marked data: price lists, quotes, links, a re-pricing; and who calls it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from fastapi import FastAPI
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.api_keys import new_key
from tests.given.callers import SCOPES, client_of
from tests.given.links import garden
from tests.given.quote_requests import Json, level_wall, read, shipped_request
from tests.given.served import BASE_URL, application
from tests.given.stores import Clock, sqlite_store
from tests.leaks.marked import (
    EVEN_SITES,
    LIST,
    RATES,
    SITE,
    STORED,
    TERMS,
    Markers,
    marked_catalog,
    marked_list,
)

CREATED, OK = 201, 200
FIRST_NAME = 1_234_567
# Before this day no list of the shipped catalog is in force, and no link has ended.
ISSUED = "2026-05-04"
ENTRIES = ("terrace_8in", "plain_gravity", "loam", "none")
LINKS = ("customer_quote", "crew_sheet", "visit_sheet")
ORDER = "supplier_order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """The running service: clients by who calls, what may be in an address, and the markers that
    nobody but the office may see. `names` are those of customers; `supplier` is who has a link to
    his order. `reads` are addresses at which marked things are kept."""

    app: FastAPI
    catalog: Catalog
    store: Store
    clients: dict[str, TestClient]
    places: dict[str, tuple[str, ...]]
    links: dict[str, str]
    supplier: str
    reads: tuple[str, ...]
    secrets: set[str]
    names: set[str] = field(default_factory=set)


def suppliers_of(catalog: Catalog) -> list[str]:
    """Who brings what the marked list prices."""
    items = catalog.price_lists[LIST].document["items"].values()
    return sorted({row["supplier"] for row in items if "supplier" in row})


def job(**more: object) -> Json:
    """A request of the office with everything that costs: a wall that fails among them."""
    walls = (level_wall(exposed="3 ft"), level_wall("20 ft", exposed="5 ft", surcharge="100 psf"))
    named = {"rates": RATES, "terms": TERMS, "prices": {"price_list": LIST}}
    soils = {"retained": "silty_sand"}
    settled = {"settled": "by_owner"}
    return shipped_request(
        *walls, soils=soils, issued_on=ISSUED, engineering=settled, **(named | more)
    )


def small_job(**more: object) -> Json:
    """A wall that may be issued."""
    named = {"rates": RATES, "terms": TERMS, "prices": {"price_list": LIST}}
    return garden(**(named | more))


@contextmanager
def marked_service(folder: Path) -> Iterator[Marked]:
    """A service over marked data in a folder, which runs as long as the block."""
    markers = Markers()
    (folder / "catalog").mkdir()
    catalog = marked_catalog(folder / "catalog", markers)
    with sqlite_store(folder, Clock()) as store:
        app = application(catalog, store)
        keys = {name: new_key(store, *scopes, website=SITE)[1] for name, scopes in SCOPES.items()}
        keys |= {name: new_key(store, "website", website=name)[1] for name in EVEN_SITES}
        with client_of(app, keys["office"]) as office:
            clients = {name: client_of(app, key) for name, key in keys.items()}
            for who in ("link", "supplier"):
                clients[who] = TestClient(app, base_url=BASE_URL, follow_redirects=False)
            supplier = suppliers_of(catalog)[0]
            names = Markers(FIRST_NAME)
            places, links = _filled(office, markers, names, supplier)
            reads = (_map_columns(office, markers), _record_hours(office, markers, names))
            places["id"] += (reads[1].split("/")[3],)
            yield Marked(
                app=app,
                catalog=catalog,
                store=store,
                clients={**clients, "office": office},
                places=places,
                links=links,
                supplier=supplier,
                reads=reads,
                secrets=markers.given,
                names=names.given,
            )


def _filled(
    office: TestClient, markers: Markers, names: Markers, supplier: str
) -> tuple[dict[str, tuple[str, ...]], dict[str, str]]:
    """Quotes and links; what may stand in an address, and the links by kind."""
    override = {"terrace_8in": {"unit_cost": markers.amount(), "per": "each"}}
    prices = {"price_list": LIST, "overrides": override}
    ids = [_saved(office, request, names) for request in (small_job(), job(prices=prices))]
    _move(office, ids[0], "issued")
    _publish(office, markers)
    ids.append(_saved(office, small_job(prices={"price_list": STORED}), names))
    runs = _reprice(office)
    links = {kind: _link(office, ids[0], kind=kind) for kind in LINKS}
    links[ORDER] = _link(office, ids[0], kind=ORDER, supplier=supplier)
    places = {
        "id": (
            *ids,
            *runs,
            STORED,
            LIST,
            TERMS,
            RATES,
            "terrace_8in",
            "plain_gravity",
            "loam",
            "none",
        ),
        "revision": ("1", "latest", "2"),
        "other": ("1",),
        "kind": ("crew_sheet", "visit_sheet", "customer_quote", "plan", "section", "contract"),
        "code": ("not-priced", "scope-missing", "none"),
    }
    return places, links


def _saved(office: TestClient, request: Json, names: Markers) -> str:
    body = {
        "quote": request,
        "customer": {"name": names.text()},
        "notes": names.text(),
        "metadata": {"lead": names.text()},
    }
    kept = office.post("/v1/saved-quotes", json=body)
    assert kept.status_code == CREATED, kept.text
    quote_id: str = read(kept)["id"]
    return quote_id


def _publish(office: TestClient, markers: Markers) -> None:
    """A price list of the database, with a rise that is another revision."""
    document = marked_list(STORED, markers)
    kept = ("currency", "items", "delivery", "note")
    body = {key: document[key] for key in kept} | {"effective_from": "2026-01-01"}
    place = f"/v1/price-lists/{STORED}/revisions"
    made = office.post(place, json=body, headers={"If-None-Match": "*"})
    assert made.status_code == CREATED, made.text
    tag = office.get(f"{place}/latest").headers["etag"]
    rise = {"changes": [{"adjust": {"factor": "1.04"}}], "effective_from": "2026-06-01"}
    made = office.post(place, json=rise | {"note": "raised"}, headers={"If-Match": tag})
    assert made.status_code == CREATED, made.text


def _map_columns(office: TestClient, markers: Markers) -> str:
    """How a supplier's files are read, by his words; where that is kept."""
    body = {
        "sheet": markers.text(),
        "columns": {"item": markers.text(), "unit_cost": markers.text()},
        "defaults": {"supplier": markers.text()},
        "units": {markers.text(): {"per": "each", "count": markers.number()}},
        "items": {markers.text(): "terrace_8in"},
    }
    place = f"/v1/price-lists/{STORED}/column-mapping"
    made = office.put(place, json=body, headers={"If-None-Match": "*"})
    assert made.status_code == CREATED, made.text
    return place


def _record_hours(office: TestClient, markers: Markers, names: Markers) -> str:
    """What a job took, with a note about the customer; where that is kept."""
    quote_id = _saved(office, small_job(), names)
    for state in ("issued", "accepted"):
        _move(office, quote_id, state)
    body = {
        "hours": {"set_units": markers.amount()},
        "machine_hours": {"skid_steer": markers.amount()},
        "quantities": {"garden_6in": markers.number()},
        "note": names.text(),
    }
    place = f"/v1/saved-quotes/{quote_id}"
    tag = office.get(place).headers["etag"]
    place = f"{place}/revisions/1/actuals"
    put = office.put(place, json=body, headers={"If-Match": tag})
    assert put.status_code == OK, put.text
    return place


def _reprice(office: TestClient) -> tuple[str, ...]:
    """A preview of what a rise changes."""
    body = {"price_list": STORED, "quotes": {"price_list": LIST}, "margin_floor": "0.10"}
    made = office.post("/v1/repricings", json=body)
    assert made.status_code == CREATED, made.text
    return (read(made)["id"],)


def _move(office: TestClient, quote_id: str, state: str) -> None:
    place = f"/v1/saved-quotes/{quote_id}"
    tag = office.get(place).headers["etag"]
    body = {"state": state, "on": ISSUED}
    moved = office.post(f"{place}/state", json=body, headers={"If-Match": tag})
    assert moved.status_code == OK, moved.text


def _link(office: TestClient, quote_id: str, **asked: str) -> str:
    made = office.post(f"/v1/saved-quotes/{quote_id}/revisions/1/links", json=asked)
    assert made.status_code == CREATED, made.text
    url: str = read(made)["url"]
    return url.removeprefix(BASE_URL)
