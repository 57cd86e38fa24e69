"""Dust of concrete and stone: what makes it, and what a place asks for against it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from service.core.closed_list import row_each

DustTool = Literal["wet_saw", "handheld_saw", "walk_behind_saw", "breaker", "machine_breaker"]
# Tools that make dust of concrete or stone, as the silica rule tells them apart.
DUST_TOOLS: tuple[DustTool, ...] = get_args(DustTool)
DUST_TOOL_TITLES: Mapping[DustTool, str] = row_each(
    DUST_TOOLS,
    {
        "wet_saw": "Masonry saw on a stand",
        "handheld_saw": "Handheld saw",
        "walk_behind_saw": "Walk-behind saw",
        "breaker": "Handheld breaker",
        "machine_breaker": "Breaker on a machine",
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DustControl:
    """What a place asks for with one tool: how dust is kept down, and from how many hours of it in
    a shift on a respirator of which assigned protection factor (None: none is asked for)."""

    control: str
    respirator_over_h: Decimal | None = None
    protection: int | None = None
