"""The operations of re-pricings. A re-pricing is its own monitor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.accept import CSV, NDJSON
from service.api.bodies import JSON
from service.api.late import late_modules
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
from service.api.v1.repricings.address import PREFIX, RUN_ID

if TYPE_CHECKING:
    from service.api.v1.repricings import issue, items, runs
    from service.operations.repricing import repricing_answer, repricing_issue, repricing_request
else:
    issue, items, runs = late_modules("service.api.v1.repricings", "issue items runs")
    repricing_answer, repricing_issue, repricing_request = late_modules(
        "service.operations.repricing", "repricing_answer repricing_issue repricing_request"
    )

TAG = "re-pricings"
_ONE = f"{PREFIX}/{{id}}"
_READERS: tuple[Scope, ...] = ("quotes", "prices")
_MADE = ("Location", "Idempotent-Replayed")

OPERATIONS = (
    Operation(
        method="POST",
        path=PREFIX,
        handler=runs.create_repricing,
        scopes=("prices",),
        tag=TAG,
        summary="Re-price saved quotes on another revision: preview or write",
        parameters=(IDEMPOTENCY_KEY, runs.PREFER),
        body=Body(shapes={JSON: repricing_request.RepricingRequest}),
        answers=(
            json_answer(
                repricing_answer.RepricingAnswer, status=201, description="Done.", headers=_MADE
            ),
            json_answer(
                repricing_answer.RepricingAnswer,
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
        handler=runs.list_all_repricings,
        id="list_repricings",
        scopes=_READERS,
        tag=TAG,
        summary="List re-pricings, the newest first",
        parameters=PAGE,
        answers=(
            json_answer(PageOf(repricing_answer.RepricingAnswer), description="A page of them."),
        ),
        refuses=READS_STORED,
    ),
    Operation(
        method="GET",
        path=_ONE,
        handler=runs.read_one_repricing,
        id="read_repricing",
        scopes=_READERS,
        tag=TAG,
        summary="How far a re-pricing is, and what it comes to",
        parameters=(RUN_ID,),
        answers=(json_answer(repricing_answer.RepricingAnswer, description="As it is now."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="DELETE",
        path=_ONE,
        handler=runs.cancel_one_repricing,
        id="cancel_repricing",
        scopes=("prices",),
        tag=TAG,
        summary="Cancel a re-pricing; what it has written stays",
        parameters=(RUN_ID,),
        answers=(json_answer(repricing_answer.RepricingAnswer, description="As it is now."),),
        refuses=STORES,
    ),
    Operation(
        method="POST",
        path=f"{_ONE}/issue",
        handler=issue.issue_repricing,
        scopes=("quotes", "prices"),
        tag=TAG,
        summary="Issue the drafts of a re-pricing, each with its outcome",
        parameters=(RUN_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: repricing_issue.IssueRequest}),
        answers=(
            json_answer(
                repricing_issue.IssuedDrafts,
                description="What became of each.",
                headers=("Idempotent-Replayed",),
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=f"{_ONE}/items",
        handler=items.list_repricing_items,
        scopes=_READERS,
        form="chosen",
        tag=TAG,
        summary="The quotes of a re-pricing, as pages, lines of JSON or CSV",
        parameters=(RUN_ID, *PAGE, items.ONLY_PARAMETER),
        answers=(
            Answer(
                description="A page of them; or all that are there, line by line.",
                shapes={
                    JSON: PageOf(repricing_answer.RepricedItem),
                    NDJSON: LinesOf(repricing_answer.RepricedItem, "items"),
                    CSV: {"type": "string", "description": "A row an item (RFC 4180)."},
                },
            ),
        ),
        refuses=READS_STORED,
    ),
)
