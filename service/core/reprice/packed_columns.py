"""Many packed quotes side by side, as columns, and a price list made ready for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.core.fraction import Fraction
from service.core.job.price_list import ItemPrice, PriceList
from service.core.measure import UNITS
from service.core.reprice import packed_format as form
from service.core.reprice.freight_columns import FreightColumns, freight_columns
from service.core.reprice.packed_header import Records

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
_BYTE = 256
_SLOT_BITS = 16
_SLOT_SHIFT = np.uint64(64 - _SLOT_BITS)
_FITS_NOTHING = (0, form.NO_UNIT, False)  # cost, unit, whether it is kept in stock


class PackedFormatError(ValueError):
    """Bytes that no version of this service packed, or a version that came after."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PackedColumns:
    """Packed quotes as columns. `quote` gives each line its quote, `start` each quote its first
    line; `segment` begins a group of a quote, of number `segment_group`."""

    quotes: Records
    lines: Records
    others: Records
    other_line: Ints
    own_prices: Records
    own_price: Ints
    hires: Records
    day_line: Ints
    week_line: Ints
    quote: Ints
    start: Ints
    segment: Ints
    segment_group: Ints


def read_columns(packed: Sequence[bytes]) -> PackedColumns:
    """Packed quotes, unpacked side by side.

    Raises PackedFormatError.
    """
    size = form.HEADER.itemsize
    headers = b"".join([piece[:size] for piece in packed])
    if len(headers) != size * len(packed):
        raise PackedFormatError
    quotes = np.frombuffer(headers, form.HEADER)
    if not np.isin(quotes["format"], form.READ_FORMATS).all():
        raise PackedFormatError
    counts = {name: quotes[name].astype(np.int64) for name in form.COUNTED}
    lines, others, own_prices, hires = _sections(packed, counts)
    start = _starts(counts["lines"])
    quote = np.repeat(np.arange(len(packed), dtype=np.int64), counts["lines"])
    group = lines["group"].astype(np.int64)
    place = quote * len(form.GROUP_CODES) + group
    segment = np.flatnonzero(np.diff(place, prepend=-1))
    week = hires["week_line"].astype(np.int64)
    hire_start = np.repeat(start, counts["hires"])
    own = lines["own_price"].astype(np.int64) - 1
    own_start = np.repeat(_starts(counts["own_prices"]), counts["lines"])
    return PackedColumns(
        quotes=quotes,
        lines=lines,
        others=others,
        other_line=others["line"] + np.repeat(start, counts["others"]),
        own_prices=own_prices,
        own_price=np.where(own < 0, -1, own + own_start),
        hires=hires,
        day_line=hires["day_line"] + hire_start,
        week_line=np.where(week == form.NO_LINE, -1, week + hire_start),
        quote=quote,
        start=start,
        segment=segment,
        segment_group=group[segment],
    )


def _sections(packed: Sequence[bytes], counts: dict[str, Ints]) -> list[Records]:
    """Each section of all quotes, joined."""
    at = np.full(len(packed), form.HEADER.itemsize, dtype=np.int64)
    sections = []
    for name, kind in zip(form.COUNTED, form.SECTIONS, strict=True):
        end = at + counts[name] * kind.itemsize
        slices = zip(packed, at.tolist(), end.tolist(), strict=True)
        joined = b"".join([piece[one:other] for piece, one, other in slices])
        if len(joined) != int(counts[name].sum()) * kind.itemsize:
            raise PackedFormatError
        sections.append(np.frombuffer(joined, kind))
        at = end
    return sections


def _starts(counts: Ints) -> Ints:
    return np.cumsum(counts) - counts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceColumns:
    """A price list by item: sorted keys, unit costs in millionths, what they are per. `slot` gives
    the place of a key by its first bits, where no other key has taken it. `stock`: the list says
    that the item is kept in stock, so that quotes with it go the ordinary way. `freight`: suppliers
    charge for delivery, None where nobody does."""

    currency: str
    places: int
    keys: NDArray[np.uint64]
    cost: Ints
    per: NDArray[np.uint8]
    stock: Bools
    slot: NDArray[np.int32]
    freight: FreightColumns | None

    def find(self, keys: NDArray[np.uint64]) -> tuple[Ints, Bools]:
        """Where each key stands, and whether it does: by its slot, the few others by search."""
        if not len(self.keys):
            return np.zeros(len(keys), np.int64), np.zeros(len(keys), np.bool_)
        at = self.slot[keys >> _SLOT_SHIFT].astype(np.int64)
        found = self.keys[at] == keys
        others = np.flatnonzero(~found)
        if len(others):
            searched = np.searchsorted(self.keys, keys[others])
            at[others] = np.minimum(searched, len(self.keys) - 1)
            found[others] = self.keys[at[others]] == keys[others]
        return at, found


def price_columns(prices: PriceList) -> PriceColumns:
    """A price list made ready; an item that two keys would share fits nothing here."""
    held: dict[int, tuple[int, int, bool]] = {}
    for item, price in prices.items.items():
        key = form.item_key(item)
        held[key] = _FITS_NOTHING if key in held else _priced(price)
    keys = np.array(sorted(held), np.uint64)
    slot = np.zeros(1 << _SLOT_BITS, np.int32)
    slot[keys >> _SLOT_SHIFT] = np.arange(len(keys))
    return PriceColumns(
        currency=prices.currency,
        places=prices.minor_places,
        keys=keys,
        cost=np.array([held[key][0] for key in keys.tolist()], np.int64),
        per=np.array([held[key][1] for key in keys.tolist()], np.uint8),
        stock=np.array([held[key][2] for key in keys.tolist()], np.bool_),
        slot=slot,
        freight=freight_columns(prices, keys.tolist()),
    )


def _priced(price: ItemPrice) -> tuple[int, int, bool]:
    """Cost, unit, whether it is kept in stock; a cost finer than a millionth fits nothing, so that
    it goes the ordinary way."""
    scaled = Fraction(price.unit_cost) * 10**form.UNIT_COST_PLACES
    if scaled.denominator != 1 or scaled >= form.LARGEST:
        return _FITS_NOTHING
    return scaled.numerator, form.unit_code(price.per), bool(price.stock)


def ratios(unit: NDArray[np.uint8], other: Ints) -> tuple[Ints, Ints]:
    """How much of other units one of these is, by their codes, of a byte each: part / whole, 0 / 0
    where it can't be converted."""
    pair = unit.astype(np.int64)
    pair *= _BYTE
    pair += other
    return _PARTS.take(pair), _WHOLES.take(pair)


def _every_ratio() -> tuple[Ints, Ints]:
    """Part and whole of every pair of units."""
    parts = np.zeros((_BYTE, _BYTE), np.int64)
    wholes = np.zeros((_BYTE, _BYTE), np.int64)
    for row, one in enumerate(form.UNIT_CODES):
        for column, other in enumerate(form.UNIT_CODES):
            parts[row, column], wholes[row, column] = unit_ratio(one, other)
    return parts.ravel(), wholes.ravel()


def unit_ratio(one: str, other: str) -> tuple[int, int]:
    """How much of another unit one is, as part and whole; 0 and 0 where it can't be converted."""
    if one == other:
        return 1, 1
    a, b = UNITS.get(one), UNITS.get(other)
    if a is None or b is None or a.dimension != b.dimension:
        return 0, 0
    ratio = Fraction(a.si) / Fraction(b.si)
    return ratio.numerator, ratio.denominator


_PARTS, _WHOLES = _every_ratio()
