"""Production rates: who works, how long a unit of work takes, what makes it slower."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Literal, get_args

from service.core.measure import Dimension, Unit

Measured = Literal[
    "job",
    "walls",
    "wall_length",
    "base_length",
    "base_steps",
    "corners",
    "standard_units",
    "corner_units",
    "all_units",
    "base_course_units",
    "cap_units",
    "cap_length",
    "face_area",
    "exposed_area",
    "pay_face_area",
    "pad_area",
    "pad_volume",
    "drainage_volume",
    "core_fill_volume",
    "pipe_length",
    "outlets",
    "fabric_area",
    "delivered_mass",
    "cut_volume",
    "backfill_volume",
    "fill_volume",
    "haul_off_volume",
    "import_volume",
]
# The closed list of what work can be measured by; nets throughout, waste is not laid.
MEASURED: tuple[Measured, ...] = get_args(Measured)
MEASURED_DIMENSION: Mapping[Measured, Dimension] = MappingProxyType(
    {
        "wall_length": "length",
        "base_length": "length",
        "cap_length": "length",
        "pipe_length": "length",
        "face_area": "area",
        "exposed_area": "area",
        "pay_face_area": "area",
        "pad_area": "area",
        "fabric_area": "area",
        "pad_volume": "volume",
        "drainage_volume": "volume",
        "core_fill_volume": "volume",
        "cut_volume": "volume",
        "backfill_volume": "volume",
        "fill_volume": "volume",
        "haul_off_volume": "volume",
        "import_volume": "volume",
        "delivered_mass": "mass",
    }
)


def measured_dimension(measured: Measured) -> Dimension:
    """Dimension of a measured quantity; what isn't a length, area, volume or mass is a count."""
    return MEASURED_DIMENSION.get(measured, "count")


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """People who work together. `item` is what the price list calls an hour of one of them.

    `worked_share` is the part of a paid hour that is worked (0.83 for a 50-minute hour).
    `wage` x (1 + `burden`) is the cost of an hour where the price list has no `item`.
    """

    id: str
    title: str
    item: str
    size: int
    paid_hours_per_day: Decimal
    worked_share: Decimal
    wage: Decimal | None = None
    burden: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductionTask:
    """Person-hours per `unit` of a measured quantity; `conditions` name the factors that apply."""

    id: str
    title: str
    crew: str
    measured_by: Measured
    hours_per_unit: Decimal
    unit: Unit
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedHours:
    """Person-hours that don't depend on quantity: once per job, or on each day begun."""

    id: str
    title: str
    crew: str
    hours: Decimal
    per: Literal["job", "day"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A factor on hours by circumstance; `neutral` is the choice when none is made."""

    id: str
    title: str
    neutral: str
    choices: Mapping[str, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """One set of production rates. `currency` is that of the wages, where there are any."""

    id: str
    version: str
    title: str
    crews: tuple[Crew, ...]
    tasks: tuple[ProductionTask, ...]
    fixed: tuple[FixedHours, ...] = ()
    conditions: Mapping[str, Condition] = field(default_factory=lambda: MappingProxyType({}))
    currency: str | None = None
