"""What pushes on a back at one section: in closed form under even ground, else by trial wedges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from service.core.screening.formulas.earth_pressure import (
    Pressure,
    Thrust,
    coulomb_pressure,
    thrust,
)
from service.core.screening.formulas.wedge import Wedge
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.picture import Back, Picture

_SAME_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPush:
    """What pushes on a back. `pressure` is that of even ground of one soil under an even load
    (Coulomb); None: wedges have to be tried."""

    picture: Picture
    back: Back
    pressure: Pressure | None

    @property
    def whole(self) -> Thrust:
        """The thrust on the whole back."""
        if self.pressure is not None:
            return self.over(0.0)
        return _by_wedges(self.picture, self.back)

    def over(self, height_m: float) -> Thrust:
        """The thrust on what of the back lies over a height; where its added part acts is open."""
        left = self.back.height_m - height_m
        if left <= 0:
            return Thrust(soil_n_m=0.0)
        if self.pressure is not None:
            return thrust(left, self.picture.fill.weight_n_m3, self._load_pa, self.pressure)
        return _over(self.picture, self.back, height_m)

    @property
    def wedge(self) -> Wedge:
        """The wedge that pushes most on the whole back, with all that stands on it."""
        return _largest(self.picture, self.back, loaded=True)

    @property
    def soil_wedge(self) -> Wedge:
        """The same of soil alone."""
        return _largest(self.picture, self.back, loaded=False)

    @property
    def _load_pa(self) -> float:
        return math.fsum(slice_.load_pa for slice_ in self.picture.drawn.loads)


_by_wedges = lru_cache(maxsize=1024)(Picture.thrust)
_over = lru_cache(maxsize=4096)(Picture.parts)


@lru_cache(maxsize=1024)
def _largest(picture: Picture, back: Back, *, loaded: bool) -> Wedge:
    return picture.push(back, 0.0, walls=loaded, loads=loaded)


def push_of(picture: Picture, back: Back) -> SectionPush:
    """What pushes on a back. Raises PressureLimitError."""
    drawn, start = picture.drawn, back.from_m + back.batter * back.height_m
    ground = [slice_ for slice_ in drawn.soil if slice_.to_m > start + _SAME_M]
    pressure = None
    if picture.cut is None and drawn.standing == drawn.soil and _even(ground, drawn.loads, start):
        pressure = _coulomb(
            math.atan(picture.fill.grip),
            back.friction_rad,
            math.atan(back.batter),
            math.atan(ground[0].slope),
        )
    return SectionPush(picture=picture, back=back, pressure=pressure)


# Most sections of a wall share one slope.
_coulomb = lru_cache(maxsize=256)(coulomb_pressure)


def _even(ground: Sequence[WedgeSlice], loads: Sequence[WedgeSlice], start_m: float) -> bool:
    """Whether one slope without end lies behind a back, under loads that begin at it."""
    return len(ground) == 1 and all(
        math.isinf(load.to_m) and load.from_m <= start_m + _SAME_M for load in loads
    )
