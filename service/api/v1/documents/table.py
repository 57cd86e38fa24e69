"""The operations that put quotes on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import READS_STORED, STORES, Answer, Body, Operation, Shape
from service.api.parameters import IF_CHANGED, REVISION
from service.api.v1.saved_quotes.address import PREFIX, QUOTE_ID
from service.operations.paper.kinds import MEDIA_TYPES, Form

if TYPE_CHECKING:
    from service.api.v1.documents import made, parameters
    from service.operations.paper import document_request, quotation
else:
    made, parameters = late_modules("service.api.v1.documents", "made parameters")
    document_request, quotation = late_modules(
        "service.operations.paper", "document_request quotation"
    )

TAG = "documents"
_BYTES = {"type": "string", "format": "binary"}
_TEXT = {"type": "string"}
_TEXTS: tuple[Form, ...] = ("html", "xml", "csv", "svg")
# Clients that are generated take the first that they can read.
_SHAPES: dict[str, Shape] = {
    JSON: quotation.Quotation,
    **{of: _TEXT if form in _TEXTS else _BYTES for form, of in MEDIA_TYPES.items() if of != JSON},
}
_MADE = Answer(
    description="The document; which forms a kind has stands at `kind`.",
    shapes=_SHAPES,
    headers=("ETag",),
)

OPERATIONS = (
    Operation(
        method="POST",
        path="/v1/documents/{kind}",
        handler=made.make_document,
        scopes=("field", "quotes"),
        form="chosen",
        tag=TAG,
        summary="Put a quote on paper: quote, crew sheet, order, costs, drawings",
        parameters=(parameters.KIND, parameters.OPTIONS),
        body=Body(shapes={JSON: document_request.DocumentRequest}),
        answers=(Answer(description="The document.", shapes=_SHAPES),),
        refuses=(*READS_STORED, 409),
        example="customer_quote",
    ),
    Operation(
        method="GET",
        path=f"{PREFIX}/{{id}}/revisions/{{revision}}/documents/{{kind}}",
        handler=made.read_quote_document,
        scopes=("field", "quotes"),
        form="chosen",
        tag=TAG,
        summary="A saved quote on paper",
        parameters=(QUOTE_ID, REVISION, parameters.KIND, parameters.OPTIONS, IF_CHANGED),
        answers=(_MADE, Answer(status=304, description="The caller has it.", headers=("ETag",))),
        refuses=STORES,
    ),
)
