"""What stands above a wall, as a request names it."""

from __future__ import annotations

from pydantic import Field, ValidationInfo, field_validator

from service.catalog import Catalog
from service.core.job.spec import LoadAbove
from service.fields import NonNegativeLength, Slope, StrictModel, refused
from service.operations.quoting.known_ids import LoadId, catalog_of

MOST_ABOVE = 20


class LoadAboveRequest(StrictModel):
    """A word of the catalog's loads, and how far from the face of the wall it begins."""

    what: LoadId = Field(description="Such as lawn, patio, driveway; GET /v1/loads lists them.")
    from_: NonNegativeLength = Field(
        0.0, alias="from", description="From the face of the wall to where it begins."
    )
    slope: Slope | None = Field(
        None,
        validate_default=True,
        description="How steeply the ground rises from there: of a slope alone.",
    )

    @field_validator("slope")
    @classmethod
    def _of_a_slope(cls, value: float | None, info: ValidationInfo) -> float | None:
        """A slope says how steep it is, and nothing else does."""
        what = info.data.get("what")
        if what is None:
            return value
        sloped = catalog_of(info).loads[what].core.sloped
        if sloped and value is None:
            message = f"{what} needs its slope: how steeply the ground rises behind the level strip"
            raise refused("load-slope-missing", message, 'such as "slope": "3:1"')
        if not sloped and value is not None:
            message = f"{what} has no slope of its own"
            hint = 'the ground\'s as back_slope, or an entry of its own: "what": "slope"'
            raise refused("load-slope-unused", message, hint)
        if value is not None and value <= 0:
            message = "a slope above a wall rises from it"
            raise refused("load-slope-falls", message, 'rising: "3:1"; else leave it out')
        return value

    def to_core(self, catalog: Catalog) -> LoadAbove:
        """The core's load above a wall."""
        return catalog.loads[self.what].core.above(self.from_, self.slope or 0.0)
