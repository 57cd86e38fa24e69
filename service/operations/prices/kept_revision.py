"""A revision of a price list as it is kept, and back.

This is a format of storage. What is answered is made from it (price_list_answer.py), so an answer
can change while kept revisions stay what they are: fields are added with a default, never taken
away.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Any

import msgspec
from msgspec import UNSET, Struct, UnsetType

from service.catalog import DeliveryBody, minor_places
from service.core import rounding
from service.core.job.price_list import ItemPrice, PriceList
from service.operations.prices.price_list_request import RevisionDraft


class KeptPrice(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Cost of one `per` of an item, as decimal text."""

    unit_cost: str
    per: str
    description: str | UnsetType = UNSET
    supplier: str | UnsetType = UNSET
    group: str | UnsetType = UNSET
    note: str | UnsetType = UNSET
    stock: bool | UnsetType = UNSET
    supplier_item: str | UnsetType = UNSET


class KeptDelivery(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What a supplier asks to bring what is ordered; sums as decimal text."""

    per_load: str
    load_weight: str | UnsetType = UNSET
    load_pallets: int | UnsetType = UNSET
    minimum_order: str | UnsetType = UNSET
    below_minimum: str | UnsetType = UNSET
    pallet_deposit: str | UnsetType = UNSET
    lead_days: int | UnsetType = UNSET


class KeptRevision(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One revision. `source_digest` is the SHA-256 of what it says, without id and number, each sum
    in the places of its currency: 5 says what 5.00 says."""

    id: str
    revision: int
    currency: str
    effective_from: str
    source_digest: str
    items: dict[str, KeptPrice]
    title: str | UnsetType = UNSET
    note: str | UnsetType = UNSET
    delivery: dict[str, KeptDelivery] | UnsetType = UNSET


_SUMS = frozenset({"per_load", "minimum_order", "below_minimum", "pallet_deposit"})
_SORTED = msgspec.json.Encoder(order="sorted")
_DECODER = msgspec.json.Decoder(KeptRevision)


def to_kept(list_id: str, number: int, draft: RevisionDraft) -> KeptRevision:
    """A draft under its number."""
    unnumbered: dict[str, Any] = {
        "currency": draft.currency,
        "effective_from": draft.effective_from.isoformat(),
        "items": {item: _kept_price(price) for item, price in draft.items.items()},
        **({} if draft.title is None else {"title": draft.title}),
        **({} if draft.note is None else {"note": draft.note}),
        **({"delivery": _kept_delivery(draft)} if draft.delivery else {}),
    }
    return KeptRevision(
        id=list_id, revision=number, source_digest=_digest(unnumbered, draft), **unnumbered
    )


def _digest(said: dict[str, Any], draft: RevisionDraft) -> str:
    """The SHA-256 of what a draft says, however its sums are written."""
    places = minor_places(draft.currency)
    items = {
        item: _kept_price(replace(price, unit_cost=rounding.written(price.unit_cost, places)))
        for item, price in draft.items.items()
    }
    delivery = {
        name: {key: _in_places(key, value, places) for key, value in terms.items()}
        for name, terms in draft.delivery.items()
    }
    alike = {**said, "items": items, **({"delivery": delivery} if delivery else {})}
    return hashlib.sha256(_SORTED.encode(alike)).hexdigest()


def _in_places(key: str, value: object, places: int) -> object:
    """A term of delivery; a sum in the places of its currency."""
    if key not in _SUMS or not isinstance(value, str):
        return value
    return f"{rounding.written(Decimal(value), places):f}"


def encode_kept(revision: KeptRevision) -> bytes:
    """A revision as bytes."""
    return msgspec.json.encode(revision)


def decode_kept(content: bytes) -> KeptRevision:
    """A revision from its bytes again."""
    return _DECODER.decode(content)


def to_draft(kept: KeptRevision) -> RevisionDraft:
    """What a kept revision says."""
    delivery = {} if kept.delivery is UNSET else kept.delivery
    return RevisionDraft(
        currency=kept.currency,
        effective_from=date.fromisoformat(kept.effective_from),
        title=_said(kept.title),
        note=_said(kept.note),
        items={item: _to_price(price) for item, price in kept.items.items()},
        delivery={name: msgspec.to_builtins(terms) for name, terms in delivery.items()},
    )


def to_price_list(kept: KeptRevision) -> PriceList:
    """A kept revision as the core prices with it."""
    draft = to_draft(kept)
    return PriceList(
        id=kept.id,
        revision=kept.revision,
        currency=draft.currency,
        minor_places=minor_places(draft.currency),
        items=MappingProxyType(dict(draft.items)),
        delivery=MappingProxyType(
            {
                supplier: DeliveryBody.model_validate(terms).to_core()
                for supplier, terms in draft.delivery.items()
            }
        ),
        effective_from=draft.effective_from,
    )


def _kept_price(price: ItemPrice) -> KeptPrice:
    words = {
        "description": price.description,
        "supplier": price.supplier,
        "group": price.group,
        "note": price.note,
        "stock": price.stock,
        "supplier_item": price.supplier_item,
    }
    given: dict[str, Any] = {key: value for key, value in words.items() if value is not None}
    return KeptPrice(unit_cost=f"{price.unit_cost:f}", per=price.per, **given)


def _kept_delivery(draft: RevisionDraft) -> dict[str, KeptDelivery]:
    return {name: KeptDelivery(**terms) for name, terms in draft.delivery.items()}


def _to_price(kept: KeptPrice) -> ItemPrice:
    return ItemPrice(
        unit_cost=Decimal(kept.unit_cost),
        per=kept.per,
        description=_said(kept.description),
        supplier=_said(kept.supplier),
        group=_said(kept.group),
        note=_said(kept.note),
        stock=None if isinstance(kept.stock, UnsetType) else kept.stock,
        supplier_item=_said(kept.supplier_item),
    )


def _said(text: str | UnsetType) -> str | None:
    return None if isinstance(text, UnsetType) else text
