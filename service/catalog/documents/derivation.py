"""What a condition of production rates follows from where a request states no choice."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise
from types import MappingProxyType
from typing import Annotated

from pydantic import Field, field_validator

from service.catalog.documents.entry import SourcedTable
from service.core.job import factor as core
from service.core.job.site import Seen
from service.fields import Id, ListOf, PositiveLength, RatioText, StrictModel, TableOf, refused

MOST_MACHINES = 20
MOST_BANDS = 20
MOST_SIGNS = 20

Signs = Annotated[
    tuple[Seen, ...],
    Field(strict=False, min_length=1, max_length=MOST_SIGNS),
]


class ByAccessTable(SourcedTable):
    """Choice by the way to the wall, where a request states `access`."""

    machines: Annotated[tuple[Id, ...], Field(strict=False, min_length=1)] = Field(
        max_length=MOST_MACHINES, description="Those that move material, of this file."
    )
    machine: Id = Field(description="The choice where one of them passes.")
    wheeled: Id = Field(description="The choice where none passes.")
    carried: Id = Field(description="The choice where none passes and no wheelbarrow does.")
    wheeled_from: PositiveLength = Field(
        description="Width that a wheelbarrow needs; it takes no stairs."
    )

    @property
    def named(self) -> Iterator[tuple[str, str]]:
        """Each key that holds a choice, and the choice."""
        yield from (
            ("machine", self.machine),
            ("wheeled", self.wheeled),
            ("carried", self.carried),
        )

    def to_core(self) -> core.ByAccess:
        """The core's rule."""
        return core.ByAccess(
            machines=self.machines,
            machine=self.machine,
            wheeled=self.wheeled,
            carried=self.carried,
            wheeled_m=self.wheeled_from,
        )


class HeightBandTable(StrictModel):
    """Choice of a course by its underside over front grade; the first row that it doesn't pass."""

    up_to: PositiveLength | None = Field(
        None, description="Included; left out in the last row: any."
    )
    choice: Id

    def to_core(self) -> core.HeightBand:
        """The core's band."""
        return core.HeightBand(up_to_m=self.up_to, choice=self.choice)


class ByPlanTable(SourcedTable):
    """Choice by the plan of all walls; of two the one with the larger factor."""

    curved: Id = Field(description="The choice where enough of the plan is curved.")
    curved_share: RatioText = Field(description="From this share of the length in curves on.")
    cornered: Id = Field(description="The choice where there are enough corners.")
    corner_each: PositiveLength = Field(description="From one corner for each such length on.")

    @field_validator("curved_share")
    @classmethod
    def _some_is_curved(cls, value: Decimal) -> Decimal:
        """A share of 0 would call every wall curved."""
        if not value:
            raise refused("out-of-range", "must be more than 0", 'such as "0.25"')
        return value

    @property
    def named(self) -> Iterator[tuple[str, str]]:
        """Each key that holds a choice, and the choice."""
        yield from (("curved", self.curved), ("cornered", self.cornered))

    def to_core(self) -> core.ByPlan:
        """The core's rule."""
        return core.ByPlan(
            curved=self.curved,
            curved_share=self.curved_share,
            cornered=self.cornered,
            corner_each_m=self.corner_each,
        )


class BySeenTable(SourcedTable):
    """Choice by what was seen of water and on the site; of several the one with the largest
    factor."""

    signs: TableOf[Id, Signs] = Field(
        min_length=1, max_length=MOST_BANDS, description="By choice, what calls for it."
    )

    @property
    def named(self) -> Iterator[tuple[str, str]]:
        """Each key that holds a choice, and the choice."""
        yield from (("signs", choice) for choice in self.signs)

    def to_core(self) -> core.BySeen:
        """The core's rule."""
        return core.BySeen(signs=MappingProxyType(dict(self.signs)))


Bands = Annotated[ListOf[HeightBandTable], Field(strict=False, max_length=MOST_BANDS)]


def check_bands(bands: Bands) -> None:
    """Bands rise, and only the last one takes whatever is higher. Raises a refused value."""
    limits = [math.inf if band.up_to is None else band.up_to for band in bands]
    rising = all(below < above for below, above in pairwise(limits))
    if bands and not (rising and limits[-1] == math.inf):
        raise refused(
            "heights-not-rising",
            "rows rise by `up_to`, and only the last one has none",
            'such as "4 ft", "6 ft" and one without',
        )
