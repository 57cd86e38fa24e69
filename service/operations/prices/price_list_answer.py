"""What reads and changes of price lists answer. Fields stand as they print."""

from __future__ import annotations

from typing import Annotated, Any

from msgspec import UNSET, Meta, Struct, UnsetType

from service.catalog.documents.price_list import MOST_ITEMS
from service.core.job.price_list import ItemPrice
from service.core.price.price_changes import ChangedPrice, PriceDifference
from service.operations.answer_figures import DECIMAL, Day, Digest, EntryId, Instant
from service.operations.prices.kept_revision import KeptDelivery, KeptPrice, KeptRevision

UnitCost = Annotated[
    str, Meta(pattern=r"^[0-9]+(\.[0-9]{1,6})?$", description="Cost of one `per`.")
]
Number = Annotated[int, Meta(ge=1, le=1_000_000_000)]
Text = Annotated[str, Meta(max_length=2000)]
Name = Annotated[str, Meta(max_length=200)]
LONGEST = 400
Said = Annotated[str, Meta(max_length=LONGEST)]
Etag = Annotated[str, Meta(max_length=70, description="For `If-Match`.")]


class ItemPriceAnswer(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Cost of one `per` of an item."""

    unit_cost: UnitCost
    per: Name
    description: Name | UnsetType = UNSET
    supplier: Name | UnsetType = UNSET
    group: Name | UnsetType = UNSET
    note: Text | UnsetType = UNSET
    stock: (
        Annotated[bool, Meta(description="Kept in stock: what is used is charged.")] | UnsetType
    ) = UNSET
    supplier_item: (
        Annotated[
            str, Meta(max_length=200, description="The number under which the supplier knows it.")
        ]
        | UnsetType
    ) = UNSET


class DeliveryAnswer(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What a supplier asks to bring what is ordered."""

    per_load: UnitCost
    load_weight: Name | UnsetType = UNSET
    load_pallets: int | UnsetType = UNSET
    minimum_order: UnitCost | UnsetType = UNSET
    below_minimum: UnitCost | UnsetType = UNSET
    pallet_deposit: UnitCost | UnsetType = UNSET
    lead_days: int | UnsetType = UNSET


class PriceListRevision(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One immutable revision of a price list that was published.

    `source_digest` is the SHA-256 of what it says, without id and number, each sum in the places of
    its currency.
    """

    id: EntryId
    revision: Number
    currency: Annotated[str, Meta(pattern="^[A-Z]{3}$")]
    effective_from: Day
    source_digest: Digest
    items: Annotated[dict[str, ItemPriceAnswer], Meta(max_length=MOST_ITEMS)]
    title: Name | UnsetType = UNSET
    note: Text | UnsetType = UNSET
    delivery: Annotated[dict[str, DeliveryAnswer], Meta(max_length=200)] | UnsetType = UNSET


class PublishedRevision(Struct, frozen=True, kw_only=True):
    """The revision that a publication made, or found to be there already (`new` false).

    `added`, `changed` and `removed` count items against the revision before.
    """

    id: EntryId
    revision: Number
    new: bool
    effective_from: Day
    items: int
    added: int
    changed: int
    removed: int
    source_digest: Digest
    etag: Etag


class RevisionSummary(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One revision without its items."""

    revision: Number
    currency: Annotated[str, Meta(pattern="^[A-Z]{3}$")]
    effective_from: Day
    items: int
    note: Text | UnsetType = UNSET
    source_digest: Digest | UnsetType = UNSET
    published_at: Instant | UnsetType = UNSET


class PriceListSummary(Struct, frozen=True, kw_only=True):
    """A price list and its newest revision. A list that is kept in a catalog `file` has the one
    revision of that file; one in the `database` can be published to."""

    id: EntryId
    kept_in: Annotated[str, Meta(pattern="^(file|database)$")]
    latest: RevisionSummary


class RevisionPage(Struct, frozen=True, kw_only=True):
    """A page of revisions, from the first."""

    items: Annotated[tuple[RevisionSummary, ...], Meta(max_length=200)]
    next: Annotated[str, Meta(max_length=400)] | None


class PriceListPage(Struct, frozen=True, kw_only=True):
    """A page of price lists, by id."""

    items: Annotated[tuple[PriceListSummary, ...], Meta(max_length=200)]
    next: Annotated[str, Meta(max_length=400)] | None


class ListedPrice(Struct, frozen=True, kw_only=True):
    """An item that one of two revisions has and the other has not."""

    item: EntryId
    unit_cost: UnitCost
    per: Name


class ChangedPriceAnswer(Struct, frozen=True, kw_only=True):
    """An item whose price or words differ. `change` is new less old per old `per`; `percent` is
    of the old cost. Both are null where the units can't be converted."""

    item: EntryId
    old: ItemPriceAnswer
    new: ItemPriceAnswer
    change: Annotated[str, Meta(pattern=DECIMAL)] | None
    percent: Annotated[str, Meta(pattern=DECIMAL)] | None


class DifferenceAnswer(Struct, frozen=True, kw_only=True):
    """What leads from one revision to another."""

    id: EntryId
    old: Number
    new: Number
    added: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_ITEMS)]
    removed: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_ITEMS)]
    changed: Annotated[tuple[ChangedPriceAnswer, ...], Meta(max_length=MOST_ITEMS)]


