"""The operations of re-pricings. A re-pricing is its own monitor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.accept import CSV, NDJSON
from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import (
    READS_STORED,
    Answer,
    Body,
    LinesOf,
    PageOf,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY
from service.api.rows import Rows
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
_ROWS = Rows(TAG, "quotes", "prices")
_ONE = f"{PREFIX}/{{id}}"
_MADE = ("Location", "Idempotent-Replayed")

OPERATIONS = (
    _ROWS.stores(
        "POST",
        PREFIX,
        runs.create_repricing,
        json_answer(
            repricing_answer.RepricingAnswer, status=201, description="Done.", headers=_MADE
        ),
        json_answer(
            repricing_answer.RepricingAnswer,
            status=202,
            description="Under way.",
            headers=(*_MADE, "Retry-After", "Preference-Applied"),
        ),
        scopes=("prices",),
        summary="Re-price saved quotes on another revision: preview or write",
        parameters=(IDEMPOTENCY_KEY, runs.PREFER),
        body=Body(shapes={JSON: repricing_request.RepricingRequest}),
    ),
    _ROWS.row(
        "GET",
        PREFIX,
        runs.list_all_repricings,
        json_answer(PageOf(repricing_answer.RepricingAnswer), description="A page of them."),
        id="list_repricings",
        summary="List re-pricings, the newest first",
        parameters=PAGE,
        refuses=READS_STORED,
    ),
    _ROWS.row(
        "GET",
        _ONE,
        runs.read_one_repricing,
        json_answer(repricing_answer.RepricingAnswer, description="As it is now."),
        id="read_repricing",
        summary="How far a re-pricing is, and what it comes to",
        parameters=(RUN_ID,),
        refuses=READS_STORED,
    ),
    _ROWS.stores(
        "DELETE",
        _ONE,
        runs.cancel_one_repricing,
        json_answer(repricing_answer.RepricingAnswer, description="As it is now."),
        id="cancel_repricing",
        scopes=("prices",),
        summary="Cancel a re-pricing; what it has written stays",
        parameters=(RUN_ID,),
    ),
    _ROWS.stores(
        "POST",
        f"{_ONE}/issue",
        issue.issue_repricing,
        json_answer(
            repricing_issue.IssuedDrafts,
            description="What became of each.",
            headers=("Idempotent-Replayed",),
        ),
        summary="Issue the drafts of a re-pricing, each with its outcome",
        parameters=(RUN_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: repricing_issue.IssueRequest}),
    ),
    _ROWS.row(
        "GET",
        f"{_ONE}/items",
        items.list_repricing_items,
        Answer(
            description="A page of them; or all that are there, line by line.",
            shapes={
                JSON: PageOf(repricing_answer.RepricedItem),
                NDJSON: LinesOf(repricing_answer.RepricedItem, "items"),
                CSV: {"type": "string", "description": "A row an item (RFC 4180)."},
            },
        ),
        form="chosen",
        summary="The quotes of a re-pricing, as pages, lines of JSON or CSV",
        parameters=(RUN_ID, *PAGE, items.ONLY_PARAMETER),
        refuses=READS_STORED,
    ),
)
