"""The operations of price lists: read, publish, import suppliers' files."""

from __future__ import annotations

from service.api.bodies import JSON, MAX_FILE_BYTES
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
from service.api.v1.price_lists import imports, reads
from service.api.v1.price_lists.address import LIST_ID, PREFIX
from service.api.v1.price_lists.import_parameters import MEDIA_TYPES, PARAMETERS
from service.api.v1.price_lists.publishing import MODE, publish_price_list
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_answer import ImportPreview
from service.operations.prices.price_list_answer import (
    DifferenceAnswer,
    PriceListPage,
    PriceListRevision,
    PublishedRevision,
    RevisionPage,
)
from service.operations.prices.price_list_request import ChangesRequest, WholeRequest
from service.operations.prices.publication_preview import PublicationPreview

TAG = "prices"
_REVISIONS = f"{PREFIX}/{{id}}/revisions"
_MAPPING = f"{PREFIX}/{{id}}/column-mapping"
_READERS: tuple[Scope, ...] = ("quotes", "prices")
_WRITING = (IDEMPOTENCY_KEY, IF_MATCH, IF_NONE)
_PUBLISHED = ("ETag", "Location", "Idempotent-Replayed")
_SAVED = ("ETag", "Idempotent-Replayed")
_FILE = {"type": "string", "format": "binary", "maxLength": MAX_FILE_BYTES}
_NEW = json_answer(PublishedRevision, status=201, description="A new revision.", headers=_PUBLISHED)

_REVISION_OPERATIONS = (
    Operation(
        method="GET",
        path=PREFIX,
        handler=reads.list_price_lists,
        scopes=_READERS,
        tag=TAG,
        summary="List the price lists of the catalog and of the database",
        parameters=(*PAGE, IF_CHANGED),
        answers=read_answers(PriceListPage),
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
        answers=read_answers(RevisionPage),
        refuses=READS_STORED,
    ),
    Operation(
        method="POST",
        path=_REVISIONS,
        handler=publish_price_list,
        scopes=("prices",),
        tag=TAG,
        summary="Publish a revision: the whole list, or changes to the latest",
        parameters=(LIST_ID, MODE, *_WRITING),
        body=Body(shapes={JSON: AnyOf((WholeRequest, ChangesRequest))}),
        answers=(
            json_answer(
                AnyOf((PublishedRevision, PublicationPreview)),
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
        answers=read_answers(AnyOf((PriceListRevision, EntryOf("price_lists")))),
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
        answers=read_answers(AnyOf((PriceListRevision, EntryOf("price_lists")))),
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
        answers=read_answers(DifferenceAnswer),
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
        answers=read_answers(ColumnMapping),
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
        body=Body(shapes={JSON: ColumnMapping}),
        answers=(
            json_answer(ColumnMapping, description="In place of the old one.", headers=_SAVED),
            json_answer(ColumnMapping, status=201, description="The first one.", headers=_SAVED),
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
        parameters=(LIST_ID, *PARAMETERS, *_WRITING),
        body=Body(
            shapes=dict.fromkeys(MEDIA_TYPES, _FILE),
            most_bytes=MAX_FILE_BYTES,
        ),
        answers=(
            Answer(
                description="What importing would change; or, of a write, that latest says it "
                "already.",
                shapes={JSON: AnyOf((ImportPreview, PublishedRevision))},
                headers=_PUBLISHED,
            ),
            _NEW,
        ),
        refuses=CHANGES,
    ),
)
OPERATIONS = _REVISION_OPERATIONS + _FILE_OPERATIONS
