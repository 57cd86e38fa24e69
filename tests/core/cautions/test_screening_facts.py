"""Facts of the checks: at their own wall or of the job, and why a whole slope may move."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.cautions.screening_facts import (
    job_screening_facts,
    slope_reasons,
    wall_screening_facts,
)
from service.core.job.basis import CheckName
from service.core.job.fact import Fact
from service.core.job.job import Job, Soils
from service.core.job.site import Water, WaterSeen
from service.core.job.soil import SoilKind
from service.core.job.spec import Tier, WallSpec
from service.core.measure import US
from service.core.screening.check import Check, Status
from service.core.screening.screening import Screening
from service.core.screening.wall_screening import WallScreening
from tests.given.basis import ASSOCIATION
from tests.given.earth import soil
from tests.given.jobs import job_of
from tests.given.walls import inch, laid, level_wall, section

WET_AND_DRY: tuple[WaterSeen, ...] = ("wet_ground", "runoff")
LOW, UP = level_wall(name="low"), level_wall(name="up")


def job(*walls: WallSpec, soils: Soils | None = None) -> Job:
    """A job in a place without rules."""
    return replace(job_of(*walls), soils=soils or Soils())


def check(name: CheckName, wall: str, status: Status = "fail") -> Check:
    """A check that was made of a plain stack."""
    return Check(check=name, limit="min", wall=wall, status=status, source="by hand")


def screened(*checks: Check, cover_m: float | None = None) -> Screening:
    """What was found for two walls."""
    basis = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, cover_m=cover_m))
    walls = (WallScreening(wall="low"), WallScreening(wall="up"))
    return Screening(basis=basis, plain_checks=checks, other_checks=(), walls=walls)


def test_failing_checks_are_told_at_their_own_wall_or_once_for_the_job() -> None:
    """The lower wall slides: that is its own. Water without an outlet is the whole job's."""
    found = screened(check("base_sliding", "low"), check("water_pressure", "low"))
    both = job(LOW, UP)
    low, up = (
        wall_screening_facts(both, laid(wall), found, reinforced=False) for wall in both.walls
    )
    of_job = job_screening_facts(found, US, reinforced=False)
    assert (low["gravity_fails"].value, up["gravity_fails"].value) == (1.0, 0.0)
    assert of_job["outlet_none"].value == 1.0
    assert "gravity_fails" not in of_job
    assert "outlet_none" not in low


@pytest.mark.parametrize(("status", "made"), [("pass", 1.0), ("not_checked", 0.0)])
def test_job_is_screened_where_sliding_was_checked(status: Status, made: float) -> None:
    """At every wall: one of two facts holds, never both."""
    found = screened(check("base_sliding", "low", "pass"), check("base_sliding", "up", status))
    facts = job_screening_facts(found, US, reinforced=False)
    assert (facts["screened"].value, facts["not_screened"].value) == (made, 1.0 - made)


def test_cover_of_layers_is_told_where_they_are_built_and_the_basis_wants_some() -> None:
    """6 in over a layer, of a basis that says so; a plain stack has no layer."""
    wanted, unsaid = screened(cover_m=inch(6)), screened()
    facts = job_screening_facts(wanted, US, reinforced=True)
    assert facts["layer_cover"] == Fact(value=1.0, words="At least 6 in of it.")
    assert "layer_cover" not in job_screening_facts(wanted, US, reinforced=False)
    assert "layer_cover" not in job_screening_facts(unsaid, US, reinforced=True)


@pytest.mark.parametrize(
    ("front", "back", "steep"),
    [(1 / 3, 0.0, True), (0.0, 1 / 3, True), (0.33, 0.33, False)],
    ids=["in front", "behind", "flatter"],
)
def test_ground_as_steep_as_the_basis_says_may_move_as_a_whole(
    front: float, back: float, steep: bool
) -> None:
    """1 in 3 on one side of the wall is enough, the limit included."""
    spec = replace(LOW, front_slope=front, back_slope=back)
    layout = laid(spec, detail=section(shares=((0.5, 0.05),)))
    facts = wall_screening_facts(job(spec), layout, screened(), reinforced=False)
    told = Fact(value=1.0, words="Here: steep ground.")
    assert facts["overall_slope"] == (told if steep else Fact(value=0.0))


def test_tiers_may_move_as_a_whole_and_a_wall_beside_them_may_not() -> None:
    """The lower and the upper one of two tiers, and not a third wall."""
    three = job(LOW, UP, level_wall(name="away"))
    three = replace(three, tiers=(Tier(lower="low", upper="up", offset_m=inch(60)),))
    reasons = [tuple(slope_reasons(three, laid(wall))) for wall in three.walls]
    assert reasons == [("tiers",), ("tiers",), ()]


@pytest.mark.parametrize(
    ("retained", "foundation", "soft"),
    [("clay", None, True), ("clay", "granular", False), ("granular", "clay", True)],
)
def test_clay_under_the_wall_goes_by_the_soil_that_it_stands_on(
    retained: SoilKind, foundation: SoilKind | None, soft: bool
) -> None:
    """The soil under the wall where it was named, otherwise the one behind it."""
    behind = replace(soil(retained), kind=retained)
    under = replace(soil(foundation), kind=foundation) if foundation else None
    here = job(LOW, soils=Soils(retained=behind, foundation=under))
    assert ("clay under the wall" in slope_reasons(here, laid(LOW))) == soft


def test_wet_ground_may_move_as_a_whole() -> None:
    """Water that runs off above is no wet ground."""
    wet, dry = (replace(job(LOW), water=Water(seen=(seen,))) for seen in WET_AND_DRY)
    assert tuple(slope_reasons(wet, laid(LOW))) == ("wet ground",)
    assert tuple(slope_reasons(dry, laid(LOW))) == ()
