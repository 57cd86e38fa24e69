"""Laws that hold for every wall, as properties over many walls.

Dimensions are drawn in whole inches, so that lengths that divide exactly are common.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import pytest
from hypothesis import assume, given, reject
from hypothesis import strategies as st

from service.core.errors import QuoteFaultsError
from service.core.job.section import CapAdhesive, FilterFabric, Pipe
from service.core.job.spec import (
    Corner,
    Curve,
    EndKind,
    Ends,
    LevelFrom,
    PlanPart,
    ProfileEntry,
    Station,
    Straight,
    TurnSide,
    WallSpec,
)
from service.core.layout.layout import WallLayout
from service.core.measure import METRIC
from service.core.takeoff.quantities import Quantities
from tests.given.walls import (
    CORNER_UNIT,
    cap_count,
    corners_by_course,
    entry,
    ft,
    inch,
    laid,
    level_wall,
    line,
    section,
    standard_by_course,
    straight,
    system,
    taken_off,
    unit,
    wall,
)

BLOCKS = system(standard=unit(void_m3=0.004), corner=CORNER_UNIT)
DETAIL = section(
    core_fill_item="drain_stone",
    pipe=Pipe(item="pipe", outlet_item="outlet", outlet_spacing_m=ft(50), outlet_length_m=ft(4)),
    filter_fabric=FilterFabric(item="fabric", lap_m=inch(12)),
    cap_adhesive=CapAdhesive(item="adhesive", beads=2, yield_m=ft(30)),
    waste={"units": "0.05", "stone": "0.10"},
)
SIDES: st.SearchStrategy[TurnSide] = st.sampled_from(["outside", "inside"])
LEVELS: st.SearchStrategy[LevelFrom] = st.sampled_from(["top", "base"])
ENDS: st.SearchStrategy[EndKind] = st.sampled_from(["open", "finished", "into_grade"])


@dataclass(frozen=True)
class Drawn:
    """A wall in whole inches: parts as (kind, side, inches, degrees), entries as inches."""

    parts: tuple[tuple[str, TurnSide, int, int], ...]
    levels: tuple[tuple[float, int, int], ...]
    ends: Ends

    def build(self, inch_m: float, lift_m: float = 0.0, name: str = "wall-1") -> WallSpec:
        """The wall with an inch of `inch_m` meters, `lift_m` higher."""
        parts: list[PlanPart] = []
        for kind, side, size, degrees in self.parts:
            if kind == "straight":
                parts.append(Straight(length_m=size * inch_m))
            elif kind == "curve":
                parts.append(
                    Curve(side=side, radius_m=size * inch_m, angle_rad=math.radians(degrees))
                )
            else:
                parts.append(Corner(side=side, angle_rad=math.radians(degrees)))
        length = math.fsum(part.length_m for part in parts)
        entries = tuple(
            ProfileEntry(
                station=Station(kind="at", at_m=share * length),
                top_m=(front + exposed) * inch_m + lift_m,
                front_grade_m=front * inch_m + lift_m,
                back_grade_m=(front + exposed) * inch_m + lift_m,
            )
            for share, front, exposed in self.levels
        )
        return wall(tuple(parts), entries, ends=self.ends, name=name)


@st.composite
def drawn_walls(draw: st.DrawFn) -> Drawn:
    """Up to three legs of straights and curves, with slopes and jumps of top and ground."""
    parts: list[tuple[str, TurnSide, int, int]] = []
    for leg in range(draw(st.integers(1, 3))):
        if leg:
            parts.append(("corner", draw(SIDES), 0, draw(st.sampled_from([30, 60, 90, 110]))))
        for kind in draw(st.sampled_from([("straight",), ("curve",), ("straight", "curve")])):
            size = draw(st.integers(60, 300))
            parts.append((kind, draw(SIDES), size + 60, draw(st.integers(30, 90))))
    shares = sorted(draw(st.sets(st.sampled_from([0.2, 0.35, 0.5, 0.75]), max_size=2)))
    places = [0.0]
    for share in shares:
        places += [share] * draw(st.integers(1, 2))
    levels = tuple(
        (place, draw(st.integers(0, 20)), draw(st.integers(12, 48))) for place in [*places, 1.0]
    )
    return Drawn(tuple(parts), levels, Ends(start=draw(ENDS), finish=draw(ENDS)))


def laid_or_skipped(spec: WallSpec) -> WallLayout:
    """The layout; walls that can't be built, a fault says why, are drawn again."""
    try:
        taken_off(spec, blocks=BLOCKS, detail=DETAIL)
        return laid(spec, BLOCKS, DETAIL)
    except QuoteFaultsError:
        reject()


