"""What work can be measured by: a closed list, one row each. Nets throughout, waste is not laid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from service.core.closed_list import row_each
from service.core.measure import Dimension

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
    "cuts",
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
    "reinforcement_area",
    "delivered_mass",
    "hand_strip_volume",
    "cut_volume",
    "backfill_volume",
    "machine_backfill_volume",
    "fill_volume",
    "haul_off_volume",
    "import_volume",
    "haul_off_loads",
    "import_loads",
    "topsoil_strip_volume",
    "topsoil_spread_volume",
    "disturbed_area",
    "finished_ground_area",
    "carried_mass",
    "carried_soil_volume",
    "protected_area",
]
MEASURED: tuple[Measured, ...] = get_args(Measured)
# Counts of units of one kind, whose weight is known before they are set.
WEIGHED: tuple[Measured, ...] = (
    "standard_units",
    "base_course_units",
    "corner_units",
    "cap_units",
)
# The steps of the calculation that measure: the takeoff of the walls, the earthwork, what goes
# over the way, and the backfill that the strip compacted by hand leaves for a machine.
Step = Literal["takeoff", "earthwork", "access", "machine_backfill"]


@dataclass(frozen=True, slots=True)
class MeasuredQuantity:
    """One quantity: its dimension, and the step that measures it."""

    dimension: Dimension
    step: Step


MEASURED_QUANTITIES: Mapping[Measured, MeasuredQuantity] = row_each(
    MEASURED,
    {
        "job": MeasuredQuantity("count", "takeoff"),
        "walls": MeasuredQuantity("count", "takeoff"),
        "wall_length": MeasuredQuantity("length", "takeoff"),
        "base_length": MeasuredQuantity("length", "takeoff"),
        "base_steps": MeasuredQuantity("count", "takeoff"),
        "corners": MeasuredQuantity("count", "takeoff"),
        "standard_units": MeasuredQuantity("count", "takeoff"),
        "corner_units": MeasuredQuantity("count", "takeoff"),
        "all_units": MeasuredQuantity("count", "takeoff"),
        "base_course_units": MeasuredQuantity("count", "takeoff"),
        "cap_units": MeasuredQuantity("count", "takeoff"),
        "cuts": MeasuredQuantity("count", "takeoff"),
        "cap_length": MeasuredQuantity("length", "takeoff"),
        "face_area": MeasuredQuantity("area", "takeoff"),
        "exposed_area": MeasuredQuantity("area", "takeoff"),
        "pay_face_area": MeasuredQuantity("area", "takeoff"),
        "pad_area": MeasuredQuantity("area", "takeoff"),
        "pad_volume": MeasuredQuantity("volume", "takeoff"),
        "drainage_volume": MeasuredQuantity("volume", "takeoff"),
        "core_fill_volume": MeasuredQuantity("volume", "takeoff"),
        "pipe_length": MeasuredQuantity("length", "takeoff"),
        "outlets": MeasuredQuantity("count", "takeoff"),
        "fabric_area": MeasuredQuantity("area", "takeoff"),
        "reinforcement_area": MeasuredQuantity("area", "takeoff"),
        "delivered_mass": MeasuredQuantity("mass", "takeoff"),
        "hand_strip_volume": MeasuredQuantity("volume", "takeoff"),
        "cut_volume": MeasuredQuantity("volume", "earthwork"),
        "backfill_volume": MeasuredQuantity("volume", "earthwork"),
        "machine_backfill_volume": MeasuredQuantity("volume", "machine_backfill"),
        "fill_volume": MeasuredQuantity("volume", "earthwork"),
        "haul_off_volume": MeasuredQuantity("volume", "earthwork"),
        "import_volume": MeasuredQuantity("volume", "earthwork"),
        "haul_off_loads": MeasuredQuantity("load", "earthwork"),
        "import_loads": MeasuredQuantity("load", "earthwork"),
        "topsoil_strip_volume": MeasuredQuantity("volume", "earthwork"),
        "topsoil_spread_volume": MeasuredQuantity("volume", "earthwork"),
        "disturbed_area": MeasuredQuantity("area", "earthwork"),
        "finished_ground_area": MeasuredQuantity("area", "earthwork"),
        "carried_mass": MeasuredQuantity("mass", "access"),
        "carried_soil_volume": MeasuredQuantity("volume", "access"),
        "protected_area": MeasuredQuantity("area", "access"),
    },
)


def measured_dimension(measured: Measured) -> Dimension:
    """Dimension of a measured quantity."""
    return MEASURED_QUANTITIES[measured].dimension


def measured_at(step: Step) -> tuple[Measured, ...]:
    """What a step measures, in the order of the list; its table is held against it."""
    return tuple(name for name, row in MEASURED_QUANTITIES.items() if row.step == step)
