"""The operations of price lists: read, publish, import suppliers' files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON, MAX_FILE_BYTES
from service.api.late import late_modules
from service.api.operation import (
    CHANGES,
    Answer,
    AnyOf,
    Body,
    EntryOf,
    json_answer,
)
from service.api.parameters import (
    IDEMPOTENCY_KEY,
    IF_MATCH,
    IF_NONE,
    OTHER_REVISION,
    REVISION,
    REVISION_NUMBER,
)
from service.api.rows import Rows
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
_READING = Rows(TAG, "quotes", "prices")
_KEEPING = Rows(TAG, "prices")
_REVISIONS = f"{PREFIX}/{{id}}/revisions"
_MAPPING = f"{PREFIX}/{{id}}/column-mapping"
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
    _READING.reads(
        PREFIX,
        reads.list_price_lists,
        price_list_answer.PriceListPage,
        *PAGE,
        summary="List the price lists of the catalog and of the database",
    ),
    _READING.reads(
        _REVISIONS,
        reads.list_price_list_revisions,
        price_list_answer.RevisionPage,
        LIST_ID,
        *PAGE,
        summary="List the revisions of a price list",
    ),
    _KEEPING.stores(
        "POST",
        _REVISIONS,
        publishing.publish_price_list,
        json_answer(
            AnyOf((price_list_answer.PublishedRevision, publication_preview.PublicationPreview)),
            description="The latest revision says this already, or what publishing would "
            "change; nothing was stored.",
            headers=_PUBLISHED,
        ),
        _NEW,
        summary="Publish a revision: the whole list, or changes to the latest",
        parameters=(LIST_ID, publishing.MODE, *_WRITING),
        body=Body(
            shapes={
                JSON: AnyOf((price_list_request.WholeRequest, price_list_request.ChangesRequest))
            }
        ),
        refuses=CHANGES,
    ),
    _READING.reads(
        f"{_REVISIONS}/latest",
        reads.read_latest_price_list_revision,
        AnyOf((price_list_answer.PriceListRevision, EntryOf("price_lists"))),
        LIST_ID,
        reads.AS_OF,
        summary="Read the latest revision of a price list, or the one that holds on a day",
    ),
    _READING.reads(
        f"{_REVISIONS}/{{revision}}",
        reads.read_price_list_revision,
        AnyOf((price_list_answer.PriceListRevision, EntryOf("price_lists"))),
        LIST_ID,
        REVISION_NUMBER,
        summary="Read one revision of a price list",
    ),
    _READING.reads(
        f"{_REVISIONS}/{{revision}}/difference/{{other}}",
        reads.read_price_list_difference,
        price_list_answer.DifferenceAnswer,
        LIST_ID,
        REVISION,
        OTHER_REVISION,
        summary="Tell what leads from one revision to another",
    ),
)
_FILE_OPERATIONS = (
    _KEEPING.reads(
        _MAPPING,
        imports.read_column_mapping,
        column_mapping.ColumnMapping,
        LIST_ID,
        summary="Read how a supplier's file is read",
    ),
    _KEEPING.stores(
        "PUT",
        _MAPPING,
        imports.save_column_mapping,
        json_answer(
            column_mapping.ColumnMapping, description="In place of the old one.", headers=_SAVED
        ),
        json_answer(
            column_mapping.ColumnMapping,
            status=201,
            description="The first one.",
            headers=_SAVED,
        ),
        summary="Say how a supplier's file is read",
        parameters=(LIST_ID, *_WRITING),
        body=Body(shapes={JSON: column_mapping.ColumnMapping}),
        refuses=CHANGES,
    ),
    _KEEPING.stores(
        "POST",
        f"{PREFIX}/{{id}}/imports",
        imports.import_price_file,
        Answer(
            description="What importing would change; or, of a write, that latest says it already.",
            shapes={
                JSON: AnyOf((import_answer.ImportPreview, price_list_answer.PublishedRevision))
            },
            headers=_PUBLISHED,
        ),
        _NEW,
        summary="Import a supplier's file: preview what it would change, then write that",
        parameters=(LIST_ID, import_parameters.PARAMETERS, *_WRITING),
        body=Body(
            shapes=dict.fromkeys(MEDIA_TYPES, _FILE),
            most_bytes=MAX_FILE_BYTES,
        ),
        refuses=CHANGES,
    ),
)
OPERATIONS = _REVISION_OPERATIONS + _FILE_OPERATIONS
