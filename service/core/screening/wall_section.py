"""Distinct sections of a wall, where screening looks: both ends of every level stretch.

Between them base and top joint stay and all levels are linear, so that the figures of a stretch
are worst at one of its ends.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.profile import Levels


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """What stands or lies on the ground behind: pressure, and the slope it is taken to have."""

    surcharge_pa: float
    back_slope: float


LoadAt = Callable[[float], Loading]  # by the wall height at the section, in m


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSection:
    """One section. `soil_m` is from the underside of the lowest unit to the back grade; never below
    0."""

    station_m: float
    base: int
    top_joint: int
    soil_m: float
    load: Loading

    @property
    def courses(self) -> int:
        """Courses of units, the cap left out."""
        return self.top_joint - self.base


def sections_of(layout: WallLayout, load_at: LoadAt) -> tuple[WallSection, ...]:
    """All sections of a wall, along the plan; stretches of no height have none."""
    return tuple(
        section
        for stretch in layout.stretches
        for section in section_of_ends(layout, stretch, load_at)
    )


def section_of_ends(
    layout: WallLayout, stretch: Stretch, load_at: LoadAt
) -> tuple[WallSection, ...]:
    """Sections at both ends of a stretch; none where it has no courses."""
    if stretch.top_joint <= stretch.base:
        return ()
    ends = ((stretch.from_m, stretch.interval.start), (stretch.to_m, stretch.interval.finish))
    return tuple(_section(layout, stretch, at, levels, load_at) for at, levels in ends)


def _section(
    layout: WallLayout, stretch: Stretch, station_m: float, levels: Levels, load_at: LoadAt
) -> WallSection:
    underside = layout.grid.level_m(stretch.base)
    return WallSection(
        station_m=station_m,
        base=stretch.base,
        top_joint=stretch.top_joint,
        soil_m=max(0.0, levels.back_m - underside),
        load=load_at(layout.built_height_m(stretch)),
    )
