"""Earthwork as the answer prints it: volumes with their state."""

from __future__ import annotations

from msgspec import UNSET, UnsetType

from service.core.ground.balance import Earthwork, GradedEarth, TopsoilBalance
from service.core.ground.earthwork import WallEarthwork
from service.core.measure import UnitSet, in_unit, number
from service.operations.answer_figures import SoilState
from service.operations.quoting.answer_walls import (
    AreaEarth,
    EarthworkAnswer,
    EndsEarth,
    SoilVolume,
    TopsoilAnswer,
    WallEarth,
)
from service.operations.quoting.measures import measure_of


def earth_answer(earth: Earthwork, units: UnitSet) -> EarthworkAnswer:
    """The earthwork of the answer."""
    return EarthworkAnswer(
        cut=_volume(earth.cut_m3, "bank", units),
        backfill=_volume(earth.backfill_m3, "compacted", units),
        fill=_volume(earth.fill_m3, "compacted", units),
        reused=_volume(earth.reused_m3, "bank", units),
        haul_off=_volume(earth.haul_off.loose_m3, "loose", units),
        import_=_volume(earth.imported.loose_m3, "loose", units),
        haul_loads=earth.haul_off.loads,
        import_loads=earth.imported.loads,
        walls=tuple(_wall(wall, units) for wall in earth.walls),
        grading=tuple(_area(area, units) for area in earth.graded),
        how=earth.how,
        topsoil=_topsoil(earth.topsoil, units) if earth.topsoil else UNSET,
        shared_cut=UNSET
        if earth.shared_cut_m3 is None
        else _volume(earth.shared_cut_m3, "bank", units),
    )


def _volume(volume_m3: float, state: SoilState, units: UnitSet) -> SoilVolume:
    return SoilVolume(
        value=number(in_unit(volume_m3, units.volume)), unit=units.volume, state=state
    )


def _wall(wall: WallEarthwork, units: UnitSet) -> WallEarth:
    return WallEarth(
        wall=wall.wall,
        cut=_volume(wall.cut_m3, "bank", units),
        backfill=_volume(wall.backfill_m3, "compacted", units),
        fill=_volume(wall.fill_m3, "compacted", units),
        ends=EndsEarth(
            cut=_volume(wall.ends.cut_m3, "bank", units),
            backfill=_volume(wall.ends.backfill_m3, "compacted", units),
        ),
        cut_slope=f"{number(wall.cut_slope, 6)}:1",
        slope_by=wall.slope_basis,
        deepest_cut=measure_of(wall.deepest_m, "length", units),
        deepest_station=measure_of(wall.deepest_station_m, "length", units),
        disturbed_area=measure_of(wall.disturbed_m2, "area", units),
        how=wall.how,
    )


def _area(area: GradedEarth, units: UnitSet) -> AreaEarth:
    return AreaEarth(
        name=area.name,
        cut=_volume(area.cut_m3, "bank", units),
        fill=_volume(area.fill_m3, "compacted", units),
    )


def _topsoil(topsoil: TopsoilBalance, units: UnitSet) -> TopsoilAnswer:
    return TopsoilAnswer(
        stripped=_volume(topsoil.stripped_m3, "in_place", units),
        replaced=_volume(topsoil.replaced_m3, "in_place", units),
        surplus=_volume(topsoil.surplus_m3, "in_place", units),
        short=_volume(topsoil.short_m3, "in_place", units),
        site_work=_if_any(topsoil.tasks_m3, units),
        from_heap=_if_any(topsoil.from_heap_m3, units),
    )


def _if_any(topsoil_m3: float, units: UnitSet) -> SoilVolume | UnsetType:
    return _volume(topsoil_m3, "in_place", units) if topsoil_m3 else UNSET
