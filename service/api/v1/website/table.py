"""The operations of a website."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, get_args

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import STORES, AnyOf, Body, Operation, json_answer
from service.api.parameters import IDEMPOTENCY_KEY, IF_CHANGED, read_answers
from service.api.v1.website.languages import ACCEPT_LANGUAGE
from service.catalog.documents.website import LengthUnit

if TYPE_CHECKING:
    from service.api.v1.website import answered
    from service.operations.callers.website import range_answer, range_request
else:
    (answered,) = late_modules("service.api.v1.website", "answered")
    range_answer, range_request = late_modules(
        "service.operations.callers.website", "range_answer range_request"
    )

TAG = "website"
PREFIX = "/v1/website"
_SCHEMA: dict[str, Any] = {"type": "object", "description": "A flat JSON Schema 2020-12."}
_FORM: dict[str, Any] = {
    "type": "object",
    "required": ["language", "form_version", "schema", "layout", "defaults", "units"],
    "properties": {
        "language": {"type": "string"},
        "form_version": {"type": "integer", "minimum": 1},
        "schema": _SCHEMA,
        "layout": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["title", "part", "fields"],
                "properties": {
                    "title": {"type": "string"},
                    "part": {"type": "string", "x-words": ["answers", "lead"]},
                    "fields": {"type": "array", "items": {"type": "string"}},
                },
            },
        },
        "defaults": {"type": "object", "additionalProperties": {"type": "string"}},
        "units": {
            "type": "object",
            "description": "By field: the unit of a length that a visitor estimates.",
            "additionalProperties": {"type": "string", "x-words": list(get_args(LengthUnit))},
        },
        "lead_schema": _SCHEMA,
    },
}

OPERATIONS = (
    Operation(
        method="GET",
        path=f"{PREFIX}/form",
        handler=answered.read_website_form,
        scopes=("website",),
        tag=TAG,
        summary="What a website asks its visitors",
        parameters=(ACCEPT_LANGUAGE, IF_CHANGED),
        answers=read_answers(_FORM),
        refuses=(404,),
    ),
    Operation(
        method="POST",
        path=f"{PREFIX}/price-range",
        handler=answered.estimate_price_range,
        scopes=("website",),
        tag=TAG,
        summary="What a wall may cost, by what its owner knows of it",
        parameters=(ACCEPT_LANGUAGE, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: range_request.PriceRangeRequest}),
        answers=(
            json_answer(
                AnyOf((range_answer.RangeAnswer, range_answer.VisitAnswer)),
                description="A range, or the reasons of a visit.",
                headers=("Idempotent-Replayed",),
            ),
        ),
        refuses=(*STORES, 404),
        example="low_wall",
        counted=True,
    ),
)
