"""Codes of units by UN/CEFACT Recommendation 20; packs by Recommendation 21, with an X before."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

UNIT_CODES: Mapping[str, str] = MappingProxyType(
    {
        "each": "H87",
        "in": "INH",
        "ft": "FOT",
        "yd": "YRD",
        "mm": "MMT",
        "cm": "CMT",
        "m": "MTR",
        "in2": "INK",
        "ft2": "FTK",
        "yd2": "YDK",
        "m2": "MTK",
        "ft3": "FTQ",
        "yd3": "YDQ",
        "m3": "MTQ",
        "lb": "LBR",
        "ton": "STN",
        "kg": "KGM",
        "t": "TNE",
        "h": "HUR",
        "day": "DAY",
        "load": "E54",
        "LS": "LS",
        "pallet": "XPX",
        "bag": "XBG",
        "roll": "XRO",
        "length": "H87",
        "pack": "XPK",
    }
)
