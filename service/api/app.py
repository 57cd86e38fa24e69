"""The application, wired together: the catalog, the front, the operations, the problems."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache, partial
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, FastAPI
from starlette.routing import BaseRoute

from service.api import docs, health, metrics, problem_pages
from service.api.admission.admission import Admission
from service.api.admission.hosts import Hosts
from service.api.admission.key_ring import KeyRing
from service.api.admission.limits import Limits
from service.api.admission.stored_keys import StoredKeys
from service.api.answers import REVALIDATED
from service.api.compression import Compression
from service.api.dependencies import (
    CatalogShelf,
    PutOnQueue,
    RepricingHost,
    StoreShelf,
    WebhookHost,
)
from service.api.error_answers import ERROR_ANSWERS
from service.api.front import Front
from service.api.late import endpoint
from service.api.links.table import OPERATIONS as LINK_PAGES
from service.api.page.home import OPERATIONS as HOME
from service.api.prepared import Once, Prepared, prepare
from service.api.problems import encode
from service.api.shared_catalog import SharedCatalog
from service.api.storing_gate import Gates
from service.api.table import Table
from service.api.turns import TurnsByLoop
from service.api.v1.api_keys.table import OPERATIONS as API_KEYS
from service.api.v1.catalog.table import OPERATIONS as CATALOG
from service.api.v1.documents.table import OPERATIONS as DOCUMENTS
from service.api.v1.events.table import OPERATIONS as EVENTS
from service.api.v1.leads.table import OPERATIONS as LEADS
from service.api.v1.links.table import OPERATIONS as LINKS
from service.api.v1.price_lists.table import OPERATIONS as PRICE_LISTS
from service.api.v1.quotes.table import OPERATIONS as QUOTES
from service.api.v1.repricings.table import OPERATIONS as REPRICINGS
from service.api.v1.saved_quotes.table import OPERATIONS as SAVED_QUOTES
from service.api.v1.webhooks.table import OPERATIONS as WEBHOOKS
from service.api.v1.website.table import OPERATIONS as WEBSITE
from service.api.website.table import OPERATIONS as WEBSITE_PAGES
from service.calculators import Bounds, Door, cores
from service.catalog import Catalog
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.webhook_runner import WebhookRunner
from service.operations.prices.stored_prices import StoredPrices
from service.operations.repricing.repricing_runner import RepricingRunner
from service.settings import Settings
from service.wiring import open_store, secret_box, settings_catalog

if TYPE_CHECKING:
    from service.sending.sealed import SecretBox
    from service.storage import Store

# All that is served, in the order of the document.
OPERATIONS = Table(
    (
        *QUOTES,
        *SAVED_QUOTES,
        *DOCUMENTS,
        *LINKS,
        *WEBSITE,
        *LEADS,
        *REPRICINGS,
        *PRICE_LISTS,
        *WEBHOOKS,
        *CATALOG,
        *API_KEYS,
        *EVENTS,
        *health.OPERATIONS,
        *metrics.OPERATIONS,
        *problem_pages.OPERATIONS,
        *docs.OPERATIONS,
        *HOME,
        *WEBSITE_PAGES,
        *LINK_PAGES,
    )
)


@cache
def api_document() -> dict[str, Any]:
    """The OpenAPI document of all operations, made once."""
    from service.api.openapi.document import openapi_document  # noqa: PLC0415  few ask for it

    return openapi_document(OPERATIONS)


@cache
def prepared_document(public_url: str = "") -> Prepared:
    """The document as it is sent, with where callers find the service, if that is set: making it
    takes as long as a hundred quotes."""
    document = api_document()
    if public_url:
        (server,) = document["servers"]
        document = {**document, "servers": [{**server, "url": public_url}]}
    return prepare(encode(document), "application/json", {"Cache-Control": REVALIDATED})


def create_app(
    settings: Settings,
    catalog: Catalog,
    store: Store | None = None,
    put_on_queue: PutOnQueue | None = None,
    shared: SharedCatalog | None = None,
) -> FastAPI:
    """An application that answers from `catalog`; a reload reads the folders `settings` name.

    `store` is at head already; left out, the database that `settings` name is opened and
    migrated by the first call that needs it. With `put_on_queue` long work goes to the workers
    of a job queue; else a thread of this process does it. `shared` is the catalog of several
    processes.
    """
    app = FastAPI(
        # The document and its pages are ours: service/api/docs.py.
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        telemetry={"tracing": False, "metrics": False, "logs": False, "auto_configure": False},
        lifespan=_lifespan,
        exception_handlers=dict(ERROR_ANSWERS),
    )
    app.state.shelf = CatalogShelf(catalog, lambda: settings_catalog(settings), shared)
    app.state.store_shelf = shelf = StoreShelf(
        lambda: open_store(settings), store, settings.has_no_store
    )
    app.state.gates = gates = Gates()
    stored_keys = StoredKeys(shelf)
    app.state.key_ring = ring = KeyRing(stored_keys, stored_keys.now)
    app.state.metrics = metrics.Metrics(several=shared is not None)
    app.state.turns = TurnsByLoop()
    app.state.door = Door(_bounds(settings), app.state.metrics.calculations)
    _note_settings(app, settings)
    app.state.stored_prices = StoredPrices(shelf.get)
    app.state.repricing = RepricingHost(
        runner=RepricingRunner(
            lambda: app.state.store_shelf.opened, lambda: app.state.shelf.current
        ),
        put_on_queue=put_on_queue,
    )
    app.state.admission = _admission(settings, ring)
    by_address, over_all = settings.price_range_limits
    app.state.limits = limits = Limits(
        by_address, over_all, lambda count: gates.storing.run(lambda: count(shelf.get()))
    )
    app.state.webhooks = _webhook_host(app, settings)
    _add_operations(app, settings, limits)
    return app


def _note_settings(app: FastAPI, settings: Settings) -> None:
    """What routes ask of the settings."""
    zone = ZoneInfo(settings.time_zone)
    app.state.calendar = Calendar(zone=zone, link_days=settings.link_days)
    app.state.public_url = settings.public_url
    app.state.largest_price_change = settings.largest_price_change
    app.state.lead_days = settings.lead_days
    app.state.trusted_proxies = settings.trusted_proxies


def _admission(settings: Settings, ring: KeyRing) -> Admission:
    """Who is let in."""
    return Admission(
        hosts=Hosts(settings.allowed_hosts, settings.public_url),
        ring=ring,
        trusted=settings.trusted_proxies,
        closed=() if settings.docs else [each.id for each in docs.OPERATIONS],
    )


def _webhook_host(app: FastAPI, settings: Settings) -> WebhookHost:
    """Who sends to webhooks; nobody where there is none."""
    allowed = frozenset(settings.webhook_targets)

    def find_box(store: Store) -> SecretBox:
        return secret_box(settings, store)

    return WebhookHost(
        runner=WebhookRunner(
            lambda: app.state.store_shelf.opened, find_box, allowed, settings.public_url
        ),
        find_box=find_box,
        allowed=allowed,
    )


def _add_operations(app: FastAPI, settings: Settings, limits: Limits) -> None:
    """Every row as a route, the document that is made of them, and what stands before them."""
    app.add_middleware(Compression)
    app.add_middleware(
        Front,
        table=OPERATIONS,
        admission=app.state.admission,
        limits=limits,
        access_log=settings.access_log,
        running_calls=settings.running_calls,
        metrics=app.state.metrics,
    )
    app.state.document = Once(partial(prepared_document, settings.public_url))
    app.state.table = OPERATIONS
    app.router.routes.extend(_routes())


@cache
def _routes() -> tuple[BaseRoute, ...]:
    """Every row as a route: they know nothing of an application, so all have the same."""
    router = APIRouter()
    for each in OPERATIONS:
        router.add_api_route(
            each.path,
            endpoint(each.handler),
            methods=[each.method],
            name=each.id,
            include_in_schema=False,
        )
    return tuple(router.routes)


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """The keys are read first. While the application runs, re-pricings that were left unfinished
    go on, and events are sent to webhooks; at its end the processes that calculate end, and the
    database is closed."""
    runner: RepricingRunner = app.state.repricing.runner
    sending: WebhookRunner = app.state.webhooks.runner
    ring: KeyRing = app.state.key_ring
    await ring.begin()
    if app.state.store_shelf.opened is not None:
        runner.wake()
    sending.start()
    yield
    await app.state.door.close()
    await asyncio.to_thread(runner.stop)
    await asyncio.to_thread(sending.stop)
    await asyncio.to_thread(app.state.store_shelf.close)


def _bounds(settings: Settings) -> Bounds:
    return Bounds(
        calculators=settings.calculators or cores(),
        waiting=settings.waiting_calculations,
        times_cost=settings.calculation_deadline,
    )
