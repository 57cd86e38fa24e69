"""What a request costs before it is calculated: milliseconds of one core, from its size alone.

A sum over walls, with figures fitted to measurement on one core of a small server
(`tests/benchmarks/test_cost.py` measures again). A request that would hold a core
too long is refused. More of anything is never cheaper; but walls that are too large are not
searched for what would pass (rule 14.12).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from service.core.errors import Fault, Path, QuoteFaultsError
from service.core.ground.tiers.tier_line import Neighbor, neighbors
from service.core.job.graded import LevelGrid, SurveyedArea
from service.core.job.job import Job
from service.core.job.spec import WallSpec
from service.core.layout.layout import WallLayout
from service.core.layout.levels import STRETCH_SIZE, Stretch
from service.core.would_pass.would_pass import MOST_SIZE as MOST_SEARCHED

# The most that one request may take: what is estimated at it has been measured to take up to 5 s.
MOST_MS: Final = 4000.0

# Of a quote, of each wall, of a plan part in a course, of a step of base or top.
_QUOTE, _WALL, _CELL, _STEP = 10.0, 2.2, 0.012, 0.25
# A section (steps that are alike have one) is screened, for each course above each other there;
# reinforced, for the square of them, as every layer is checked with those above it.
_SCREENED = (0.1, 0.005)
_LAYERED = (0.05, 0.001)
# Under ground or loads that are not even it is screened by trial wedges: for each course above each
# other, and so much more for each line behind; where other ground begins behind the fill, likewise
# and more. With layers as many times that.
_WEDGED, _CUT, _WEDGED_LAYERED = (0.6, 0.1), (1.3, 1.8, 0.5), 1.7
_MOST_PAIRS = 5  # of surveyed ground that a wedge meets
# Below other walls it is screened by trial wedges through all of their courses: for each course
# and so many more, by those above it and by their square; with layers as many times that.
_TIERED, _WEDGES, _TIERED_LAYERED = (0.1, 0.014), 4, 2.3
# Of a section drawn to dig, for each course above each other there; so many times it where ground
# was surveyed across the wall, as stretches are halved until that changes nothing.
_DUG, _HALVED = (1.5, 0.045), 5
# Of what a wall and those above and below it dig together: of a section drawn of any of them, and
# for each other wall there; of the ends of each other wall, and for each further one.
_JOINED, _ENDS = (2.0, 0.9), (25.0, 3.0)
# The share of both that is worked out anew: by the search for what would pass, as a multiple; for
# each quote that prices what was found; for another value of what is assumed, or another height.
_JOINED_ANEW, _JOINED_PRICED, _JOINED_VARIED = 3.0, 0.2, 0.45
_TIERED_ANEW = 25.0
_WEDGED_ANEW = 2.5
# Of a survey point and a grid level, wherever ground is graded.
_POINT, _LEVEL = 0.045, 0.008
# The search for what would pass: of each section, and of so many lower walls, for each course; of
# each step; and as many changes as are tried, which dig (behind another fill twice, as the slope of
# the cut is dug too) and lay out reinforcement anew. With prices as many whole quotes.
_SEARCHED, _LOWER, _LOOKED_UP = 0.9, 3, 0.3
_DUG_ANEW, _LAYERED_ANEW, _PRICED = (6, 12), 12, 16
# Looking for the heights of a wall that fit: layouts of it, and whole quotes.
_LAYOUTS, _FITS, _LAID_STEP, _LAID_CELL = 70, 9, 0.018, 0.0017


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSize:
    """Plan parts, courses in all and above each other at most, steps of base and top, and how
    many sections stand at them that are not alike.

    `drawn`: how often its earthwork changes along it, with `pairs` of surveyed ground across it in
    all. `others`: dug walls above and below it; `drawn_beside`: theirs. `above`: courses of all
    walls above it, each where it is highest. `lines`: of ground and loads behind it that are not
    even."""

    parts: int
    courses: int
    highest: int
    steps: int
    sections: int
    drawn: int = 0
    pairs: int = 0
    others: int = 0
    drawn_beside: int = 0
    above: int = 0
    lines: int = 0

    @property
    def size(self) -> int:
        """As `WallLayout.size`."""
        return self.parts * self.courses + STRETCH_SIZE * self.steps


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteSize:
    """What a quote consists of: `points` of surveys and `levels` of grids, and what is done with
    its walls; `cut`: the fill is another soil than what is cut into; `priced`: what would pass is
    priced."""

    walls: tuple[WallSize, ...]
    points: int = 0
    levels: int = 0
    screened: bool = False
    layered: bool = False
    dug: bool = False
    cut: bool = False
    priced: bool = False


def size_of(job: Job, layouts: Sequence[WallLayout], *, priced: bool) -> QuoteSize:
    """The size of a job whose walls are laid out."""
    surveys = (each.ground for each in job.grading if isinstance(each.ground, SurveyedArea))
    grids = (each.ground for each in job.grading if isinstance(each.ground, LevelGrid))
    drawn = {layout.name: _drawn(layout) for layout in layouts if _is_dug(layout)}
    beside = neighbors(tuple(drawn), job.tiers)
    above = _courses_above(job, layouts)
    return QuoteSize(
        walls=tuple(
            replace(_wall_size(layout, drawn, beside), above=above[layout.name])
            for layout in layouts
        ),
        points=sum(len(ground.survey.points) for ground in surveys),
        levels=sum(len(row) for ground in grids for row in ground.existing_m),
        screened=job.soils.retained is not None,
        layered=job.reinforcing != "none",
        dug=bool(drawn),
        cut=job.soils.fill not in (None, job.soils.retained),
        priced=priced,
    )


def _wall_size(
    layout: WallLayout, drawn: Mapping[str, int], beside: Mapping[str, Sequence[Neighbor]]
) -> WallSize:
    others = beside.get(layout.name, ())
    return WallSize(
        parts=len(layout.plan.pieces),
        courses=len(layout.courses),
        highest=layout.most_courses,
        steps=len(layout.stretches),
        sections=len(set(map(_section, layout.stretches))),
        drawn=drawn.get(layout.name, 0),
        pairs=sum(len(entry.existing_section) for entry in layout.spec.profile),
        others=len(others),
        drawn_beside=sum(drawn[other.name] for other in others),
        lines=_lines(layout.spec),
    )


def _lines(spec: WallSpec) -> int:
    """Lines of ground and loads behind a wall that are not even; a slope is two."""
    loads = sum(bool(each.load_pa) + 2 * bool(each.slope) for each in spec.above)
    pairs = max(len(entry.existing_section) for entry in spec.profile)
    return loads + min(pairs, _MOST_PAIRS)


def _courses_above(job: Job, layouts: Sequence[WallLayout]) -> dict[str, int]:
    """Courses of all walls above each one, each where it is highest."""
    courses = {layout.name: layout.most_courses for layout in layouts}
    return {
        name: sum(courses[other.name] for other in others if other.above)
        for name, others in neighbors(tuple(courses), job.tiers).items()
    }


def _drawn(layout: WallLayout) -> int:
    """How often the earthwork of a wall changes: at each step and at each part of the plan."""
    return len(layout.stretches) + len(layout.plan.pieces)


def _section(stretch: Stretch) -> tuple[int, float, float]:
    """What makes a section another one: its courses, and heights at its ends to the mm."""
    interval = stretch.interval
    ends = (round(interval.start.exposed_m, 3), round(interval.finish.exposed_m, 3))
    return (stretch.top_joint - stretch.base, min(ends), max(ends))


def _is_dug(layout: WallLayout) -> bool:
    """Whether a wall says what the ground was before."""
    return any(
        entry.existing_grade_m is not None or entry.existing_section
        for entry in layout.spec.profile
    )


def search_cost(size: QuoteSize) -> float:
    """Of the search for what would pass where a check fails; 0 for walls that are too large."""
    if not size.screened or sum(wall.size for wall in size.walls) > MOST_SEARCHED:
        return 0.0
    bare = QuoteSize(walls=size.walls)
    dug = replace(bare, dug=size.dug)
    layered = replace(bare, layered=size.layered)
    found = sum(
        _SEARCHED * (wall.sections + _LOWER) * wall.highest + _LOOKED_UP * wall.steps
        for wall in size.walls
    )
    alone = calculation_cost(dug, joined=0.0)
    priced = calculation_cost(_graded_before(size), joined=_JOINED_PRICED)
    return (
        found
        + _TIERED_ANEW * sum(_tiered_cost(wall, size) for wall in size.walls)
        + _WEDGED_ANEW * sum(_wedged_anew(wall, size) for wall in size.walls)
        + _DUG_ANEW[size.cut] * (alone - calculation_cost(bare))
        + _JOINED_ANEW * (calculation_cost(dug) - alone)
        + _LAYERED_ANEW * (calculation_cost(layered) - calculation_cost(bare))
        + (_PRICED * priced if size.priced else 0.0)
    )


def what_if_cost(size: QuoteSize, variants: int) -> float:
    """Of quotes with other values in place of assumed ones: each is a quote without search."""
    return variants * calculation_cost(size, joined=_JOINED_VARIED)


def comparison_cost(size: QuoteSize, others: Iterable[QuoteSize], *, heights: bool) -> float:
    """Of a comparison of a quote with others: each is a quote without search, on ground that was
    measured for the first; and of the heights that fit, which are looked for wall by wall."""
    cost, sought = calculation_cost(size), 0.0
    if heights:
        layouts = (_LAID_STEP * w.steps + _LAID_CELL * w.parts * w.courses for w in size.walls)
        laid = calculation_cost(_graded_before(size), joined=_JOINED_VARIED)
        sought = _LAYOUTS * sum(layouts) + _FITS * len(size.walls) * laid
    return cost + sum(map(calculation_cost, map(_graded_before, others))) + sought


def calculation_cost(size: QuoteSize, *, joined: float = 1.0) -> float:
    """Of a quote without the search for what would pass; `joined`: the share of what walls above
    each other dig together and push that isn't known from another quote."""
    works = 2 if size.layered else 1  # with layers and without, on ground measured once
    graded = _POINT * size.points + _LEVEL * size.levels
    walls = sum(_wall_cost(wall, size, joined) for wall in size.walls)
    return graded + works * (_QUOTE + walls)


