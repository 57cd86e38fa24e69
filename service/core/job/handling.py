"""Work by hand, as a place takes it: the posture of a lift, the dust of concrete and stone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal, get_args

from service.core.closed_list import row_each
from service.core.job.lifting import METRIC, US, Lift, LiftConstants, weight_limit_kg
from service.core.rounding import CLOSE_SHARE

Constants = Literal["us", "metric"]
_CONSTANTS: Mapping[Constants, LiftConstants] = row_each(
    get_args(Constants), {"us": US, "metric": METRIC}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrequencyRow:
    """The multiplier of lifting up to `per_minute` times a minute."""

    per_minute: float
    multiplier: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """The lift that a place takes as usual, and the constants it is weighed with: those of one
    system, whatever the quote's units, so that the same unit always has the same index.

    `frequencies` rise; they are those of a day's lifting, over two hours. `per_minute` holds where
    no rate says how often units are lifted.
    """

    lift: Lift
    frequencies: tuple[FrequencyRow, ...]
    per_minute: float
    constants: Constants = "us"

    def limit_kg(self, per_minute: float) -> float:
        """The most that one person may lift so, so many times a minute all day, kg: by the first
        row that is lifted no oftener; 0 beyond the last one."""
        rows = [r for r in self.frequencies if per_minute <= r.per_minute * (1 + CLOSE_SHARE)]
        frequency = rows[0].multiplier if rows else 0.0
        lift = replace(self.lift, frequency=frequency)
        return weight_limit_kg(lift, _CONSTANTS[self.constants])


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
