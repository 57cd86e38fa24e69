"""Facts of a job put together: of each wall, and of all of them."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest

from service.core.cautions.job_facts import WorkOfCrews, facts_of
from service.core.ground.balance import Earthwork, balance
from service.core.job.fact import Assumption, Fact, Facts
from service.core.job.job import Job, Soils
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.machine import HandStrip
from service.core.job.spec import Ends
from service.core.job.terms import Profit, Terms
from service.core.measure import US
from service.core.screening.screening import Screening
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES, FOOT_DEEP, dug, ground_wall, soil
from tests.given.money import margin, markup, rates
from tests.given.set_walls import UPRIGHT
from tests.given.walls import ft, laid

# Ground at 4.25 ft at the plan line that rises 1 in 2: cut 5 ft deep at 1:1.
SPEC = ground_wall(
    (0, 9, 4, 4.25),
    (40, 9, 4, 4.25),
    ends=Ends(start="open", finish="open"),
    existing_slope=0.5,
    graded_in_front_m=ft(10),
    graded_behind_m=ft(30),
)
CLASS_B = soil(class_="B")
JOB = Job(
    units=US,
    walls=(SPEC,),
    system=UPRIGHT,
    section=FOOT_DEEP,
    materials=MappingProxyType({}),
    jurisdiction=Jurisdiction(id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES),
    basis=ASSOCIATION,
    soils=Soils(retained=CLASS_B),
)
LAYOUT = laid(SPEC, UPRIGHT, FOOT_DEEP)
NOT_SCREENED = Screening(basis=ASSOCIATION, plain_checks=(), other_checks=(), walls=())


def facts(job: Job, earth: Earthwork | None = None) -> tuple[Facts, Facts]:
    """Facts of its one wall, and of the job."""
    by_wall, of_job = facts_of(job, [LAYOUT], earth, WorkOfCrews(), NOT_SCREENED, reinforced=False)
    assert list(by_wall) == [LAYOUT.name]
    return by_wall[LAYOUT.name], of_job


@pytest.mark.parametrize(
    ("profit", "told"),
    [(markup("0.25"), Fact(value=0.25, words="The markup is 25 %.")), (margin("0.25"), None)],
    ids=["markup", "margin"],
)
def test_markup_is_told_of_profit_on_cost_alone(profit: Profit, told: Fact | None) -> None:
    """25 % on cost is a markup of a quarter; 25 % of the price is none."""
    _, of_job = facts(replace(JOB, terms=Terms(profit=profit)))
    assert of_job.get("markup") == told


@pytest.mark.parametrize(
    ("fields", "assumed"),
    [((), 0.0), (("/rates",), 0.0), (("/rates", "/terms/tax/base"), 1.0)],
)
def test_assumed_tax_is_told_among_other_assumptions(
    fields: tuple[str, ...], assumed: float
) -> None:
    """Rates that were assumed are no tax."""
    assumptions = tuple(Assumption(field=field, value="", why="") for field in fields)
    _, of_job = facts(replace(JOB, assumptions=assumptions))
    assert of_job["price_tax_assumed"].value == assumed


def test_ground_that_is_measured_is_told_of_its_own_wall() -> None:
    """A cut of 5 ft in class B at 1:1 protects by its slope, and its hours hold the strip that is
    filled by hand. Fill behind it stands over that ground. Without ground nothing is known of
    either, and courses are counted."""
    job = replace(JOB, rates=replace(rates(), hand_strip=HandStrip(width_m=ft(3))))
    earth = balance([dug(SPEC, FOOT_DEEP, of=CLASS_B)], [], CLASS_B, None, None, None, US)
    protects = "The quoted slope of 1:1 is the protection."
    wall, of_job = facts(job, earth)
    assert of_job["ground_not_measured"].value == 0.0
    assert wall["classed_cut_depth"].words.endswith(protects)
    assert "course_count" not in wall
    assert "raised_side" in wall
    wall, of_job = facts(job)
    assert of_job["ground_not_measured"].value == 1.0
    assert protects not in wall["classed_cut_depth"].words
    assert wall["course_count"].value > 0
    assert "raised_side" not in wall