def revision_answer(kept: KeptRevision) -> PriceListRevision:
    """A kept revision as it is answered."""
    delivery = kept.delivery
    return PriceListRevision(
        id=kept.id,
        revision=kept.revision,
        currency=kept.currency,
        effective_from=kept.effective_from,
        source_digest=kept.source_digest,
        items={item: _price_answer(price) for item, price in kept.items.items()},
        title=kept.title,
        note=kept.note,
        delivery=UNSET
        if delivery is UNSET
        else {supplier: _delivery_answer(terms) for supplier, terms in delivery.items()},
    )


def to_item(price: ItemPrice) -> ItemPriceAnswer:
    """One price."""
    words = {
        "description": price.description,
        "supplier": price.supplier,
        "group": price.group,
        "note": price.note,
        "stock": price.stock,
        "supplier_item": price.supplier_item,
    }
    given: dict[str, Any] = {key: value for key, value in words.items() if value is not None}
    return ItemPriceAnswer(unit_cost=f"{price.unit_cost:f}", per=price.per, **given)


def from_difference(
    list_id: str, numbers: tuple[int, int], difference: PriceDifference
) -> DifferenceAnswer:
    """A difference between two revisions by their numbers."""
    return DifferenceAnswer(
        id=list_id,
        old=numbers[0],
        new=numbers[1],
        added=tuple(to_listed(item, price) for item, price in difference.added),
        removed=tuple(to_listed(item, price) for item, price in difference.removed),
        changed=tuple(to_changed(changed) for changed in difference.changed),
    )


def to_changed(changed: ChangedPrice) -> ChangedPriceAnswer:
    """One item whose price differs."""
    return ChangedPriceAnswer(
        item=changed.item,
        old=to_item(changed.old),
        new=to_item(changed.new),
        change=None if changed.change is None else f"{changed.change:f}",
        percent=None if changed.percent is None else f"{changed.percent:f}",
    )


def to_listed(item: str, price: ItemPrice) -> ListedPrice:
    """An item that one of two revisions has."""
    return ListedPrice(item=item, unit_cost=f"{price.unit_cost:f}", per=price.per)


def _price_answer(kept: KeptPrice) -> ItemPriceAnswer:
    return ItemPriceAnswer(
        unit_cost=kept.unit_cost,
        per=kept.per,
        description=kept.description,
        supplier=kept.supplier,
        group=kept.group,
        note=kept.note,
        stock=kept.stock,
        supplier_item=kept.supplier_item,
    )


def _delivery_answer(kept: KeptDelivery) -> DeliveryAnswer:
    return DeliveryAnswer(
        per_load=kept.per_load,
        load_weight=kept.load_weight,
        load_pallets=kept.load_pallets,
        minimum_order=kept.minimum_order,
        below_minimum=kept.below_minimum,
        pallet_deposit=kept.pallet_deposit,
        lead_days=kept.lead_days,
    )
