"""What is kept of a re-pricing's quotes: lines of JSON in a chunk, and its largest changes.

This is a format of storage. What is answered is made from it (repricing_answer.py), so an answer
can change while kept lines stay what they are: fields are added with a default, never taken away.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator
from typing import Literal

import msgspec
from msgspec import UNSET, Struct, UnsetType


class KeptGroup(Struct, frozen=True):
    """What the lines of one group cost before and after."""

    group: str
    old_cost: str
    new_cost: str
    change: str


class KeptProblem(Struct, frozen=True):
    """Why a quote could not be re-priced."""

    code: str
    status: int
    messages: tuple[str, ...]


class KeptWritten(Struct, frozen=True):
    """The revision that a write made of a quote; its digest, where its answer was made at once."""

    revision: int
    digest: str | UnsetType = UNSET


class KeptItem(Struct, frozen=True):
    """One quote of a re-pricing. Amounts are decimals as text."""

    outcome: Literal["changed", "unchanged", "failed"]
    quote: str | UnsetType = UNSET
    revision: int | UnsetType = UNSET
    digest: str | UnsetType = UNSET
    state: str | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    title: str | UnsetType = UNSET
    old_total: str | UnsetType = UNSET
    new_total: str | UnsetType = UNSET
    change: str | UnsetType = UNSET
    old_subtotal: str | UnsetType = UNSET
    new_subtotal: str | UnsetType = UNSET
    by_group: tuple[KeptGroup, ...] | UnsetType = UNSET
    old_margin: str | UnsetType | None = UNSET
    new_margin: str | UnsetType | None = UNSET
    margin_at_old_price: str | UnsetType | None = UNSET
    price_to_hold_margin: str | UnsetType | None = UNSET
    total_to_hold_margin: str | UnsetType | None = UNSET
    lost: str | UnsetType = UNSET
    under_margin: bool | UnsetType = UNSET
    kept_overrides: tuple[str, ...] | UnsetType = UNSET
    kept_draft: int | UnsetType = UNSET
    newer_terms: str | UnsetType = UNSET
    written: KeptWritten | UnsetType = UNSET
    problem: KeptProblem | UnsetType = UNSET


class KeptChange(Struct, frozen=True):
    """A quote among those of a chunk whose total changes most."""

    quote: str
    revision: int
    old_total: str
    new_total: str
    change: str
    reference: str | UnsetType = UNSET


class KeptUnder(Struct, frozen=True):
    """A price that is out and falls under the floor. Decimals as text, `lost` in minor units."""

    quote: str
    revision: int
    old_total: str
    old_subtotal: str
    margin_at_old_price: str
    lost: int
    reference: str | UnsetType = UNSET
    title: str | UnsetType = UNSET
    old_margin: str | UnsetType | None = UNSET
    price_to_hold_margin: str | UnsetType | None = UNSET
    total_to_hold_margin: str | UnsetType | None = UNSET


_ENCODER = msgspec.json.Encoder()
_ITEM = msgspec.json.Decoder(KeptItem)
_UNDER = msgspec.json.Decoder(tuple[KeptUnder, ...])
_CHANGES = msgspec.json.Decoder(tuple[KeptChange, ...])


def pack_items(items: Iterable[KeptItem]) -> bytes:
    """The items of a chunk as bytes."""
    return zlib.compress(b"".join(_ENCODER.encode(item) + b"\n" for item in items), 1)


def unpack_items(kept: bytes, start: int = 0) -> Iterator[KeptItem]:
    """The items of a chunk again, from a place on."""
    return map(_ITEM.decode, zlib.decompress(kept).splitlines()[start:])


def pack_changes(changes: Iterable[KeptChange]) -> bytes:
    """The largest changes of a chunk as bytes."""
    return _ENCODER.encode(tuple(changes))


def unpack_changes(kept: bytes) -> tuple[KeptChange, ...]:
    """The largest changes of a chunk again."""
    return _CHANGES.decode(kept)


def pack_under(under: Iterable[KeptUnder]) -> bytes:
    """The prices of a chunk that are out and under the floor as bytes."""
    return _ENCODER.encode(tuple(under))


def unpack_under(kept: bytes) -> tuple[KeptUnder, ...]:
    """The same again."""
    return _UNDER.decode(kept)
