"""The way to the wall as a request writes it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from service.core.job.access import Access, Drop
from service.fields import (
    Area,
    Length,
    Mass,
    NonNegativeLength,
    PositiveLength,
    ShortText,
    StrictModel,
)

MOST_STEPS = 500
Stairs = Annotated[int, Field(ge=0, le=MOST_STEPS)]


class AccessRequest(StrictModel):
    """The way from where the truck drops to the wall. What is left out nobody said: a machine is
    asked only for what is known."""

    distance: NonNegativeLength = Field(description="From where the truck drops to the wall.")
    narrowest_passage: PositiveLength | None = Field(
        None, description="Width of the narrowest gate or gap."
    )
    rise: Length = Field(0.0, description="How far the way climbs; negative where it falls.")
    stairs: Stairs = Field(0, description="Steps on the way: no machine climbs them.")
    truck_drops: Drop | None = Field(None, description="Where the truck may set its load down.")
    crane_truck: bool = Field(
        False, description="A truck with a crane sets pallets down by the wall."
    )
    load_limit: Mass | None = Field(
        None, description="What the weakest part of the way carries: a bridge, a vault, paving."
    )
    surface_to_protect: ShortText | None = Field(None, description="Such as lawn or pavers.")
    protected_area: Area = Field(0.0, description="How much of it is covered.")

    def to_core(self) -> Access:
        """The core's way."""
        return Access(
            distance_m=self.distance,
            narrowest_m=self.narrowest_passage,
            rise_m=self.rise,
            stairs=self.stairs,
            drop=self.truck_drops,
            crane_truck=self.crane_truck,
            load_limit_kg=self.load_limit,
            protect=self.surface_to_protect,
            protect_m2=self.protected_area,
        )