def _graded_before(size: QuoteSize) -> QuoteSize:
    """The size without graded ground, which is measured once for all that is built on it."""
    return replace(size, points=0, levels=0)


def _wall_cost(wall: WallSize, size: QuoteSize, joined: float) -> float:
    section, dug, tiered = 0.0, 0.0, 0.0
    if size.screened:
        section += _SCREENED[0] + _SCREENED[1] * wall.highest + _wedged_cost(wall, size)
        tiered = joined * _tiered_cost(wall, size)
    if size.layered:
        section += (_LAYERED[0] + _LAYERED[1] * wall.highest**2) / 2  # of two works one has them
    if size.dug:
        drawn = wall.drawn * (_HALVED if wall.pairs else 1) + wall.pairs
        dug = (_DUG[0] + _DUG[1] * wall.highest) * drawn + joined * _joined_cost(wall)
    alone = _WALL + _CELL * wall.parts * wall.courses + _STEP * wall.steps
    return alone + section * wall.sections + tiered + dug


def _wedged_cost(wall: WallSize, size: QuoteSize) -> float:
    """Of trial wedges behind a section of a wall, for what is not even there."""
    course = _WEDGED[0] + _WEDGED[1] * wall.lines if wall.lines else 0.0
    if size.cut:
        course += _CUT[0] + (_CUT[1] + _CUT[2] * wall.lines if wall.lines else 0.0)
    return course * wall.highest * (_WEDGED_LAYERED if size.layered else 1.0)


