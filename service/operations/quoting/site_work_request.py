"""A task of site work as a request writes it, and how it becomes the core's entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.core.closed_list import row_each
from service.core.job.site_task import SITE_MEASURED, SiteMeasured, SiteTask, SiteWorkEntry
from service.core.measure import number
from service.fields import JsonObject, Measured, Reader, ShortText, StrictModel, refused
from service.operations.quoting.known_ids import SiteTaskId
from service.units import found, nearest_writing

MOST_ENTRIES = 100
MOST_PIECES = 1_000_000

# Their units differ, so that a quantity says itself which of them it is.
_MEASURES = (
    Measured("length", "positive"),
    Measured("area", "positive"),
    Measured("volume", "positive"),
    Measured("mass", "positive"),
)
# How a task that is measured so is asked for, and how that is said.
_WORDS: Mapping[SiteMeasured, tuple[str, str]] = row_each(
    SITE_MEASURED,
    {
        "job": ("1, or leave it out", "once per job"),
        "length": ('"60 ft"', "by length"),
        "area": ('"450 ft2"', "by area"),
        "volume": ('"12 yd3"', "by volume"),
        "count": ("3", "by the piece"),
        "mass": ('"2 ton"', "by weight"),
    },
)


@dataclass(frozen=True, slots=True)
class Quantity:
    """How much is asked for: a count, or a measurement in SI; `text` is what was written."""

    dimension: str
    value: float
    text: str


@dataclass(frozen=True, slots=True)
class QuantityText(Reader):
    """A whole number of pieces, or a length, area, volume or weight with its unit."""

    def read(self, value: object) -> Quantity:
        """The quantity; what dimension it is of, its unit says."""
        if isinstance(value, int) and not isinstance(value, bool):
            if not 1 <= value <= MOST_PIECES:
                raise refused("out-of-range", f"{found(value)} is not from 1 to {MOST_PIECES}")
            return Quantity("count", float(value), found(value))
        for measure in _MEASURES:
            try:
                si = measure.read(value)
            except PydanticCustomError as error:
                if error.type == "measurement-out-of-range":
                    raise
            else:
                return Quantity(measure.dimension, si, _written(value))
        raise refused(
            "measurement-invalid", f"{_written(value)} is not a quantity", _right_writing(value)
        )

    def write(self, value: Quantity) -> str:
        """The quantity in SI, for messages."""
        return number(value.value)

    def schema(self) -> JsonObject:
        """Any of the forms."""
        count = {"type": "integer", "minimum": 1, "maximum": MOST_PIECES}
        measures = [form for measure in _MEASURES for form in measure.schema()["anyOf"]]
        return {
            "anyOf": [count, *measures],
            "description": (
                "In the dimension of the task: a length, area, volume or weight with its unit, "
                "more than 0; for tasks that are counted a whole number."
            ),
            "examples": ["60 ft", "450 ft2", 3],
        }


def _written(value: object) -> str:
    """What was written, as a message shows it."""
    if isinstance(value, Mapping) and {"value", "unit"} <= set(value):
        return found(f"{value['value']} {value['unit']}")
    return found(value)


def _right_writing(value: object) -> str:
    """The nearest right writing of what was written, or how quantities are written at all."""
    near = None
    if isinstance(value, str):
        near = nearest_writing(value, (measure.dimension for measure in _MEASURES))
    if near:
        return f'did you mean "{near}"?'
    return 'a whole number of pieces, or a measurement such as "60 ft" or "450 ft2"'


AnyQuantity = Annotated[Quantity, QuantityText()]


class SiteWorkRequest(StrictModel):
    """A task beside the walls: its id in the catalog, and how much of it."""

    task: SiteTaskId = Field(description="An id of GET /v1/site-work.")
    quantity: AnyQuantity | None = Field(
        None, validate_default=True, description="May be left out where a task is done once."
    )
    note: ShortText | None = Field(None, description="Where, or for what; stands in how.")

    @field_validator("quantity")
    @classmethod
    def _as_measured(cls, value: Quantity | None, info: ValidationInfo) -> Quantity | None:
        """The quantity is of the dimension in which the task is measured."""
        task = _task(info)
        if task is None or (value is not None and value.dimension == task.dimension):
            return value
        example, named = _WORDS[task.measured_by]
        if value is not None:
            message = f"{value.text} doesn't fit: {task.id} is measured {named}"
            raise refused("site-work-quantity-mismatch", message, f"such as {example}")
        if task.measured_by == "job":
            return value
        raise refused("field-missing", "is required", f"such as {example}")

    def to_core(self, catalog: Catalog) -> SiteWorkEntry:
        """The core's entry; a job without a quantity is done once."""
        return SiteWorkEntry(
            task=catalog.site_work[self.task].core,
            quantity=self.quantity.value if self.quantity else 1.0,
            note=self.note,
        )


def _task(info: ValidationInfo) -> SiteTask | None:
    """The task that is asked for, if the catalog has it."""
    name = info.data.get("task")
    context: Mapping[str, Any] = info.context or {}
    catalog: Catalog = context["catalog"]
    return catalog.site_work[name].core if name is not None else None