def counts(layout: WallLayout) -> tuple[list[int], list[int], int]:
    """Standard and corner units by course, and caps."""
    return standard_by_course(layout), corners_by_course(layout), cap_count(layout)


def nets(quantities: Quantities) -> dict[str, float]:
    """Net of every item."""
    return {each.item: each.net for each in quantities.lines}


def leg_lengths(spec: WallSpec) -> list[float]:
    """Length of each leg in the plan."""
    lengths = [0.0]
    for part in spec.plan:
        if isinstance(part, Corner):
            lengths.append(0.0)
        lengths[-1] += part.length_m
    return lengths


def mirrored(spec: WallSpec) -> WallSpec:
    """The wall seen in a mirror: plan and profile run the other way, sides stay."""
    length = math.fsum(part.length_m for part in spec.plan)
    turned = tuple(
        replace(each, station=Station(kind="at", at_m=length - each.station.at_m))
        for each in reversed(spec.profile)
    )
    return replace(
        spec,
        plan=spec.plan[::-1],
        profile=turned,
        ends=Ends(start=spec.ends.finish, finish=spec.ends.start),
    )


@given(drawn_walls())
def test_lay_out_of_a_mirrored_wall_counts_the_same(drawn: Drawn) -> None:
    """A mirrored plan counts the same unless two legs at a corner are equally long."""
    spec = drawn.build(0.0254)
    for one, other in itertools.pairwise(leg_lengths(spec)):
        assume(abs(one - other) > inch(0.01))
    there, back = laid_or_skipped(spec), laid(mirrored(spec), BLOCKS, DETAIL)
    assert counts(there) == counts(back)
    assert back.face_area_m2 == pytest.approx(there.face_area_m2, rel=1e-9)


@given(drawn_walls())
def test_take_off_of_a_mirrored_wall_is_the_same(drawn: Drawn) -> None:
    """Stone, pipe, fabric and adhesive of a mirrored wall are the same."""
    spec = drawn.build(0.0254)
    for one, other in itertools.pairwise(leg_lengths(spec)):
        assume(abs(one - other) > inch(0.01))
    laid_or_skipped(spec)
    there, back = (taken_off(each, blocks=BLOCKS, detail=DETAIL) for each in (spec, mirrored(spec)))
    assert nets(back) == pytest.approx(nets(there), rel=1e-9)


@given(drawn_walls())
def test_take_off_of_a_metric_twin_agrees(drawn: Drawn) -> None:
    """The same wall by another float path and in metric units has the same counts and nets."""
    # an inch that is one float larger: sums and products differ in the last places
    us, metric = drawn.build(0.0254), drawn.build(math.nextafter(0.0254, 1.0))
    first, second = laid_or_skipped(us), laid_or_skipped(metric)
    assert counts(first) == counts(second)
    ours = taken_off(us, blocks=BLOCKS, detail=DETAIL)
    theirs = taken_off(metric, blocks=BLOCKS, detail=DETAIL, units=METRIC)
    assert nets(theirs) == pytest.approx(nets(ours), rel=1e-9)


@given(st.lists(drawn_walls(), min_size=2, max_size=3))
def test_take_off_ignores_the_order_of_walls(drawn: list[Drawn]) -> None:
    """Orders, nets and every wall's share are the same to the last bit in any order of walls."""
    specs = [each.build(0.0254, name=f"w{i}") for i, each in enumerate(drawn)]
    for spec in specs:
        laid_or_skipped(spec)
    first = taken_off(*specs, blocks=BLOCKS, detail=DETAIL)
    for order in itertools.permutations(specs):
        found = taken_off(*order, blocks=BLOCKS, detail=DETAIL)
        assert found == first


@given(drawn_walls())
def test_take_off_counts_can_be_added_again_from_courses_and_caps(drawn: Drawn) -> None:
    """Every count of a quantity line is the sum over the layout's legs and cap runs."""
    spec = drawn.build(0.0254)
    layout = laid_or_skipped(spec)
    found = taken_off(spec, blocks=BLOCKS, detail=DETAIL)
    standard, corner_units, caps = counts(layout)
    assert line(found, "block").net == sum(standard)
    assert line(found, "cap").net == caps
    assert nets(found).get("corner", 0) == sum(corner_units)
    areas = [c.runs for c in layout.courses]
    face = math.fsum(run.face_length_m for runs in areas for run in runs) * inch(8)
    assert layout.face_area_m2 == pytest.approx(face, rel=1e-9)


