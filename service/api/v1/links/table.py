"""The operations of links to papers of saved quotes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import Answer, Body, PageOf, json_answer
from service.api.parameters import IDEMPOTENCY_KEY, REVISION
from service.api.rows import Rows
from service.api.v1.pages import PAGE
from service.api.v1.saved_quotes.address import PREFIX, QUOTE_ID

if TYPE_CHECKING:
    from service.api.v1.links import handlers
    from service.operations.callers.links import link_request
else:
    (handlers,) = late_modules("service.api.v1.links", "handlers")
    (link_request,) = late_modules("service.operations.callers.links", "link_request")

TAG = "links"
_ROWS = Rows(TAG, "quotes")
_LINKS = f"{PREFIX}/{{id}}/revisions/{{revision}}/links"

OPERATIONS = (
    _ROWS.stores(
        "POST",
        _LINKS,
        handlers.make_link,
        json_answer(
            link_request.LinkMadeAnswer,
            status=201,
            description="The link. Its address is told this once.",
            headers=("Idempotent-Replayed",),
        ),
        summary="Show a paper to whoever gets the address",
        parameters=(QUOTE_ID, REVISION, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: link_request.LinkRequest}),
    ),
    _ROWS.reads(
        _LINKS,
        handlers.list_links,
        PageOf(link_request.LinkItem),
        QUOTE_ID,
        REVISION,
        *PAGE,
        summary="List the links to a revision's papers",
    ),
    _ROWS.stores(
        "DELETE",
        f"{_LINKS}/{{link_id}}",
        handlers.end_link,
        Answer(status=204, description="It is closed; so it stays."),
        summary="Close a link",
        parameters=(QUOTE_ID, REVISION, handlers.LINK_ID),
        refuses=(503, 507),
    ),
)
