"""The operations of leads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import READS_STORED, STORES, Answer, Body, Operation, PageOf, json_answer
from service.api.parameters import IDEMPOTENCY_KEY, IF_CHANGED, read_answers
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
_ONE = f"{PREFIX}/{{id}}"
_NOTHING: dict[str, Any] = {"type": "object", "maxProperties": 0, "additionalProperties": False}

OPERATIONS = (
    Operation(
        method="GET",
        path=PREFIX,
        handler=kept.list_leads,
        scopes=("quotes",),
        tag=TAG,
        summary="What visitors of websites left, the newest first",
        parameters=(*PAGE, IF_CHANGED),
        answers=read_answers(PageOf(lead_answer.LeadAnswer)),
        refuses=(503, 507),
    ),
    Operation(
        method="GET",
        path=_ONE,
        handler=kept.read_one_lead,
        id="read_lead",
        scopes=("quotes",),
        tag=TAG,
        summary="What one visitor left",
        parameters=(LEAD_ID, IF_CHANGED),
        answers=read_answers(lead_answer.LeadAnswer),
        refuses=READS_STORED,
    ),
    Operation(
        method="DELETE",
        path=_ONE,
        handler=kept.delete_lead,
        scopes=("quotes",),
        tag=TAG,
        summary="Erase what a visitor left",
        parameters=(LEAD_ID,),
        answers=(Answer(status=204, description="Erased."),),
        refuses=STORES,
    ),
    Operation(
        method="POST",
        path=f"{_ONE}/quote",
        handler=kept.quote_lead,
        scopes=("quotes",),
        tag=TAG,
        summary="Make a saved quote of a lead, a draft",
        parameters=(LEAD_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: _NOTHING}, required=False),
        answers=(
            json_answer(
                saved_quote_answer.SavedQuoteAnswer,
                status=201,
                description="Kept.",
                headers=("ETag", "Idempotent-Replayed", "Location"),
            ),
        ),
        refuses=STORES,
    ),
)
