"""`POST /v1/catalog/reload`: the catalog read again."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import json_response
from service.api.bodies import read_no_body
from service.api.dependencies import get_shelf, run_storing
from service.api.health import catalog_state
from service.api.problems import ProblemError
from service.api.v1.pages import refuse_parameters
from service.catalog import Catalog, CatalogInvalidError
from service.storage import Store
from service.storage.events import record


async def reload_catalog(request: Request) -> Response:
    """Read the catalog's folders again. With any fault in any file the old catalog stays, and
    also where the event `catalog.reloaded` can't be stored."""
    refuse_parameters(request)
    await read_no_body(request)

    async def tell(loaded: Catalog) -> None:
        await run_storing(request, lambda store: tell_reloaded(store, loaded))

    try:
        catalog = await get_shelf(request).reload(tell)
    except CatalogInvalidError as error:
        raise ProblemError("catalog-invalid", faults=error.faults) from error
    return json_response(catalog_state(catalog))


def tell_reloaded(store: Store, catalog: Catalog) -> None:
    """Tell that another catalog is answered from."""
    with store.write() as connection:
        data = {"catalog_version": catalog.version}
        record(connection, "catalog.reloaded", data, now=store.now())
