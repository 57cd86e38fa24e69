"""What work on earth is measured by, wall by wall and area by area."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from service.core.closed_list import row_each
from service.core.ground.balance import Earthwork, GradedEarth, Haul
from service.core.ground.earthwork import WallEarthwork
from service.core.ground.raised_fill import raised_share
from service.core.job.measured import Measured, measured_at
from service.core.shares import Shares, add_up, share_out
from service.core.takeoff.earth_lines import AREA_PREFIX


def measure_earth(earth: Earthwork | None, reach_m: float = math.inf) -> Mapping[Measured, Shares]:
    """Volumes, loads and areas of the earthwork; nothing of any where none was measured.

    Cut is bank, backfill and fill compacted, what is hauled loose, topsoil in place. Fill behind a
    wall up to `reach_m` from its plan line comes up with its courses and is measured as backfill.
    """
    return {name: measure(earth, reach_m) if earth else () for name, measure in _BY_EARTH.items()}


def _walls(earth: Earthwork, amount: Callable[[WallEarthwork], float]) -> Shares:
    return _shares([(wall.wall, amount(wall)) for wall in earth.walls])


def _all(
    earth: Earthwork,
    of_wall: Callable[[WallEarthwork], float],
    of_area: Callable[[GradedEarth], float],
) -> Shares:
    """Walls, and the areas that are graded beside them."""
    walls = [(wall.wall, of_wall(wall)) for wall in earth.walls]
    areas = [(f"{AREA_PREFIX}{area.name}", of_area(area)) for area in earth.graded]
    return _shares(walls + areas)


def _shares(parts: list[tuple[str, float]]) -> Shares:
    return tuple(sorted((name, amount) for name, amount in parts if amount > 0))


def _cut(earth: Earthwork) -> Shares:
    return _all(earth, lambda wall: wall.cut_m3, lambda area: area.cut_m3)


def _raised_m3(wall: WallEarthwork, reach_m: float) -> float:
    return wall.fill_m3 * raised_share(wall.fill_sections, reach_m)


def _with_courses(earth: Earthwork, reach_m: float) -> Shares:
    """Backfill, and fill that comes up behind each wall."""
    walls = [(wall.wall, wall.backfill_m3 + _raised_m3(wall, reach_m)) for wall in earth.walls]
    areas = [(area.behind, area.fill_m3) for area in earth.graded if area.behind]
    return tuple((name, amount) for name, amount in add_up(walls + areas) if amount > 0)


def _graded_later(earth: Earthwork, reach_m: float) -> Shares:
    """Fill in front, beyond reach, and on areas that lie behind no wall."""
    return _all(
        earth,
        lambda wall: wall.fill_m3 - _raised_m3(wall, reach_m),
        lambda area: 0.0 if area.behind else area.fill_m3,
    )


def _placed(earth: Earthwork) -> Shares:
    return _all(earth, lambda wall: wall.backfill_m3 + wall.fill_m3, lambda area: area.fill_m3)


def _stripped(earth: Earthwork) -> Shares:
    return _all(earth, lambda wall: wall.stripped_m3, lambda area: area.stripped_m3)


def _off(earth: Earthwork, amount: Callable[[Haul], float]) -> Shares:
    """What leaves: soil by what is cut, topsoil that is left over by what is stripped."""
    topsoil = amount(earth.topsoil_off) if earth.topsoil_off else 0.0
    soil = share_out(amount(earth.haul_off), _cut(earth))
    return add_up((*soil, *share_out(topsoil, _stripped(earth))))


def _loads(haul: Haul) -> float:
    """Loads, 0 where no truck says what a load is."""
    return float(haul.loads or 0)


_BY_EARTH: Mapping[Measured, Callable[[Earthwork, float], Shares]] = row_each(
    measured_at("earthwork"),
    {
        "cut_volume": lambda earth, _: _cut(earth),
        "backfill_volume": _with_courses,
        "fill_volume": _graded_later,
        "haul_off_volume": lambda earth, _: _off(earth, lambda haul: haul.loose_m3),
        "import_volume": lambda earth, _: share_out(earth.imported.loose_m3, _placed(earth)),
        "haul_off_loads": lambda earth, _: _off(earth, _loads),
        "import_loads": lambda earth, _: share_out(_loads(earth.imported), _placed(earth)),
        "topsoil_strip_volume": lambda earth, _: _stripped(earth),
        "topsoil_spread_volume": lambda earth, _: _all(
            earth, lambda wall: wall.replaced_m3, lambda area: area.replaced_m3
        ),
        "disturbed_area": lambda earth, _: _walls(earth, lambda wall: wall.disturbed_m2),
        "finished_ground_area": lambda earth, _: _walls(earth, lambda wall: wall.bare_m2),
    },
)
NO_EARTH: Mapping[Measured, Shares] = MappingProxyType(dict(measure_earth(None)))