def _wedged_anew(wall: WallSize, size: QuoteSize) -> float:
    """Of the same for all sections and one more, where what would pass is looked for: other fills
    are tried behind whatever is not even."""
    tried = replace(size, cut=size.cut or wall.lines > 0)
    return _wedged_cost(wall, tried) * (wall.sections + 1)


def _tiered_cost(wall: WallSize, size: QuoteSize) -> float:
    """Of screening a wall below others."""
    wedge = (_TIERED[0] + _TIERED[1] * wall.above) * wall.above
    layered = _TIERED_LAYERED if size.layered else 1.0
    return layered * wedge * (wall.highest + _WEDGES) * wall.sections


def _joined_cost(wall: WallSize) -> float:
    """Of what a wall digs together with those above and below it."""
    if not wall.others:
        return 0.0
    drawn = (_JOINED[0] + _JOINED[1] * wall.others) * (wall.drawn + wall.drawn_beside)
    return drawn + (_ENDS[0] + _ENDS[1] * (wall.others - 1)) * wall.others


def in_system(size: QuoteSize, share: float) -> QuoteSize:
    """The size in units of another height: `share` of the courses, as many at least."""
    more = max(1.0, share)
    scaled = ("courses", "highest", "steps", "sections", "drawn", "drawn_beside", "above")
    walls = (
        replace(wall, **{name: round(getattr(wall, name) * more) for name in scaled})
        for wall in size.walls
    )
    return replace(size, walls=tuple(walls))


def check_cost(cost_ms: float, code: str, at: Path, hint: str) -> None:
    """Raise QuoteFaultsError for more than one request may take."""
    if cost_ms > MOST_MS:
        message = (
            f"this comes to about {cost_ms / 1000:.1f} s of calculation, over the bound of "
            f"{MOST_MS / 1000:.0f} s"
        )
        raise QuoteFaultsError([Fault(code=code, at=at, message=message, hint=hint)])
