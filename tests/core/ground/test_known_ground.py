"""Ground that is known is what it would be if it were not: by everything that it depends on."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.built import lay_out_walls
from service.core.errors import LayoutFaultsError
from service.core.ground import groundwork
from service.core.ground.digging import Pen, dig_wall
from service.core.ground.excavation import asked_digging
from service.core.ground.ground import measure_ground
from service.core.ground.groundwork import dig
from service.core.ground.known_ground import KnownGround, ground_of
from service.core.job.graded import AverageDepth, Grading
from service.core.job.job import Job, Soils
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.reinforcement import Layer, WallReinforcement
from service.core.job.section import Excavation, LevelingPad
from service.core.job.spec import Ends, Tier
from service.core.job.topsoil import Topsoil
from service.core.measure import METRIC, US
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES, dig_section, ground_wall, soil
from tests.given.walls import ft, inch, system, unit

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

LOW = replace(
    ground_wall((0, 4, 0, 1), (30, 4, 0, 1.5), existing_slope=0.1, graded_in_front_m=ft(3)),
    name="low",
    ends=Ends(start="against_structure", finish="open"),
)
UP = replace(
    ground_wall((0, 8, 4, 4), (30, 8, 4, 4), existing_slope=0.1, graded_in_front_m=ft(1)),
    name="up",
)
PLAIN = Job(
    units=US,
    walls=(LOW, UP),
    system=system(setback=0.0),
    section=dig_section(cut_slope=0.5),
    materials={},
    jurisdiction=Jurisdiction(id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES),
    basis=ASSOCIATION,
    soils=Soils(retained=soil(class_="B")),
    tiers=(Tier(lower="low", upper="up", offset_m=ft(12)),),
)
PAD, DETAIL = PLAIN.section.leveling_pad, PLAIN.section
AREA = Grading(name="strip", ground=AverageDepth(area_m2=20.0, depth_m=0.2, work="cut"))


def padded(**changes: float) -> Job:
    """The job with another pad."""
    pad: LevelingPad = replace(PAD, **changes)  # type: ignore[arg-type]
    return replace(PLAIN, section=replace(DETAIL, leveling_pad=pad))


def drained(**changes: float | str) -> Job:
    """The job with other drainage stone."""
    drainage = replace(DETAIL.drainage, **changes)  # type: ignore[arg-type]
    return replace(PLAIN, section=replace(DETAIL, drainage=drainage))


def cut(room_m: float, slope: float | None) -> Job:
    """The job with another cut."""
    excavation = Excavation(working_room_m=room_m, cut_slope=slope)
    return replace(PLAIN, section=replace(DETAIL, excavation=excavation))


def ruled(**changes: float) -> Job:
    """The job where other rules hold."""
    earth = replace(EARTH_RULES, **changes)  # type: ignore[arg-type]
    return replace(PLAIN, jurisdiction=replace(PLAIN.jurisdiction, earth=earth))


VARIANTS = {
    "as it is": PLAIN,
    "another wall": replace(PLAIN, walls=(replace(LOW, existing_slope=0.2), UP)),
    "other ends": replace(PLAIN, walls=(replace(LOW, ends=Ends()), UP)),
    "graded farther": replace(PLAIN, walls=(replace(LOW, graded_in_front_m=ft(5)), UP)),
    "deeper units": replace(PLAIN, system=system(setback=0.0, standard=unit(depth=inch(18)))),
    "a batter": replace(PLAIN, system=system(setback=inch(1))),
    "deeper in the ground": replace(PLAIN, section=dig_section(cut_slope=0.5, minimum=inch(20))),
    "a thicker pad": padded(thickness_m=0.4),
    "a longer pad": padded(end_extension_m=0.3),
    "a wider pad": padded(front_extension_m=0.5, rear_extension_m=0.6),
    "overdug": padded(overdig_m=0.1),
    "more stone": drained(width_m=0.8),
    "stone higher up": drained(starts_at="buried_course"),
    "room to work": cut(0.5, 0.5),
    "a flatter cut": cut(0.0, 0.8),
    "cut as the soil is": cut(0.0, None),
    "as another soil is": replace(cut(0.0, None), soils=Soils(retained=soil(class_="C"))),
    "deep from 3 ft": ruled(deep_cut_m=ft(3)),
    "topsoil": replace(PLAIN, topsoil=Topsoil(strip_m=0.2, replace_m=0.1)),
    "in meters": replace(PLAIN, units=METRIC),
    "nearer tiers": replace(PLAIN, tiers=(replace(PLAIN.tiers[0], offset_m=ft(6)),)),
    "no tiers": replace(PLAIN, tiers=()),
    "an area": replace(PLAIN, grading=(AREA,)),
}
LAYERS = (
    WallReinforcement(
        wall="low",
        item="sheet",
        layers=(Layer(from_m=0.0, to_m=ft(30), joint=1, length_m=ft(6)),),
        soil_between_m=0.0,
    ),
)


@pytest.fixture(scope="module")
def known() -> KnownGround:
    """Ground on which every variant was dug, with layers and without."""
    ground = ground_of(PLAIN)
    for job in VARIANTS.values():
        for layers in ((), LAYERS):
            dig(job, lay_out_walls(job, ground), layers, ground.of(job))
    return ground


@pytest.mark.parametrize("layers", [(), LAYERS], ids=["plain", "layered"])
@pytest.mark.parametrize("name", VARIANTS)
def test_dig_on_known_ground_finds_what_it_finds_on_its_own(
    name: str, layers: tuple[WallReinforcement, ...], known: KnownGround
) -> None:
    """Whatever was dug there before: the same volumes, words and assumptions."""
    job = VARIANTS[name]
    layouts = lay_out_walls(job)
    assert dig(job, layouts, layers, known.of(job)) == dig(job, layouts, layers)


def test_variants_are_told_apart() -> None:
    """Every variant, and layers, change what is dug: none could be taken for another."""
    found = [
        dig(job, lay_out_walls(job), layers) for job in VARIANTS.values() for layers in ((), LAYERS)
    ]
    assert all(one != other for n, one in enumerate(found) for other in found[:n])


def test_dig_out_keeps_a_wall_that_is_dug_alike() -> None:
    """The same wall, laid out again and asked for again, is not dug again; ground kept for another
    job keeps its walls; a soil that goes back as fill has no say in digging."""
    ground, job = ground_of(PLAIN), VARIANTS["an area"]
    asked = asked_digging(DETAIL, soil(class_="B"), EARTH_RULES)
    again = asked_digging(DETAIL, soil("other", swell="0.3", class_="B"), EARTH_RULES)
    first = ground.dig_out(lay_out_walls(PLAIN)[0], asked, US)
    assert first is ground.of(job).dig_out(lay_out_walls(job)[0], again, US)


@pytest.mark.parametrize("name", VARIANTS)
def test_lay_out_on_known_ground_gives_the_wall_as_it_is(name: str, known: KnownGround) -> None:
    """Whatever was laid out there before; the same wall is laid out once."""
    job = VARIANTS[name]
    found = lay_out_walls(job, known.of(job))
    assert found == lay_out_walls(job)
    again = lay_out_walls(job, known.of(job))
    assert all(one is other for one, other in zip(found, again, strict=True))


def test_of_measures_other_areas_anew() -> None:
    """Areas, topsoil and units of another job are its own; those of the same job stay measured."""
    ground = ground_of(VARIANTS["an area"])
    assert ground.of(replace(PLAIN, grading=(AREA,))) is ground
    assert ground.of(PLAIN).measured == ()
    deeper = replace(VARIANTS["an area"], topsoil=Topsoil(strip_m=0.1, replace_m=0.1))
    assert ground.of(deeper).measured != ground.measured


def test_draw_gives_a_section_that_was_drawn() -> None:
    """A pen draws each place once; what it drew for the depth of a cut stands in what is dug."""
    layout = lay_out_walls(PLAIN)[0]
    pen = Pen(layout, asked_digging(DETAIL, soil(), EARTH_RULES).digging, US)
    existing = measure_ground(layout)
    ((span, *_),) = pen.spans(existing)
    section = pen.draw(span, span.from_m)
    assert pen.draw(span, span.from_m) is section
    assert section in dig_wall(pen, existing).sections
    assert len({each.station_m for each in pen.drawn}) == len(pen.drawn)


def test_dig_refuses_more_than_can_be_dug(monkeypatch: pytest.MonkeyPatch) -> None:
    """Just as much as is dug is dug; one more is refused with the walls."""
    layouts = lay_out_walls(PLAIN)
    size = sum(layout.size for layout in layouts)
    monkeypatch.setattr(groundwork, "MOST_DUG_SIZE", size)
    assert dig(PLAIN, layouts).earth is not None
    monkeypatch.setattr(groundwork, "MOST_DUG_SIZE", size - 1)
    with pytest.raises(LayoutFaultsError) as caught:
        dig(PLAIN, layouts)
    assert [(fault.code, fault.at) for fault in caught.value.faults] == [
        ("layout-too-large", ("walls",))
    ]
