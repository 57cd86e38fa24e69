"""The operations of leads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import Answer, Body, PageOf, json_answer
from service.api.parameters import IDEMPOTENCY_KEY
from service.api.rows import Rows
from service.api.v1.leads.address import LEAD_ID, PREFIX
from service.api.v1.pages import PAGE

if TYPE_CHECKING:
    from service.api.v1.leads import kept
    from service.operations.callers.website import lead_answer
    from service.operations.saved import saved_quote_answer
else:
    (kept,) = late_modules("service.api.v1.leads", "kept")
    (lead_answer,) = late_modules("service.operations.callers.website", "lead_answer")
    (saved_quote_answer,) = late_modules("service.operations.saved", "saved_quote_answer")

TAG = "leads"
_ROWS = Rows(TAG, "quotes")
_ONE = f"{PREFIX}/{{id}}"
_NOTHING: dict[str, Any] = {"type": "object", "maxProperties": 0, "additionalProperties": False}

OPERATIONS = (
    _ROWS.reads(
        PREFIX,
        kept.list_leads,
        PageOf(lead_answer.LeadAnswer),
        *PAGE,
        summary="What visitors of websites left, the newest first",
        refuses=(503, 507),
    ),
    _ROWS.reads(
        _ONE,
        kept.read_one_lead,
        lead_answer.LeadAnswer,
        LEAD_ID,
        id="read_lead",
        summary="What one visitor left",
    ),
    _ROWS.stores(
        "DELETE",
        _ONE,
        kept.delete_lead,
        Answer(status=204, description="Erased."),
        summary="Erase what a visitor left",
        parameters=(LEAD_ID,),
    ),
    _ROWS.stores(
        "POST",
        f"{_ONE}/quote",
        kept.quote_lead,
        json_answer(
            saved_quote_answer.SavedQuoteAnswer,
            status=201,
            description="Kept.",
            headers=("ETag", "Idempotent-Replayed", "Location"),
        ),
        summary="Make a saved quote of a lead, a draft",
        parameters=(LEAD_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: _NOTHING}, required=False),
    ),
)
