"""The operations of re-pricings. A re-pricing is its own monitor."""

from __future__ import annotations

from service.api.accept import CSV, NDJSON
from service.api.bodies import JSON
from service.api.operation import (
    READS_STORED,
    STORES,
    Answer,
    Body,
    LinesOf,
    Operation,
    PageOf,
    Scope,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY
from service.api.v1.pages import PAGE
from service.api.v1.repricings.address import ONLY_PARAMETER, PREFIX, RUN_ID
from service.api.v1.repricings.issue import issue_repricing
from service.api.v1.repricings.items import list_repricing_items
from service.api.v1.repricings.runs import (
    PREFER,
    cancel_one_repricing,
    create_repricing,
    list_all_repricings,
    read_one_repricing,
)
from service.operations.repricing.repricing_answer import RepricedItem, RepricingAnswer
from service.operations.repricing.repricing_issue import IssuedDrafts, IssueRequest
from service.operations.repricing.repricing_request import RepricingRequest

TAG = "re-pricings"
_ONE = f"{PREFIX}/{{id}}"
_READERS: tuple[Scope, ...] = ("quotes", "prices")
_MADE = ("Location", "Idempotent-Replayed")

OPERATIONS = (
    Operation(
        method="POST",
        path=PREFIX,
        handler=create_repricing,
        scopes=("prices",),
        tag=TAG,
        summary="Re-price saved quotes on another revision: preview or write",
        parameters=(IDEMPOTENCY_KEY, PREFER),
        body=Body(shapes={JSON: RepricingRequest}),
        answers=(
            json_answer(RepricingAnswer, status=201, description="Done.", headers=_MADE),
            json_answer(
                RepricingAnswer,
                status=202,
                description="Under way.",
                headers=(*_MADE, "Retry-After", "Preference-Applied"),
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=PREFIX,
        handler=list_all_repricings,
        id="list_repricings",
        scopes=_READERS,
        tag=TAG,
        summary="List re-pricings, the newest first",
        parameters=PAGE,
        answers=(json_answer(PageOf(RepricingAnswer), description="A page of them."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="GET",
        path=_ONE,
        handler=read_one_repricing,
        id="read_repricing",
        scopes=_READERS,
        tag=TAG,
        summary="How far a re-pricing is, and what it comes to",
        parameters=(RUN_ID,),
        answers=(json_answer(RepricingAnswer, description="As it is now."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="DELETE",
        path=_ONE,
        handler=cancel_one_repricing,
        id="cancel_repricing",
        scopes=("prices",),
        tag=TAG,
        summary="Cancel a re-pricing; what it has written stays",
        parameters=(RUN_ID,),
        answers=(json_answer(RepricingAnswer, description="As it is now."),),
        refuses=STORES,
    ),
    Operation(
        method="POST",
        path=f"{_ONE}/issue",
        handler=issue_repricing,
        scopes=("quotes", "prices"),
        tag=TAG,
        summary="Issue the drafts of a re-pricing, each with its outcome",
        parameters=(RUN_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: IssueRequest}),
        answers=(
            json_answer(
                IssuedDrafts, description="What became of each.", headers=("Idempotent-Replayed",)
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=f"{_ONE}/items",
        handler=list_repricing_items,
        scopes=_READERS,
        form="chosen",
        tag=TAG,
        summary="The quotes of a re-pricing, as pages, lines of JSON or CSV",
        parameters=(RUN_ID, *PAGE, ONLY_PARAMETER),
        answers=(
            Answer(
                description="A page of them; or all that are there, line by line.",
                shapes={
                    JSON: PageOf(RepricedItem),
                    NDJSON: LinesOf(RepricedItem, "items"),
                    CSV: {"type": "string", "description": "A row an item (RFC 4180)."},
                },
            ),
        ),
        refuses=READS_STORED,
    ),
)
