"""Cut and fill of a graded area, apart and never only the net.

The area is given by a grid of existing and finished levels, by survey points against a finished
plane inside a boundary, or by its size and an average depth. Cut is bank soil, fill compacted;
what becomes of them is the balance's business (balance.py). Rule 13.14.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from service.core.ground.balance import GradedEarth
from service.core.ground.level_grid import measure_grid
from service.core.ground.prism import Moved, Prism, PrismGround, add_up
from service.core.ground.surveyed_area import measure_survey
from service.core.job.fact import Assumption
from service.core.job.graded import AverageDepth, GradedGround, Grading, LevelGrid, SurveyedArea
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.measure import Dimension, UnitSet


@dataclass(frozen=True, slots=True, kw_only=True)
class GradedArea:
    """Earthwork of one area: cut bank, fill compacted, topsoil in place; `cut_m2` and `fill_m2`
    are where each happens, `behind` the wall that the area lies behind, if it does. Finished
    levels are None where only a depth was given."""

    name: str
    area_m2: float
    cut_m3: float
    fill_m3: float
    cut_m2: float
    fill_m2: float
    stripped_m3: float
    replaced_m3: float
    highest_finished_m: float | None
    behind: str | None
    how: tuple[str, ...]
    assumptions: tuple[Assumption, ...] = ()

    @property
    def earth(self) -> GradedEarth:
        """What the balance over the job needs."""
        return GradedEarth(
            name=self.name,
            cut_m3=self.cut_m3,
            fill_m3=self.fill_m3,
            behind=self.behind,
            stripped_m3=self.stripped_m3,
            replaced_m3=self.replaced_m3,
        )


def measure_grading(grading: Grading, units: UnitSet, topsoil: Topsoil = NO_TOPSOIL) -> GradedArea:
    """Cut and fill of one area.

    Topsoil is stripped and put back wherever existing and finished ground differ. Raises
    QuoteFaultsError with paths that start at the grading entry: `grid-uneven`,
    `survey-point-unknown`, `boundary-…`, `survey-points-outside`.
    """
    measured, beside = _measure(grading.ground, units), grading.beside
    moved = add_up(measured.prisms, topsoil.replace_m - topsoil.strip_m)
    return GradedArea(
        name=grading.name,
        area_m2=measured.area_m2,
        cut_m3=moved.cut_m3,
        fill_m3=moved.fill_m3,
        cut_m2=moved.cut_m2,
        fill_m2=moved.fill_m2,
        stripped_m3=moved.touched_m2 * topsoil.strip_m,
        replaced_m3=moved.touched_m2 * topsoil.replace_m,
        highest_finished_m=measured.highest_finished_m,
        behind=beside.wall if beside and beside.side == "behind" else None,
        how=(*measured.how, *_moved_how(moved, topsoil, units)),
        assumptions=measured.assumptions,
    )


def _measure(ground: GradedGround, units: UnitSet) -> PrismGround:
    match ground:
        case LevelGrid():
            return measure_grid(ground, units)
        case SurveyedArea():
            return measure_survey(ground, units)
        case AverageDepth():
            return _measure_depth(ground, units)
        case other:
            assert_never(other)


def _measure_depth(area: AverageDepth, units: UnitSet) -> PrismGround:
    depth = _depth_of_cut_m(area)
    size, deep = units.show(area.area_m2, "area"), units.show(area.depth_m, "length")
    return PrismGround(
        prisms=(Prism(area.area_m2, (depth, depth, depth)),),
        area_m2=area.area_m2,
        highest_finished_m=None,
        how=(f"{size} x {deep} average depth of {area.work}",),
        assumptions=(
            Assumption(
                field="average_depth",
                value=deep,
                why=f"an average says nothing about where there is cut and where fill: all of it "
                f"is taken as {area.work}",
            ),
        ),
    )


def _depth_of_cut_m(area: AverageDepth) -> float:
    match area.work:
        case "cut":
            return area.depth_m
        case "fill":
            return -area.depth_m
        case other:
            assert_never(other)


def _moved_how(moved: Moved, topsoil: Topsoil, units: UnitSet) -> Iterator[str]:
    def show(value: float, dimension: Dimension = "volume") -> str:
        return units.show(value, dimension)

    yield (
        f"cut {show(moved.cut_m3)} bank on {show(moved.cut_m2, 'area')}, fill "
        f"{show(moved.fill_m3)} compacted on {show(moved.fill_m2, 'area')}, not set off"
    )
    if topsoil.strip_m or topsoil.replace_m:
        yield (
            f"topsoil on {show(moved.touched_m2, 'area')} where ground changes: "
            f"{show(topsoil.strip_m, 'length')} stripped, {show(topsoil.replace_m, 'length')} put "
            "back; cut begins below it, fill ends below it"
        )
