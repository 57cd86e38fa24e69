"""The operations that quote: nothing they do is stored."""

from __future__ import annotations

from service.api.bodies import JSON, NDJSON
from service.api.operation import READS_STORED, Answer, AnyOf, ArrayOf, Body, Operation, json_answer
from service.api.v1.quotes.batch import MAX_ITEMS, quote_batch
from service.api.v1.quotes.batch_schema import ITEMS, LINE
from service.api.v1.quotes.calculated import compare_quotes, quote_walls
from service.operations.field.answer import FieldQuoteAnswer
from service.operations.field.comparison_answer import FieldComparisonAnswer
from service.operations.field.request import FieldComparisonRequest, FieldQuoteRequest
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.comparison_answer import ComparisonAnswer
from service.operations.quoting.comparison_request import ComparisonRequest
from service.operations.quoting.quote_request import QuoteRequest

TAG = "quotes"
_REQUEST = AnyOf((QuoteRequest, FieldQuoteRequest))
_ANSWER = AnyOf((QuoteAnswer, FieldQuoteAnswer))
_BY_SCOPE = "With prices by a key that has `quotes`; without a sum by one that has `field` alone."

OPERATIONS = (
    Operation(
        method="POST",
        path="/v1/quotes",
        handler=quote_walls,
        scopes=("field",),
        tag=TAG,
        summary="Quote walls: quantities, hours and price, with the arithmetic",
        body=Body(shapes={JSON: _REQUEST}),
        answers=(json_answer(_ANSWER, description=f"The quote. {_BY_SCOPE}"),),
        refuses=READS_STORED,
        example="straight_wall",
    ),
    Operation(
        method="POST",
        path="/v1/quotes/batch",
        handler=quote_batch,
        scopes=("field",),
        form="lines",
        tag=TAG,
        summary="Quote many requests: lines in, lines out, as they arrive",
        body=Body(
            shapes={NDJSON: _REQUEST, JSON: ArrayOf(_REQUEST, 1, MAX_ITEMS)},
            description="One request a line; the schema is that of a line. Or an array of them.",
        ),
        answers=(
            Answer(
                description="Lines, in the order of the requests; the schema is that of a line.",
                shapes={NDJSON: LINE},
            ),
            json_answer(
                ITEMS,
                status=207,
                description="The answers to an array, in its order; look at each `status`.",
            ),
        ),
    ),
    Operation(
        method="POST",
        path="/v1/comparisons",
        handler=compare_quotes,
        scopes=("field",),
        tag=TAG,
        summary="Hold a quote against other systems and sections, and heights that fit",
        body=Body(shapes={JSON: AnyOf((ComparisonRequest, FieldComparisonRequest))}),
        answers=(
            json_answer(
                AnyOf((ComparisonAnswer, FieldComparisonAnswer)),
                description=f"The comparison. {_BY_SCOPE}",
            ),
        ),
        refuses=READS_STORED,
    ),
)
