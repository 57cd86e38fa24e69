"""Where the soil behind another fill begins, by hand: the end of the floor, and the slope dug.

Units 12 in deep at 3/4 in for 8 in; a pad 6 in thick that reaches 6 in behind them, stone 12 in
wide. The section digs at 1/4:1; a cut 5 ft deep or deeper is dug at the 1.5:1 of class C.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.ground.known_ground import ground_of
from service.core.job.job import Job
from service.core.job.load import Load
from service.core.job.reinforcement import Layer, WallReinforcement
from service.core.job.section import Excavation
from service.core.job.spec import LoadAbove
from service.core.layout.layout import WallLayout, lay_out
from service.core.screening.cut_edge import cut_edges, edge_assumptions
from service.core.screening.picture import CutEdge
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.screened import set_request, set_wall, sets_catalog
from tests.given.walls import ft, inch

SOILS = {"retained": "phi26", "foundation": "phi30", "fill": "phi36"}
BANK = Load(id="bank", version="1", title="Bank", load_pa=0.0, sloped=True)
OF_CLASS = 1 / 1.5


def two_soils(
    height: str, *above: LoadAbove, back_slope: float = 0.0, deep: float = 5.0, overdig: float = 0.0
) -> Job:
    """A wall before ground that nobody measured; what is deep in ft, the overdig in inches."""
    catalog = sets_catalog()
    request = set_request(set_wall(height), soils=SOILS, section="steep_cut")
    job, _ = to_core(read_request(request, catalog, None), catalog)
    pad = replace(job.section.leveling_pad, overdig_m=inch(overdig))
    earth = replace(job.jurisdiction.earth, deep_cut_m=ft(deep))
    return replace(
        job,
        walls=tuple(replace(spec, above=above, back_slope=back_slope) for spec in job.walls),
        section=replace(job.section, leveling_pad=pad),
        jurisdiction=replace(job.jurisdiction, earth=earth),
    )


def dug_at(job: Job, run: float, room_in: float = 0.0) -> Job:
    """The same with another cut slope of its section, and room to work."""
    digs = Excavation(working_room_m=inch(room_in), cut_slope=run)
    return replace(job, section=replace(job.section, excavation=digs))


def layouts_of(job: Job) -> dict[str, WallLayout]:
    """Its walls as they are laid out."""
    return {spec.name: lay_out(spec, job.system, job.section, job.units) for spec in job.walls}


def edge_of(job: Job, *laid: WallReinforcement) -> CutEdge:
    """The edge behind its one wall, with layers."""
    (edge,) = cut_edges(job, layouts_of(job), ground_of(job), laid).values()
    return edge


def layers(wall: str, length_ft: float) -> WallReinforcement:
    """Layers along the whole wall: one of this length under one of a foot."""
    laid = tuple(
        Layer(from_m=0.0, to_m=ft(40), joint=joint, length_m=ft(length))
        for joint, length in ((1, length_ft), (2, 1.0))
    )
    return WallReinforcement(wall=wall, item="grid", layers=laid, soil_between_m=inch(3))


def test_floor_ends_behind_stone_or_trench() -> None:
    """12 in of stone, or 6 in of pad with 8 in dug for it, whichever is more, and the room."""
    for overdig, room, end in ((0, 0, 12), (5, 0, 12), (8, 0, 14), (8, 6, 20)):
        job = dug_at(two_soils("32 in", overdig=overdig), 0.25, room)
        assert edge_of(job).floor_m == pytest.approx(inch(end))


def test_section_that_says_nothing_of_digging_leaves_no_room() -> None:
    """The floor ends behind the stone; the slope is that of the class."""
    job = two_soils("32 in")
    edge = edge_of(replace(job, section=replace(job.section, excavation=None)))
    assert (edge.floor_m, edge.slope) == pytest.approx((inch(12), OF_CLASS))


@pytest.mark.parametrize(("overdig", "slope"), [(0.0, 4.0), (5.9, 4.0), (6.0, OF_CLASS)])
def test_cut_counts_from_what_is_dug_for_the_pad(overdig: float, slope: float) -> None:
    """4 ft of soil over 6 in of pad and 6 in more are 5 ft; with less it is dug at 1/4:1."""
    assert edge_of(two_soils("48 in", overdig=overdig)).slope == pytest.approx(slope)


@pytest.mark.parametrize(("height", "slope"), [("48 in", math.inf), ("56 in", OF_CLASS)])
def test_upright_cut_stands_where_it_is_not_deep(height: str, slope: float) -> None:
    """4 ft and 4 ft 8 in of soil over 6 in of pad."""
    assert edge_of(dug_at(two_soils(height), 0.0)).slope == pytest.approx(slope)


@pytest.mark.parametrize(("deep", "slope"), [(4.27, OF_CLASS), (4.29, 2.0)])
def test_cut_into_a_bank_ends_where_its_face_meets_it(deep: float, slope: float) -> None:
    """3.333 ft of soil, a bank of 1 in 2 from 2 ft behind the heel on. The face of 1/2:1 from 1 ft
    on is 2 ft high there, 1.333 ft under the bank, and meets it 0.889 ft on, 3.778 ft over the
    floor: 4.278 ft over the trench."""
    job = two_soils("40 in", BANK.above(ft(3), 0.5), deep=deep)
    assert edge_of(dug_at(job, 0.5)).slope == pytest.approx(slope)


def test_cut_as_steep_as_its_bank_never_ends() -> None:
    """Ground that rises 1 in 1 from the wall on, cut at 1:1: as deep as any."""
    job = dug_at(two_soils("16 in", back_slope=1.0), 1.0)
    assert edge_of(job).slope == pytest.approx(OF_CLASS)


def test_no_cut_is_dug_into_a_bank_that_rises_with_it() -> None:
    """A wall that stands free before a bank of 1 in 1, which begins where the floor ends: the face
    of 1:1 lies on it, and nothing is dug."""
    job = dug_at(two_soils("16 in", BANK.above(ft(2), 1.0)), 1.0)
    (spec,) = job.walls
    free = tuple(replace(entry, back_grade_m=0.0) for entry in spec.profile)
    edge = edge_of(replace(job, walls=(replace(spec, profile=free),)))
    assert edge.slope == pytest.approx(1.0)


def test_no_edge_where_one_soil_lies_all_round() -> None:
    """No other fill, the same fill, or a soil that nobody named."""
    job = two_soils("40 in")
    soils = job.soils
    for same in (
        replace(soils, fill=None),
        replace(soils, fill=soils.retained),
        replace(soils, retained=None),
    ):
        one = replace(job, soils=same)
        assert cut_edges(one, layouts_of(one), ground_of(one)) == {}
        assert not list(edge_assumptions(one, layouts_of(one), ground_of(one)))


@pytest.mark.parametrize(("deep", "slope"), [(5.55, OF_CLASS), (5.57, 4.0)])
def test_layers_count_for_how_deep_a_cut_is(deep: float, slope: float) -> None:
    """3.333 ft of soil under ground of 1 in 2, which begins 0.3125 ft behind the heel. Layers of
    3 ft end 2 ft behind the units, with 6 in of room the floor does at 2.5 ft. The face of 1/4:1
    meets the ground where 4 (x - 2.5) = 3.333 + (x - 0.3125) / 2: at 3.765 ft, 5.060 ft up: 5.560
    ft over the trench. Without layers, or with those of another wall, the floor ends at 1.5 ft
    and the face at 4.488 ft."""
    job = dug_at(two_soils("40 in", back_slope=0.5, deep=deep), 0.25, 6.0)
    (spec,) = job.walls
    assert edge_of(job, layers(spec.name, 3)).slope == pytest.approx(slope)
    assert edge_of(job, layers(spec.name, 2)).slope == pytest.approx(4.0)
    for others in ((), (layers("other", 9),)):
        assert edge_of(job, *others).slope == pytest.approx(4.0)


def test_cut_ends_in_the_ground_before_a_bank() -> None:
    """3.333 ft of soil under 1 in 2 from 0.3125 ft behind the heel on, 2 in 1 from 3 ft on. The
    face of 1/4:1 from 1 ft on meets the ground at 2.051 ft, 4.202 ft up: 4.702 ft over the trench;
    the bank begins 4.677 ft up."""
    job = dug_at(two_soils("40 in", BANK.above(ft(4), 2.0), back_slope=0.5), 0.25)
    assert edge_of(job).slope == pytest.approx(4.0)


def test_flat_cut_ends_in_level_ground() -> None:
    """At 1:1, 3.333 ft of soil over 6 in of pad are not deep."""
    assert edge_of(dug_at(two_soils("40 in"), 1.0)).slope == pytest.approx(1.0)


def test_cut_never_ends_in_a_bank_that_is_steeper() -> None:
    """Ground of 2 in 1 from 3 ft behind the heel on, 3.333 ft up. The face of 1.4:1 from 1 ft on is
    1.4 ft high there and never reaches it."""
    job = two_soils("40 in", BANK.above(ft(4), 2.0))
    assert edge_of(dug_at(job, 1.4)).slope == pytest.approx(OF_CLASS)


def test_edge_assumptions_say_how_a_cut_is_drawn_that_nobody_measured() -> None:
    """The second of two walls: 1/3:1 to 4 digits, behind a foot of stone. The first one's ground
    was measured, along its whole length or at one place."""
    job = dug_at(two_soils("40 in"), 1 / 3)
    (spec,) = job.walls
    grade = replace(spec.profile[0], existing_grade_m=ft(1))
    surveyed = replace(spec.profile[0], existing_section=((0.0, 0.0), (3.0, 1.0)))
    for measured in (grade, surveyed):
        first = replace(spec, name="first", profile=(measured, *spec.profile[1:]))
        both = replace(job, walls=(first, spec))
        (told,) = edge_assumptions(both, layouts_of(both), ground_of(both))
        assert told.field == "/walls/1/profile/0/existing_grade"
        assert told.value == "a cut into finished ground, 0.3333:1 from 1 ft behind the units"
        alone = replace(job, walls=(first,))
        assert not list(edge_assumptions(alone, layouts_of(alone), ground_of(alone)))