@given(drawn_walls())
def test_take_off_is_the_same_a_hundred_feet_higher(drawn: Drawn) -> None:
    """Elevations are only a datum: 100 ft higher nothing but elevations changes."""
    low, high = drawn.build(0.0254), drawn.build(0.0254, lift_m=ft(100))
    first, second = laid_or_skipped(low), laid(high, BLOCKS, DETAIL)
    assert counts(first) == counts(second)
    lifted = [c.elevation_m - ft(100) for c in second.courses]
    assert lifted == pytest.approx([c.elevation_m for c in first.courses], abs=1e-9)
    below, above = (taken_off(each, blocks=BLOCKS, detail=DETAIL) for each in (low, high))
    assert nets(above) == pytest.approx(nets(below), rel=1e-9)


@given(st.integers(16, 9600), st.integers(0, 4800), st.integers(6, 72), ENDS)
def test_take_off_of_a_longer_straight_wall_is_never_less(
    sixteenths: int, more: int, exposed: int, end: EndKind
) -> None:
    """A longer straight wall never needs less of anything."""
    short, long = (
        level_wall(inch(size / 16), inch(exposed), ends=Ends(start=end))
        for size in (sixteenths, sixteenths + more)
    )
    less, greater = (nets(taken_off(each, blocks=BLOCKS, detail=DETAIL)) for each in (short, long))
    for item, amount in less.items():
        assert amount <= greater[item] + 1e-9


@given(SIDES, st.integers(72, 400), st.integers(10, 90), st.integers(0, 90), st.integers(0, 200))
def test_take_off_of_a_longer_curved_wall_is_never_less(
    side: TurnSide, radius: int, degrees: int, more_degrees: int, wider: int
) -> None:
    """A curve of more degrees, or of a larger radius, never needs less of anything."""

    def bent(radius_in: int, angle: int) -> dict[str, float]:
        arc = Curve(side=side, radius_m=inch(radius_in), angle_rad=math.radians(angle))
        return nets(taken_off(level_wall((arc,)), blocks=BLOCKS, detail=DETAIL))

    first = bent(radius, degrees)
    for longer in (bent(radius, degrees + more_degrees), bent(radius + wider, degrees)):
        for item, amount in first.items():
            assert amount <= longer[item] + 1e-9


@given(drawn_walls(), st.integers(12, 72), LEVELS)
def test_lay_out_a_course_higher_never_takes_fewer_units(
    drawn: Drawn, exposed: int, level_from: LevelFrom
) -> None:
    """Raising a level wall by a whole course lowers neither its standard nor its corner units."""
    spec = drawn.build(0.0254)
    low, high = (
        replace(spec, profile=(entry(0.0, top), entry("end", top)), level_from=level_from)
        for top in (inch(exposed), inch(exposed) + inch(8))
    )
    first, second = laid_or_skipped(low), laid_or_skipped(high)
    assert sum(standard_by_course(second)) >= sum(standard_by_course(first))
    assert sum(corners_by_course(second)) >= sum(corners_by_course(first))


@given(
    SIDES, st.integers(100, 400), st.integers(20, 90), st.integers(8, 60), st.integers(8, 60), ENDS
)
def test_lay_out_a_sloped_top_a_course_higher_never_takes_fewer_units(
    side: TurnSide, radius: int, degrees: int, start: int, finish: int, end: EndKind
) -> None:
    """The same for a sloped top over a level base, on a curve and a straight."""
    arc = Curve(side=side, radius_m=inch(radius), angle_rad=math.radians(degrees))
    low, high = (
        wall(
            (straight(ft(6)), arc),
            (entry(0.0, inch(start + more)), entry("end", inch(finish + more))),
            ends=Ends(finish=end),
        )
        for more in (0, 8)
    )
    first, second = laid(low, BLOCKS), laid(high, BLOCKS)
    assert first.steps == second.steps == ()
    assert sum(standard_by_course(second)) >= sum(standard_by_course(first))
    assert sum(corners_by_course(second)) >= sum(corners_by_course(first))


@given(st.integers(1, 40), st.integers(1, 40), st.integers(6, 72))
def test_take_off_of_a_wall_split_at_whole_units_is_the_same(
    left: int, right: int, exposed: int
) -> None:
    """Splitting a straight, level wall at whole units changes no count and no order."""
    whole = level_wall(inch(18 * (left + right)), inch(exposed))
    halves = [
        level_wall(inch(18 * units), inch(exposed), name=name)
        for units, name in ((left, "left"), (right, "right"))
    ]
    one = taken_off(whole, blocks=BLOCKS, detail=DETAIL)
    two = taken_off(*halves, blocks=BLOCKS, detail=DETAIL)
    for item in ("block", "cap", "base_stone", "drain_stone", "adhesive"):
        assert line(two, item).net == pytest.approx(line(one, item).net, rel=1e-9)
        assert line(two, item).order == line(one, item).order
