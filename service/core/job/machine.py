"""Machines and trucks: what they cost, where they fit, what they compact or carry, how long they
take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.core.fraction import Fraction
from service.core.job.soil import SoilKind

# No machine stands about for longer.
MOST_IDLE_DAYS = 365
# What a machine needs beside its width where its file says nothing: 6 in, a driver sits in it.
DEFAULT_CLEARANCE_M = 0.1524


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned:
    """A machine of one's own: `item` is priced per hour (or per day, or per load), `day_item` per
    day for which it is there; None: there is no such price, and one of the two there is."""

    item: str | None = None
    day_item: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hired:
    """A machine hired from the first to the last day of need.

    `day_item` is priced per day; `week_item`, where there is one, per piece: a week, which covers
    `week_days` days of need. `idle_days` are days on which it stands between uses.
    """

    day_item: str
    week_item: str | None = None
    week_days: int = 5
    idle_days: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Compaction:
    """How a machine compacts: the thickest loose layer by kind of soil (a kind that is left out it
    can't compact), `width_m` of a pass, meters of `travel` a minute, passes over each layer, and
    the `efficiency` of its hour."""

    layers_m: Mapping[SoilKind, float]
    width_m: float
    travel_m_per_minute: float
    passes: int
    efficiency: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine. A machine without `width_m` needs no way to the wall: it stays outside, or
    people carry it.

    `clearance_m` is what it needs beside its width in a passage; with `width_drawn_in_m` it goes
    through one so wide, its tracks drawn in.

    `weight_kg` is that of the machine ready to work, `rated_load_kg` what it may lift or carry.
    `operator` is the crew whose people run it; None: it comes with its operator, or needs none.
    `delivery_item` and `pick_up_item` are priced each, `fuel_item` per hour of the machine.
    """

    id: str
    title: str
    cost: Owned | Hired
    hours_per_day: Decimal = Decimal(8)
    width_m: float | None = None
    width_drawn_in_m: float | None = None
    clearance_m: float = DEFAULT_CLEARANCE_M
    weight_kg: float | None = None
    rated_load_kg: float | None = None
    operator: str | None = None
    delivery_item: str | None = None
    pick_up_item: str | None = None
    fuel_item: str | None = None
    compaction: Compaction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCost:
    """What a machine counts as: each of its hours, each day that it is there, and each time that
    it is brought and taken away again."""

    hour: Decimal = Decimal(0)
    day: Decimal = Decimal(0)
    delivery: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChooseBy:
    """Costs by which the machines of a job are chosen, and by nothing else: of every machine of
    the rates, and of a day of every crew. Prices stand in the price list."""

    machines: Mapping[str, MachineCost]
    crew_days: Mapping[str, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrying:
    """What the way from the truck to the wall counts as.

    A foot of rise counts as `per_rise` feet of level way, a step of stairs as `per_step_m`;
    `included_m` of the way are in the hours of the other tasks already.
    """

    included_m: float = 0.0
    per_rise: Decimal = Decimal(0)
    per_step_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HandStrip:
    """The strip behind the units that no machine may enter: `width_m` of it is compacted by hand
    (common practice: 6 to 12 in)."""

    width_m: float


NO_CARRYING = Carrying()


@dataclass(frozen=True, slots=True, kw_only=True)
class Truck:
    """What one load holds: a loose volume and a payload."""

    volume_m3: float
    payload_kg: float
