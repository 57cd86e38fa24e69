"""The class of a cut's soil, from the site to the slope that is dug."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.built import lay_out_walls
from service.core.ground.groundwork import dig
from service.core.job.job import Job, Soils
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.site import Site
from service.core.job.soil import ExcavationClass
from service.core.measure import US
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES, dig_section, ground_wall, soil
from tests.given.walls import ft, system


def job(class_: ExcavationClass, site: Site | None) -> Job:
    """A wall of 4 ft before ground of 4 ft, dug at the slope of its soil's class."""
    spec = ground_wall((0, 4, 0, 4), (40, 4, 0, 4), graded_in_front_m=ft(3), graded_behind_m=ft(20))
    return Job(
        units=US,
        walls=(spec,),
        system=system(cap=None),
        section=dig_section(cut_slope=None),
        materials={},
        jurisdiction=Jurisdiction(
            id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES
        ),
        basis=ASSOCIATION,
        soils=Soils(retained=soil(class_=class_)),
        site=site,
    )


@pytest.mark.parametrize(
    ("class_", "site", "slope"),
    [
        ("A", None, 0.75),
        ("A", Site(seen=("fill",)), 1.0),
        ("A", Site(seen=("rock",)), 0.75),
        ("B", Site(seen=("fill",)), 1.0),
        ("C", Site(seen=("fill",)), 1.5),
    ],
)
def test_trap_38_a_cut_in_fill_is_dug_as_class_b_at_best(
    class_: ExcavationClass, site: Site | None, slope: float
) -> None:
    """Disturbed ground is never class A: 1:1 is dug and not 3/4:1, and the answer says why."""
    asked = job(class_, site)
    work = dig(asked, lay_out_walls(asked))
    assert work.earth is not None
    (wall,) = work.earth.walls
    assert wall.cut_slope == slope
    flattened = class_ == "A" and slope == 1.0
    said = [(each.field, each.value) for each in work.assumptions]
    assert said == ([("/soils/retained: excavation.class", "B")] if flattened else [])


def test_trap_38_the_flatter_cut_is_more_earth() -> None:
    """What is dug at 1:1 is more than what 3/4:1 would have been."""
    cuts = []
    for site in (None, Site(seen=("fill",))):
        asked = job("A", site)
        earth = dig(asked, lay_out_walls(asked)).earth
        assert earth is not None
        cuts.append(earth.cut_m3)
    assert cuts[1] > cuts[0]


def test_dig_leaves_the_job_s_soil_as_it_was() -> None:
    """Only the slope goes by the other class: the soil itself keeps its figures."""
    asked = job("A", Site(seen=("fill",)))
    dig(asked, lay_out_walls(asked))
    assert asked.soils.retained == replace(soil(class_="A"))
