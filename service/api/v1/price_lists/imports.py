"""Suppliers' files: how they are read, what importing one would change, and doing just that."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import content_response
from service.api.bodies import read_file, read_json
from service.api.calculating import worked_out
from service.api.dependencies import get_catalog, run_stored, run_storing
from service.api.storing import read_call, read_conditions, stored_response
from service.api.v1.pages import read_parameters, refuse_parameters
from service.api.v1.price_lists.address import read_list_id
from service.api.v1.price_lists.import_parameters import (
    MEDIA_TYPES,
    PARAMETERS,
    read_described,
    read_kind,
    read_mapping_text,
    read_preview,
)
from service.operations.idempotent import (
    StoredOutcome,
    document_fingerprint,
    find_outcome,
    fingerprint,
)
from service.operations.prices.column_mapping import (
    BOUNDS,
    mapping_for,
    read_mapping,
    save_mapping,
    saved_mapping,
)
from service.operations.prices.import_merge import PriceFile
from service.operations.prices.imported import (
    ImportAsked,
    answer_preview,
    import_cost,
    work_out,
)
from service.operations.prices.price_imports import look_up, publish_import
from service.storage import Store


async def read_column_mapping(request: Request) -> Response:
    """The column mapping that was saved for a price list."""
    refuse_parameters(request)
    list_id = read_list_id(request)
    saved = await run_stored(request, lambda store: saved_mapping(store, list_id))
    return content_response(request, saved.content)


async def save_column_mapping(request: Request) -> Response:
    """Save it for all later imports: `If-None-Match: *` the first time, `If-Match` later.

    The body has at most 60,000 values, 20,000 of them in one table.
    """
    refuse_parameters(request)
    list_id, catalog = read_list_id(request), get_catalog(request)
    document = await read_json(request, BOUNDS)
    conditions = read_conditions(request)
    call = read_call(request, document_fingerprint(document))
    stored = await run_storing(
        request, lambda store: save_mapping(store, catalog, list_id, document, conditions, call)
    )
    return stored_response(stored)


async def import_price_file(request: Request) -> Response:
    """Preview answers what the file would change and every fault by its cell; it stores nothing.
    With faults `importable` is false and there is no `preview` to write.

    Write takes the `preview` of that answer and the ETag of `latest` as `If-Match` (the first
    revision `If-None-Match: *`), and the words that the preview `needs`. All rows become one
    revision or, with a fault in any, none does.
    """
    given = read_parameters(request, [each.name for each in PARAMETERS])
    list_id, catalog = read_list_id(request), get_catalog(request)
    preview = read_preview(given)
    described = read_described(request, given)
    mapping = read_mapping_text(given)
    conditions = read_conditions(request)
    kind, data = await read_file(request, MEDIA_TYPES)
    kind = read_kind(kind, given)
    call = read_call(request, fingerprint(data))

    def look(store: Store) -> ImportAsked | StoredOutcome:
        if preview is not None and (known := find_outcome(store, call)):
            return known
        chosen = mapping_for(store, catalog, list_id)
        if mapping is not None:
            chosen = read_mapping(mapping, catalog)
        file = PriceFile(data=data, kind=kind, mapping=chosen, **described)
        return look_up(store, catalog, list_id, file)

    asked = await run_stored(request, look)
    if isinstance(asked, StoredOutcome):
        return stored_response(asked)
    if preview is None:
        shown = await worked_out(request, answer_preview, asked, import_cost(asked))
        return Response(shown, media_type="application/json")
    imported = await worked_out(request, work_out, asked, import_cost(asked))
    stored = await run_storing(
        request,
        lambda store: publish_import(store, catalog, asked, imported, preview, conditions, call),
    )
    return stored_response(stored)
