"""Facts of the earthwork that cautions hang on, each with the figure in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from service.core.closed_list import row_each
from service.core.ground.balance import Earthwork
from service.core.ground.earthwork import LeftStanding, WallEarthwork
from service.core.job.fact import Fact, Facts
from service.core.job.graded import WallSide
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M

_SIDES: Mapping[WallSide, str] = row_each(
    get_args(WallSide), {"front": "In front", "behind": "Behind"}
)


def wall_earth_facts(earth: Earthwork, left_over_m: float, units: UnitSet) -> Mapping[str, Facts]:
    """Facts by wall: how deep the cut is, and ground left standing by more than `left_over_m`."""
    return {wall.wall: _of_wall(wall, left_over_m, units) for wall in earth.walls}


def job_earth_facts(earth: Earthwork) -> Facts:
    """Facts of the whole job: cut is reused, and nobody said what becomes of its topsoil."""
    return {"topsoil_not_stated": Fact(value=float(earth.topsoil is None and earth.reused_m3 > 0))}


def _of_wall(wall: WallEarthwork, left_over_m: float, units: UnitSet) -> Facts:
    deepest = units.show(wall.deepest_m, "length")
    place = units.show(wall.deepest_station_m, "length")
    standing = [left for left in wall.left_standing if abs(left.height_m) > left_over_m + CLOSE_M]
    return {
        "trench_depth": Fact(
            value=wall.deepest_m,
            words=f"From bottom of trench to top of cut {deepest} at station {place}.",
        ),
        "ground_left_standing": Fact(
            value=max((abs(left.height_m) for left in standing), default=0.0),
            words=" ".join(_standing_words(left, units) for left in standing),
        ),
    }


def _standing_words(left: LeftStanding, units: UnitSet) -> str:
    height = units.show(abs(left.height_m), "length")
    place = units.show(left.station_m, "length")
    way = "above" if left.height_m > 0 else "below"
    side = _SIDES[left.side]
    return f"{side}, finished ground ends {height} {way} existing ground at station {place}."
