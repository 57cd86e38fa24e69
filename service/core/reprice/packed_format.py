"""The form in which a quote's pricing is kept for bulk re-pricing: compact scaled integers.

One quote is a header, then its lines, then what few lines have: amounts in other units, prices of
their own, hired machines. Everything is little-endian and of fixed size, so that a thousand quotes
are read by joining their bytes. The codes below are part of the form, so they are written out here
and not taken from the lists of units, groups and kinds, which may change: a changed table is a new
`FORMAT`, and old quotes keep theirs.

Of a line's amounts the one in the very unit of the price counts, else one that can be converted to
it. Form 1 is read alike: it held no two amounts of which one can be converted to the other; forms 1
and 2 held neither weights nor pallets, which freight is counted by.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import blake2b

import numpy as np

from service.core.job.section import Group
from service.core.job.terms import Kind

FORMAT = 3
READ_FORMATS = (1, 2, 3)
WEIGHED_SINCE = 3

UNIT_CODES: tuple[str, ...] = (
    "in",
    "ft",
    "yd",
    "mm",
    "cm",
    "m",
    "in2",
    "ft2",
    "yd2",
    "m2",
    "ft3",
    "yd3",
    "m3",
    "lb",
    "ton",
    "kg",
    "t",
    "each",
    "h",
    "day",
    "load",
    "pack",
    "pallet",
    "bag",
    "roll",
    "length",
)
NO_UNIT = 31  # fits nothing
# No units: the weight of a line in kg, as the 64 bits of a float, its pallets, and that it comes
# from stock, so that nobody brings it.
MASS, PALLETS, STOCK = 30, 29, 28
GROUP_CODES: tuple[Group, ...] = (
    "units",
    "stone",
    "pipe",
    "fabric",
    "adhesive",
    "reinforcement",
    "earth",
    "site_work",
    "labor",
    "equipment",
    "delivery",
    "fees",
    "extras",
)
KIND_CODES: tuple[Kind, ...] = (
    "material",
    "labor",
    "equipment",
    "delivery",
    "disposal",
    "fee",
    "subcontract",
)
AMOUNTS: tuple[str, ...] = (
    "direct_cost",
    "overhead",
    "contingency",
    "profit",
    "discount",
    "added_to_reach_minimum",
    "subtotal",
    "tax",
    "total",
    "deposit",
)
"""Amounts of the roll-up in minor units, in the order in which they are kept."""

UNIT_COST_PLACES = 6
MARGIN_PLACES = 4
NO_MARGIN = -(2**31)
NO_LINE = 0xFFFF
MOST_PLACES = 9  # of an order's amount: lines with more go the ordinary way
LARGEST = 2**62

# Flags of a quote, and bases of its tax.
IRREGULAR = 1
PRICE_BASE, PURCHASE_BASE = 0, 1
# What a price of its own is to a line: used where the list has none, always, a sum as it stands, or
# always and naming who sells it.
WAGE, OVERRIDE, FIXED, NAMED_OVERRIDE = 0, 1, 2, 3

HEADER = np.dtype(
    [
        ("format", "u1"),
        ("flags", "u1"),
        ("places", "u1"),
        ("tax_base", "u1"),
        ("currency", "S3"),
        ("taxed_kinds", "u1"),
        ("lines", "<u2"),
        ("others", "<u2"),
        ("own_prices", "<u2"),
        ("hires", "<u2"),
        ("overhead", "<i8"),
        ("overhead_days", "<i8"),
        ("overhead_whole", "<i8"),
        ("contingency", "<i8"),
        ("contingency_whole", "<i8"),
        ("profit", "<i8"),
        ("profit_whole", "<i8"),
        ("discount", "<i8"),
        ("minimum_charge", "<i8"),
        ("tax", "<i8"),
        ("tax_whole", "<i8"),
        ("deposit", "<i8"),
        ("deposit_whole", "<i8"),
        ("amounts", "<i8", (len(AMOUNTS),)),
        ("margin", "<i4"),
        ("cost_by_group", "<i8", (len(GROUP_CODES),)),
    ]
)
"""Shares are kept as `part / whole`; `overhead_days` is the sum for crew days in the same parts."""

LINE = np.dtype(
    [
        ("item", "<u8"),
        ("amount", "<i8"),
        ("places", "u1"),
        ("unit", "u1"),
        ("group", "u1"),
        ("kind", "u1"),
        ("own_price", "<u2"),
        ("hired", "<u2"),
    ]
)
"""`own_price` counts from 1, 0 is none; the amount of a hired line depends on prices."""

OTHER = np.dtype([("line", "<u2"), ("unit", "u1"), ("places", "u1"), ("amount", "<i8")])
OWN_PRICE = np.dtype([("cost", "<i8"), ("per", "u1"), ("use", "u1")])
HIRE = np.dtype([("day_line", "<u2"), ("week_line", "<u2"), ("days", "<i4"), ("week_days", "<i4")])

COUNTED = ("lines", "others", "own_prices", "hires")
SECTIONS = (LINE, OTHER, OWN_PRICE, HIRE)


@lru_cache(maxsize=1 << 16)
def item_key(item: str) -> int:
    """64 bits that stand for an item: two of a price list's items never share them unnoticed, and
    by chance another item does once in 10^15 lists of thousands of items."""
    return int.from_bytes(blake2b(item.encode("ascii"), digest_size=8).digest(), "little")


def unit_code(per: str) -> int:
    """The code of a unit, a pack or a pack word; one that fits nothing for any other word."""
    return UNIT_CODES.index(per) if per in UNIT_CODES else NO_UNIT
