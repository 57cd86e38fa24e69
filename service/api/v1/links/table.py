"""The operations of links to papers of saved quotes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import READS_STORED, STORES, Answer, Body, Operation, PageOf, json_answer
from service.api.parameters import IDEMPOTENCY_KEY, IF_CHANGED, REVISION, read_answers
from service.api.v1.pages import PAGE
from service.api.v1.saved_quotes.address import PREFIX, QUOTE_ID

if TYPE_CHECKING:
    from service.api.v1.links import handlers
    from service.operations.callers.links import link_request
else:
    (handlers,) = late_modules("service.api.v1.links", "handlers")
    (link_request,) = late_modules("service.operations.callers.links", "link_request")

TAG = "links"
_LINKS = f"{PREFIX}/{{id}}/revisions/{{revision}}/links"

OPERATIONS = (
    Operation(
        method="POST",
        path=_LINKS,
        handler=handlers.make_link,
        scopes=("quotes",),
        tag=TAG,
        summary="Show a paper to whoever gets the address",
        parameters=(QUOTE_ID, REVISION, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: link_request.LinkRequest}),
        answers=(
            json_answer(
                link_request.LinkMadeAnswer,
                status=201,
                description="The link. Its address is told this once.",
                headers=("Idempotent-Replayed",),
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=_LINKS,
        handler=handlers.list_links,
        scopes=("quotes",),
        tag=TAG,
        summary="List the links to a revision's papers",
        parameters=(QUOTE_ID, REVISION, *PAGE, IF_CHANGED),
        answers=read_answers(PageOf(link_request.LinkItem)),
        refuses=READS_STORED,
    ),
    Operation(
        method="DELETE",
        path=f"{_LINKS}/{{link_id}}",
        handler=handlers.end_link,
        scopes=("quotes",),
        tag=TAG,
        summary="Close a link",
        parameters=(QUOTE_ID, REVISION, handlers.LINK_ID),
        answers=(Answer(status=204, description="It is closed; so it stays."),),
        refuses=(503, 507),
    ),
)
