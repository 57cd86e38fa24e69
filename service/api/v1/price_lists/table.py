"""The operations of price lists: read, publish, import suppliers' files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON, MAX_FILE_BYTES
from service.api.late import late_modules
from service.api.operation import (
    CHANGES,
    READS_STORED,
    Answer,
    AnyOf,
    Body,
    EntryOf,
    Operation,
    Scope,
    json_answer,
)
from service.api.parameters import (
    IDEMPOTENCY_KEY,
    IF_CHANGED,
    IF_MATCH,
    IF_NONE,
    OTHER_REVISION,
    REVISION,
    REVISION_NUMBER,
    read_answers,
)
from service.api.v1.pages import PAGE
from service.api.v1.price_lists.address import LIST_ID, PREFIX
from service.api.v1.price_lists.import_parameters import MEDIA_TYPES

if TYPE_CHECKING:
    from service.api.v1.price_lists import import_parameters, imports, publishing, reads
    from service.operations.prices import (
        column_mapping,
        import_answer,
        price_list_answer,
        price_list_request,
        publication_preview,
    )
else:
    import_parameters, imports, publishing, reads = late_modules(
        "service.api.v1.price_lists", "import_parameters imports publishing reads"
    )
    column_mapping, import_answer, price_list_answer, price_list_request, publication_preview = (
        late_modules(
            "service.operations.prices",
            "column_mapping import_answer price_list_answer price_list_request publication_preview",
        )
    )

TAG = "prices"
_REVISIONS = f"{PREFIX}/{{id}}/revisions"
_MAPPING = f"{PREFIX}/{{id}}/column-mapping"
_READERS: tuple[Scope, ...] = ("quotes", "prices")
_WRITING = (IDEMPOTENCY_KEY, IF_MATCH, IF_NONE)
_PUBLISHED = ("ETag", "Location", "Idempotent-Replayed")
_SAVED = ("ETag", "Idempotent-Replayed")
_FILE = {"type": "string", "format": "binary", "maxLength": MAX_FILE_BYTES}
_NEW = json_answer(
    price_list_answer.PublishedRevision,
    status=201,
    description="A new revision.",
    headers=_PUBLISHED,
)

_REVISION_OPERATIONS = (
    Operation(
        method="GET",
        path=PREFIX,
        handler=reads.list_price_lists,
        scopes=_READERS,
        tag=TAG,
        summary="List the price lists of the catalog and of the database",
        parameters=(*PAGE, IF_CHANGED),
        answers=read_answers(price_list_answer.PriceListPage),
        refuses=READS_STORED,
    ),
    Operation(
        method="GET",
        path=_REVISIONS,
        handler=reads.list_price_list_revisions,
        scopes=_READERS,
        tag=TAG,
        summary="List the revisions of a price list",
        parameters=(LIST_ID, *PAGE, IF_CHANGED),
        answers=read_answers(price_list_answer.RevisionPage),
        refuses=READS_STORED,
    ),
    Operation(
        method="POST",
        path=_REVISIONS,
        handler=publishing.publish_price_list,
        scopes=("prices",),
        tag=TAG,
        summary="Publish a revision: the whole list, or changes to the latest",
        parameters=(LIST_ID, publishing.MODE, *_WRITING),
        body=Body(
            shapes={
                JSON: AnyOf((price_list_request.WholeRequest, price_list_request.ChangesRequest))
            }
        ),
        answers=(
            json_answer(
                AnyOf(
                    (price_list_answer.PublishedRevision, publication_preview.PublicationPreview)
                ),
                description="The latest revision says this already, or what publishing would "
                "change; nothing was stored.",
                headers=_PUBLISHED,
            ),
            _NEW,
        ),
        refuses=CHANGES,
    ),
    Operation(
        method="GET",
        path=f"{_REVISIONS}/latest",
        handler=reads.read_latest_price_list_revision,
        scopes=_READERS,
        tag=TAG,
        summary="Read the latest revision of a price list, or the one that holds on a day",
        parameters=(LIST_ID, reads.AS_OF, IF_CHANGED),
        answers=read_answers(AnyOf((price_list_answer.PriceListRevision, EntryOf("price_lists")))),
        refuses=READS_STORED,
    ),
    Operation(
        method="GET",
        path=f"{_REVISIONS}/{{revision}}",
        handler=reads.read_price_list_revision,
        scopes=_READERS,
        tag=TAG,
        summary="Read one revision of a price list",
        parameters=(LIST_ID, REVISION_NUMBER, IF_CHANGED),
        answers=read_answers(AnyOf((price_list_answer.PriceListRevision, EntryOf("price_lists")))),
        refuses=READS_STORED,
    ),
    Operation(
        method="GET",
        path=f"{_REVISIONS}/{{revision}}/difference/{{other}}",
        handler=reads.read_price_list_difference,
        scopes=_READERS,
        tag=TAG,
        summary="Tell what leads from one revision to another",
        parameters=(LIST_ID, REVISION, OTHER_REVISION, IF_CHANGED),
        answers=read_answers(price_list_answer.DifferenceAnswer),
        refuses=READS_STORED,
    ),
)
_FILE_OPERATIONS = (
    Operation(
        method="GET",
        path=_MAPPING,
        handler=imports.read_column_mapping,
        scopes=("prices",),
        tag=TAG,
        summary="Read how a supplier's file is read",
        parameters=(LIST_ID, IF_CHANGED),
        answers=read_answers(column_mapping.ColumnMapping),
        refuses=READS_STORED,
    ),
    Operation(
        method="PUT",
        path=_MAPPING,
        handler=imports.save_column_mapping,
        scopes=("prices",),
        tag=TAG,
        summary="Say how a supplier's file is read",
        parameters=(LIST_ID, *_WRITING),
        body=Body(shapes={JSON: column_mapping.ColumnMapping}),
        answers=(
            json_answer(
                column_mapping.ColumnMapping, description="In place of the old one.", headers=_SAVED
            ),
            json_answer(
                column_mapping.ColumnMapping,
                status=201,
                description="The first one.",
                headers=_SAVED,
            ),
        ),
        refuses=CHANGES,
    ),
    Operation(
        method="POST",
        path=f"{PREFIX}/{{id}}/imports",
        handler=imports.import_price_file,
        scopes=("prices",),
        tag=TAG,
        summary="Import a supplier's file: preview what it would change, then write that",
        parameters=(LIST_ID, import_parameters.PARAMETERS, *_WRITING),
        body=Body(
            shapes=dict.fromkeys(MEDIA_TYPES, _FILE),
            most_bytes=MAX_FILE_BYTES,
        ),
        answers=(
            Answer(
                description="What importing would change; or, of a write, that latest says it "
                "already.",
                shapes={
                    JSON: AnyOf((import_answer.ImportPreview, price_list_answer.PublishedRevision))
                },
                headers=_PUBLISHED,
            ),
            _NEW,
        ),
        refuses=CHANGES,
    ),
)
OPERATIONS = _REVISION_OPERATIONS + _FILE_OPERATIONS
