"""Distinct sections of a wall, where screening looks: both ends of every level stretch.

Between them base and top joint stay and all levels are linear, so that the figures of a stretch
are worst at one of its ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.profile import Levels


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A load on the ground behind, from an offset of the plan line on."""

    from_m: float
    load_pa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rise:
    """Ground that rises from an offset of the plan line on, rise over run."""

    from_m: float
    slope: float


@dataclass(frozen=True, slots=True, kw_only=True)
class UpperWall:
    """A wall above and behind: its plan line behind that of the wall below, how far the underside
    of its lowest unit and its front grade lie over the back grade below, and its highest section.
    """

    name: str
    offset_m: float
    underside_m: float
    front_m: float
    section: WallSection


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """What stands or lies on the ground behind: a surcharge, the slope from the back grade on,
    loads, rising ground that takes the slope's place, the wall above, and the ground that was
    there, as (offset, height over the back grade), rising, and the slope it goes on with."""

    surcharge_pa: float
    back_slope: float
    strips: tuple[Strip, ...] = ()
    rises: tuple[Rise, ...] = ()
    upper: UpperWall | None = None
    existing: tuple[tuple[float, float], ...] = ()
    existing_slope: float = 0.0

    @property
    def steepest(self) -> float:
        """The steepest ground behind, as it was stated."""
        return max((self.back_slope, *(rise.slope for rise in self.rises)))


LoadsAt = Callable[[float, float], tuple[Loading, ...]]
"""What stands behind at a station with its back grade: one for each wall that stands above."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSection:
    """One section. `soil_m` is from the underside of the lowest unit to the back grade; never below
    0. `face_m` is how far the face of its lowest course lies behind the plan line, `buried_m` how
    far front grade lies over that underside."""

    station_m: float
    base: int
    top_joint: int
    soil_m: float
    load: Loading
    face_m: float = 0.0
    buried_m: float = 0.0

    @property
    def courses(self) -> int:
        """Courses of units, the cap left out."""
        return self.top_joint - self.base

    @property
    def alike(self) -> tuple[object, ...]:
        """What sections that stand alike have in common: all but their station."""
        return self.base, self.top_joint, self.soil_m, self.load, self.face_m, self.buried_m


def distinct(sections: Iterable[WallSection]) -> list[WallSection]:
    """Of sections that stand alike the first along the wall, in their order."""
    first: dict[tuple[object, ...], WallSection] = {}
    for section in sections:
        known = first.setdefault(section.alike, section)
        if section.station_m < known.station_m:
            first[section.alike] = section
    return list(first.values())


def sections_of(layout: WallLayout, loads_at: LoadsAt) -> tuple[WallSection, ...]:
    """All sections of a wall, along the plan; stretches of no height have none."""
    return tuple(
        section
        for stretch in layout.stretches
        for section in section_of_ends(layout, stretch, loads_at)
    )


def section_of_ends(
    layout: WallLayout, stretch: Stretch, loads_at: LoadsAt
) -> tuple[WallSection, ...]:
    """Sections at both ends of a stretch; none where it has no courses."""
    if stretch.top_joint <= stretch.base:
        return ()
    ends = ((stretch.from_m, stretch.interval.start), (stretch.to_m, stretch.interval.finish))
    return tuple(
        section_at(layout, stretch, at, levels, load)
        for at, levels in ends
        for load in loads_at(at, levels.back_m)
    )


def section_at(
    layout: WallLayout, stretch: Stretch, station_m: float, levels: Levels, load: Loading
) -> WallSection:
    """The section of a stretch at a station."""
    underside = layout.grid.level_m(stretch.base)
    return WallSection(
        station_m=station_m,
        base=stretch.base,
        top_joint=stretch.top_joint,
        soil_m=max(0.0, levels.back_m - underside),
        load=load,
        face_m=layout.offset_m(stretch.base),
        buried_m=levels.front_m - underside,
    )
