"""What is published as a revision of a price list: the whole list, or changes to the latest."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog import Catalog, DeliveryBody, ItemPriceBody, RevisionBody
from service.catalog.documents.price_list import MOST_ITEMS, MOST_SUPPLIERS
from service.core.job.price_list import ItemPrice
from service.core.job.section import Group
from service.core.price.price_changes import Adjustment, Change, Removal, Setting
from service.fields import (
    DecimalText,
    FactorText,
    Id,
    IsoDate,
    ListOf,
    LongText,
    PositiveDecimalText,
    ShortText,
    StrictModel,
    TableOf,
    refused,
)
from service.json_text import Bounds
from service.operations.ruled import RuledModel, read_document

MOST_CHANGES = 200
# A file may have more than fits into a body.
BOUNDS = Bounds(values=1_000_000, items=MOST_ITEMS)


class WholeRequest(RevisionBody):
    """A whole revision of a price list; what it leaves out is no longer sold."""

    title: ShortText | None = None
    note: LongText | None = None


class AdjustRequest(RuledModel):
    """Raise or lower unit costs by a factor or an amount.

    It holds for the items of a supplier, of a group and among `items`, as far as these are given;
    with none of them for all.
    """

    factor: FactorText | None = None
    amount: DecimalText | None = Field(None, description="May be negative.")
    supplier: ShortText | None = None
    group: Group | None = None
    items: Annotated[tuple[Id, ...], Field(strict=False, min_length=1, max_length=2000)] | None = (
        None
    )
    round_to: PositiveDecimalText | None = Field(
        None, description="The step to round to, half up; left out it is 0.000001."
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """One way to adjust at a time."""
        if ("factor" in document) == ("amount" in document):
            message = "adjust needs either a factor or an amount"
            yield refused("change-unclear", message, 'such as "factor": "1.04"')

    def to_core(self) -> Adjustment:
        """The core's adjustment."""
        given: dict[str, Any] = {} if self.round_to is None else {"round_to": self.round_to}
        return Adjustment(
            factor=Decimal(1) if self.factor is None else self.factor,
            amount=Decimal(0) if self.amount is None else self.amount,
            supplier=self.supplier,
            group=self.group,
            items=self.items,
            **given,
        )


class ChangeRequest(RuledModel):
    """One change: prices set, items removed, or prices adjusted."""

    set: TableOf[Id, ItemPriceBody] | None = Field(None, min_length=1, max_length=MOST_ITEMS)
    remove: Annotated[tuple[Id, ...], Field(strict=False, min_length=1, max_length=2000)] | None = (
        None
    )
    adjust: AdjustRequest | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """One thing at a time, so that their order is plain."""
        if len({"set", "remove", "adjust"} & document.keys()) != 1:
            message = "a change needs one of set, remove and adjust"
            yield refused("change-unclear", message, 'such as {"adjust": {"factor": "1.04"}}')

    def to_core(self) -> Change:
        """The core's change."""
        if self.adjust is not None:
            return self.adjust.to_core()
        if self.remove is not None:
            return Removal(items=self.remove)
        prices = self.set or {}
        return Setting(items={item: price.to_core() for item, price in prices.items()})


class ChangesRequest(StrictModel):
    """Changes to the latest revision, made one after the other.

    `title` and `delivery` stay as they were where they are left out.
    """

    changes: ListOf[ChangeRequest] = Field(strict=False, min_length=1, max_length=MOST_CHANGES)
    effective_from: IsoDate
    title: ShortText | None = None
    note: LongText | None = None
    delivery: TableOf[ShortText, DeliveryBody] | None = Field(None, max_length=MOST_SUPPLIERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionDraft:
    """What a revision says before it has a number. `delivery` is as it was written."""

    currency: str
    effective_from: date
    title: str | None = None
    note: str | None = None
    items: Mapping[str, ItemPrice] = field(default_factory=lambda: MappingProxyType({}))
    delivery: Mapping[str, Mapping[str, Any]] = field(default_factory=lambda: MappingProxyType({}))


def read_publication(document: object, catalog: Catalog) -> RevisionDraft | ChangesRequest:
    """A whole revision or changes, told apart by the key `changes`.

    Raises QuoteFaultsError with every fault of one pass.
    """
    if isinstance(document, Mapping) and "changes" in document:
        return read_document(ChangesRequest, document, catalog, BOUNDS)
    whole = read_document(WholeRequest, document, catalog, BOUNDS)
    return RevisionDraft(
        currency=whole.currency,
        effective_from=whole.effective_from,
        title=whole.title,
        note=whole.note,
        items={item: price.to_core() for item, price in sorted(whole.items.items())},
        delivery=delivery_of(document),
    )


def delivery_of(document: object) -> Mapping[str, Mapping[str, Any]]:
    """The delivery table of a sound document as it was written, measurements as text."""
    given = document.get("delivery", {}) if isinstance(document, Mapping) else {}
    return {supplier: _written(given[supplier]) for supplier in sorted(given)}


def _written(terms: Mapping[str, Any]) -> Mapping[str, Any]:
    weight = terms.get("load_weight")
    if not isinstance(weight, Mapping):
        return terms
    return {**terms, "load_weight": f"{weight['value']} {weight['unit']}"}
