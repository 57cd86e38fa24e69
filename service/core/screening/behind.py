"""What stands and lies behind a wall of a job, station by station: loads, slopes, the walls above
and the ground that was there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from service.core.errors import LayoutFaultsError
from service.core.ground.ground import Existing, measure_ground
from service.core.ground.region import Line
from service.core.job.spec import Tier, WallSpec
from service.core.layout.layout import WallLayout
from service.core.screening.wall_section import (
    Loading,
    LoadsAt,
    Rise,
    Strip,
    UpperWall,
    WallSection,
    section_at,
)


def loads_behind(
    layout: WallLayout, layouts: Mapping[str, WallLayout], tiers: Sequence[Tier]
) -> LoadsAt:
    """What stands behind a wall at a station: one loading for each wall that stands above it."""
    ground, stated = _ground(layout), _stated(layout.spec)
    above = [tier for tier in tiers if tier.lower == layout.name]

    def at(station_m: float, back_m: float) -> tuple[Loading, ...]:
        load = _on_ground(stated, ground, station_m, back_m)
        uppers = [_upper(tier, layouts, tiers, back_m) for tier in above]
        return tuple(replace(load, upper=upper) for upper in uppers) or (load,)

    return at


def highest_section(
    layout: WallLayout, layouts: Mapping[str, WallLayout], tiers: Sequence[Tier]
) -> WallSection:
    """The highest section of a wall, with the nearest wall above it."""
    nearest = sorted(
        (tier for tier in tiers if tier.lower == layout.name), key=lambda tier: tier.offset_m
    )
    stretch = max(layout.stretches, key=layout.built_height_m)
    ends = (
        (stretch.from_m, stretch.interval.start),
        (stretch.to_m, stretch.interval.finish),
    )
    station_m, levels = max(ends, key=lambda end: end[1].back_m)
    load = _on_ground(_stated(layout.spec), _ground(layout), station_m, levels.back_m)
    if nearest:
        upper = _upper(nearest[0], layouts, tiers, levels.back_m)
        load = replace(load, upper=upper)
    return section_at(layout, stretch, station_m, levels, load)


def _upper(
    tier: Tier, layouts: Mapping[str, WallLayout], tiers: Sequence[Tier], back_m: float
) -> UpperWall:
    """The upper wall of a tier at its highest section, over a back grade of the lower one; one
    whose front grade was given lower than that stands on it."""
    layout = layouts[tier.upper]
    section = highest_section(layout, layouts, tiers)
    underside = layout.grid.level_m(section.base) - back_m
    front = max(0.0, underside + section.buried_m)
    return UpperWall(
        name=tier.upper,
        offset_m=tier.offset_m,
        underside_m=front - section.buried_m,
        front_m=front,
        section=section,
    )


def _stated(spec: WallSpec) -> Loading:
    """Surcharge, loads and slopes as they were stated."""
    return Loading(
        surcharge_pa=spec.surcharge_pa,
        back_slope=spec.back_slope,
        strips=tuple(
            Strip(from_m=load.from_m, load_pa=load.load_pa)
            for load in spec.above
            if load.load_pa > 0
        ),
        rises=tuple(
            Rise(from_m=load.from_m, slope=load.slope) for load in spec.above if load.slope
        ),
    )


def _ground(layout: WallLayout) -> tuple[Existing, ...]:
    """Existing ground; () where it was not measured, or not soundly, which digging refuses."""
    try:
        return measure_ground(layout)
    except LayoutFaultsError:
        return ()


def _on_ground(
    load: Loading, ground: Sequence[Existing], station_m: float, back_m: float
) -> Loading:
    """The same with the ground that was there at a station."""
    piece = next((each for each in ground if each.from_m <= station_m <= each.to_m), None)
    if piece is None:
        return load
    line = piece.at(station_m)
    if isinstance(line, Line):
        points, slope = [(line.x_m, line.z_m)], line.slope
    else:
        points = list(zip(line.xs_m, line.zs_m, strict=True))
        (x1, z1), (x2, z2) = points[-2:]
        slope = (z2 - z1) / (x2 - x1)
    return replace(
        load,
        existing=tuple((x, z - back_m) for x, z in points),
        existing_slope=slope,
    )
