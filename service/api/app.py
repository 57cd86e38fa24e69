"""The application, wired together: the catalog, the front, the routes, the problems, the pages."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import APIRouter, FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException

from service.api import health, problem_pages, problems, storing
from service.api.dependencies import CatalogShelf, PutOnQueue, RepricingHost, StoreShelf
from service.api.docs import add_docs
from service.api.front import Front
from service.api.v1.batch import batch_router
from service.api.v1.catalog import catalog_router
from service.api.v1.price_imports import on_preview_changed, price_imports_router
from service.api.v1.price_lists import on_fixed, on_missing, price_lists_router
from service.api.v1.quotes import quotes_router
from service.api.v1.repricings import repricings_router
from service.api.v1.saved_quote_export import saved_quote_export_router
from service.api.v1.saved_quote_reads import saved_quote_reads_router
from service.api.v1.saved_quote_revision_reads import revision_reads_router
from service.api.v1.saved_quotes import on_reference_exists, saved_quotes_router
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError, QuoteRefusedError
from service.operations.conditions import ConditionFailedError, ConditionMissingError
from service.operations.idempotent import KeyReusedError, KeyRunningError
from service.operations.prices.price_imports import PreviewChangedError
from service.operations.prices.price_lists import PriceListFixedError, PriceListMissingError
from service.operations.prices.stored_prices import StoredPrices
from service.operations.repricing.repricing_runner import RepricingRunner
from service.operations.saved.saved_quote import ReferenceExistsError
from service.settings import Settings
from service.storage import StorageError, Store
from service.wiring import open_store, settings_catalog


def create_app(
    settings: Settings,
    catalog: Catalog,
    store: Store | None = None,
    put_on_queue: PutOnQueue | None = None,
) -> FastAPI:
    """An application that answers from `catalog`; a reload reads the folders `settings` name.

    `store` is at head already; left out, the database that `settings` name is opened and
    migrated by the first call that needs it. With `put_on_queue` long work goes to the workers
    of a job queue; else a thread of this process does it.
    """
    app = FastAPI(
        # The document and its pages are ours: api/docs.py.
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        telemetry={"tracing": False, "metrics": False, "logs": False, "auto_configure": False},
        generate_unique_id_function=lambda route: route.name,
        lifespan=_lifespan,
        # What nobody expected is answered by the front.
        exception_handlers={
            problems.ProblemError: problems.on_problem,
            QuoteFaultsError: problems.on_faults,
            QuoteRefusedError: problems.on_refused,
            ReferenceExistsError: on_reference_exists,
            RequestValidationError: problems.on_parameter_error,
            HTTPException: problems.on_http_error,
            KeyReusedError: storing.on_key_reused,
            KeyRunningError: storing.on_key_running,
            ConditionMissingError: storing.on_condition_missing,
            ConditionFailedError: storing.on_condition_failed,
            StorageError: storing.on_storage_error,
            PriceListMissingError: on_missing,
            PriceListFixedError: on_fixed,
            PreviewChangedError: on_preview_changed,
        },
    )
    app.state.shelf = CatalogShelf(catalog, lambda: settings_catalog(settings))
    app.state.store_shelf = shelf = StoreShelf(lambda: open_store(settings), store)
    app.state.stored_prices = StoredPrices(shelf.get)
    app.state.repricing = RepricingHost(
        runner=RepricingRunner(
            lambda: app.state.store_shelf.opened, lambda: app.state.shelf.current
        ),
        put_on_queue=put_on_queue,
    )
    app.add_middleware(Front, hosts=settings.allowed_hosts, access_log=settings.access_log)
    for router in _routers():
        app.include_router(router)
    add_docs(app)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """While the application runs, re-pricings that were left unfinished go on."""
    runner: RepricingRunner = app.state.repricing.runner
    if app.state.store_shelf.opened is not None:
        runner.wake()
    yield
    await asyncio.to_thread(runner.stop)


def _routers() -> tuple[APIRouter, ...]:
    """All routes, in the order of the document."""
    return (
        quotes_router(),
        batch_router(),
        repricings_router(),
        saved_quote_export_router(),
        saved_quotes_router(),
        saved_quote_reads_router(),
        revision_reads_router(),
        price_lists_router(),
        price_imports_router(),
        catalog_router(),
        health.router,
        problem_pages.router,
    )
