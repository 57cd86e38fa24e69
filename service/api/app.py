"""The application, wired together: the catalog, the front, the routes, the problems, the pages."""

from __future__ import annotations

from fastapi import APIRouter, FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException

from service.api import health, problem_pages, problems
from service.api.dependencies import CatalogShelf
from service.api.docs import add_docs
from service.api.front import Front
from service.api.v1.catalog import catalog_router
from service.api.v1.quotes import quotes_router
from service.catalog import Catalog, load_catalog
from service.core.errors import QuoteFaultsError
from service.settings import Settings


def create_app(settings: Settings, catalog: Catalog) -> FastAPI:
    """An application that answers from `catalog`; a reload reads the folders `settings` name."""
    app = FastAPI(
        # The document and its pages are ours: api/docs.py.
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        telemetry={"tracing": False, "metrics": False, "logs": False, "auto_configure": False},
        generate_unique_id_function=lambda route: route.name,
        # What nobody expected is answered by the front.
        exception_handlers={
            problems.ProblemError: problems.on_problem,
            QuoteFaultsError: problems.on_faults,
            RequestValidationError: problems.on_parameter_error,
            HTTPException: problems.on_http_error,
        },
    )
    app.state.shelf = CatalogShelf(catalog, lambda: load_catalog(settings.catalog_path))
    app.add_middleware(Front, hosts=settings.allowed_hosts, access_log=settings.access_log)
    for router in _routers():
        app.include_router(router)
    add_docs(app)
    return app


def _routers() -> tuple[APIRouter, ...]:
    """All routes, in the order of the document."""
    return (quotes_router(), catalog_router(), health.router, problem_pages.router)
