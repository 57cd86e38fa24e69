"""How a supplier's file is read: which column holds what, and what its words mean."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Literal

import msgspec
from pydantic import Field

from service.catalog import Catalog, CurrencyCode, PricedPer
from service.core.job.section import Group
from service.fields import Id, PositiveDecimalText, ShortText, StrictModel, TableOf
from service.json_text import Bounds
from service.operations.conditions import (
    ConditionFailedError,
    Conditions,
    content_digest,
    etag_of,
)
from service.operations.idempotent import Outcome, StoredOutcome, run_once
from service.operations.prices.csv_file import Encoding
from service.operations.prices.price_lists import refuse_file
from service.operations.ruled import read_document
from service.operations.stored_refusals import PriceListMissingError
from service.storage import Connection, Store
from service.storage import price_lists as rows
from service.storage.events import record
from service.storage.idempotency import KeyedCall
from service.storage.price_lists import StoredContent

MOST_WORDS = 20_000
BOUNDS = Bounds(values=3 * MOST_WORDS, items=MOST_WORDS)
Header = ShortText
DecimalMark = Literal["point", "comma"]
Thousands = Literal["none", "comma", "point", "space", "apostrophe"]


class ColumnsBody(StrictModel):
    """Headings of the columns, in any order; capitals, line ends and double spaces don't matter."""

    item: Header = "item"
    unit_cost: Header = "unit_cost"
    per: Header = "per"
    pack: Header = Field("pack", description="For how many `per` the cost is; empty says one.")
    description: Header = "description"
    currency: Header = "currency"
    supplier: Header = "supplier"
    group: Header = "group"
    note: Header = "note"


class DefaultsBody(StrictModel):
    """What holds for each row where its column is missing or its cell is empty."""

    per: PricedPer | None = None
    currency: CurrencyCode | None = None
    supplier: ShortText | None = None
    group: Group | None = None


class UnitBody(StrictModel):
    """What a supplier's unit of sale is: `CWT` is 100 lb. A word is read in its own case."""

    per: PricedPer
    count: PositiveDecimalText = Decimal(1)


class ColumnMapping(StrictModel):
    """How a supplier's file is read. All of it may be left out: then the columns are called like
    the keys of a price, and items by their ids."""

    sheet: ShortText | None = Field(
        None, description="Sheet of a workbook; left out where only one is shown and filled."
    )
    header_row: Annotated[int, Field(ge=1, le=1000)] = Field(
        1, description="The row with the headings; what stands above is passed over."
    )
    header_rows: Annotated[int, Field(ge=1, le=5)] = Field(
        1,
        description="How many rows the headings take, `header_row` the last of them; what stands "
        "in a column is joined by spaces.",
    )
    delimiter: Literal[",", ";", "\t", "|"] = ","
    encoding: Encoding = Field(
        "utf-8", description="Of a CSV file; a mark at its beginning goes before it."
    )
    decimal: DecimalMark = "point"
    thousands: Thousands = Field("none", description="What stands between thousands.")
    columns: ColumnsBody = Field(default_factory=ColumnsBody)
    defaults: DefaultsBody = Field(default_factory=DefaultsBody)
    units: TableOf[ShortText, UnitBody] = Field(
        default_factory=dict,
        max_length=500,
        description="Units of sale by the supplier's word, in its own case.",
    )
    items: dict[ShortText, Id] = Field(
        default_factory=dict,
        max_length=MOST_WORDS,
        description="Items by the supplier's article number, which is kept as `supplier_item`.",
    )
    unknown_items: Literal["refuse", "skip", "add"] = Field(
        "refuse", description="What becomes of a row whose item is not known."
    )
    without_item: Literal["refuse", "skip"] = Field(
        "refuse", description="What becomes of a row without an item, such as a total."
    )
    on_duplicate: Literal["fault", "first", "last"] = Field(
        "fault",
        description="Which row holds where an item stands in two rows with two prices; with one "
        "price the rows are one.",
    )
    hidden: Literal["refuse", "skip", "read"] = Field(
        "refuse", description="What becomes of rows and columns that a workbook hides."
    )
    absent_items: Literal["keep", "remove"] = Field(
        "keep",
        description="Whether items of the file's suppliers that it doesn't name stay in the list. "
        "`remove` needs a supplier in each row, and no row passed over.",
    )


def read_mapping(document: object, catalog: Catalog) -> ColumnMapping:
    """A column mapping as it was sent. Raises QuoteFaultsError."""
    return read_document(ColumnMapping, document, catalog, BOUNDS)


def save_mapping(
    store: Store,
    catalog: Catalog,
    list_id: str,
    document: object,
    conditions: Conditions,
    call: KeyedCall | None,
) -> StoredOutcome:
    """Save the mapping of a list's files, in the place of the one that `conditions` name.

    Raises QuoteFaultsError, PriceListFixedError, ConditionMissingError, ConditionFailedError.
    """
    refuse_file(catalog, list_id)
    read_mapping(document, catalog)
    content = msgspec.json.encode(document)
    mapping = StoredContent(content=content, content_digest=content_digest(content))

    def work(connection: Connection) -> Outcome:
        before = rows.find_mapping(connection, list_id)
        digest = None if before is None else before.content_digest
        conditions.check(None if digest is None else etag_of(digest))
        if not rows.save_mapping(connection, list_id, mapping, before=digest, now=store.now()):
            raise ConditionFailedError(None)
        if digest != mapping.content_digest:
            links = {"mapping": f"/v1/price-lists/{list_id}/column-mapping"}
            data = {"price_list": list_id, "links": links}
            record(connection, "mapping.changed", data, now=store.now(), subject=list_id)
        headers = {"ETag": etag_of(mapping.content_digest)}
        return Outcome(status=201 if before is None else 200, body=content, headers=headers)

    return run_once(store, call, work)


def saved_mapping(store: Store, list_id: str) -> StoredContent:
    """The mapping that was saved for a list. Raises PriceListMissingError."""
    with store.read() as connection:
        found = rows.find_mapping(connection, list_id)
    if found is None:
        raise PriceListMissingError(
            "unknown-column-mapping", f"no column mapping is saved for price list {list_id}"
        )
    return found


def mapping_for(store: Store, catalog: Catalog, list_id: str) -> ColumnMapping:
    """The saved mapping of a list, or the one that holds where none was saved."""
    with store.read() as connection:
        found = rows.find_mapping(connection, list_id)
    document: Mapping[str, object] = {} if found is None else msgspec.json.decode(found.content)
    return read_mapping(document, catalog)
