"""A quote calculated before it is kept: where that takes long, in a process that calculates, so
that no call holds a place at the database meanwhile."""

from __future__ import annotations

from functools import partial

from starlette.requests import Request

from service.api.calculating import (
    answered_elsewhere,
    in_thread,
    is_small,
    while_connected,
)
from service.api.dependencies import get_catalog, get_door, get_gates, get_stored_prices
from service.operations.quoting.elsewhere import asked, is_large
from service.operations.quoting.quote_request import names_stored_list
from service.operations.saved.draft_elsewhere import make_draft
from service.operations.saved.saved_quote import Draft, PreparedDraft, prepare_draft


async def drafted(request: Request, document: object, size: int, *, first: bool) -> Draft:
    """The draft that a document of so many bytes asks for. Raises QuoteFaultsError, and what the
    door raises."""
    make = partial(make_draft, first=first)
    if is_large(size):
        return await answered_elsewhere(request, document, make)
    catalog, stored = get_catalog(request), get_stored_prices(request)

    def small() -> Draft | PreparedDraft:
        ready = prepare_draft(document, catalog, stored, first=first)
        return ready.draft() if is_small(ready.prepared.cost_ms) else ready

    if names_stored_list(document, catalog):
        found = await get_gates(request).reading.run(small)
    else:
        found = await in_thread(small)
    if isinstance(found, Draft):
        return found
    told = asked(document, found.prepared.prices, catalog)
    running = get_door(request).run(make, catalog, told, found.prepared.cost_ms)
    return await while_connected(request, running)
