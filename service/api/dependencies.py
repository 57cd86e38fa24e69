"""What routes need besides the request: the catalog as loaded now."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from starlette.requests import Request

from service.catalog import Catalog


class CatalogShelf:
    """Holds the catalog that answers are made from; a reload puts a new one in its place.

    A request takes the catalog once and works with that one to its end, whatever is reloaded
    meanwhile.
    """

    def __init__(self, catalog: Catalog, load: Callable[[], Catalog]) -> None:
        self.current = catalog
        self._load = load
        self._lock = asyncio.Lock()

    async def reload(self) -> Catalog:
        """Load again and swap, all or nothing; one at a time. Raises what loading raises."""
        async with self._lock:
            self.current = await asyncio.to_thread(self._load)
            return self.current


def get_shelf(request: Request) -> CatalogShelf:
    """The shelf of the application that serves a request."""
    shelf: CatalogShelf = request.app.state.shelf
    return shelf


def get_catalog(request: Request) -> Catalog:
    """The catalog to answer a request from."""
    return get_shelf(request).current
