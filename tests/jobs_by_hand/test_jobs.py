"""What is asked of each job that is worked by hand, and of some jobs alone."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from tests.given.hand_page import BROKEN_GROUND, assert_page
from tests.given.hand_rates import set_cost
from tests.given.job_checks import (
    Job,
    assert_choice,
    assert_days,
    assert_elsewhere_no_dearer,
    missing,
    with_waiting,
)
from tests.given.quote_requests import quoted
from tests.given.served import client_over
from tests.jobs_by_hand import (
    big_dig,
    driveway,
    falling_wall,
    garden_wall,
    metric_garden,
    narrow_gate,
    patio,
    raised_terrace,
    rod_and_level,
    timber_wall,
    two_tiers,
    wet_clay,
)

JOBS = {
    "garden_wall": garden_wall.JOB,
    "narrow_gate": narrow_gate.JOB,
    "timber_wall": timber_wall.JOB,
    "raised_terrace": raised_terrace.JOB,
    "wet_clay": wet_clay.JOB,
    "two_tiers": two_tiers.JOB,
    "rod_and_level": rod_and_level.JOB,
    "big_dig": big_dig.JOB,
    "patio": patio.JOB,
    "falling_wall": falling_wall.JOB,
    "metric_garden": metric_garden.JOB,
    "driveway": driveway.JOB,
}


@pytest.fixture(scope="module")
def client(catalog: Catalog) -> Iterator[TestClient]:
    """A client of a service over the shipped catalog."""
    with client_over(catalog) as client:
        yield client


@pytest.fixture(params=JOBS)
def job(request: pytest.FixtureRequest) -> Job:
    """Each job in turn."""
    return JOBS[request.param]


def test_jobs_are_all_asked() -> None:
    """Every module beside this one is a job of the list."""
    modules = {file.stem for file in Path(__file__).parent.glob("*.py")}
    assert modules - {Path(__file__).stem} == JOBS.keys()


def test_quote_page(client: TestClient, job: Job) -> None:
    """Every figure of the quote is that of the page."""
    assert_page(quoted(client, job.request), job.page(), volumes=job.volumes)


def test_quote_days(client: TestClient, job: Job) -> None:
    """The crew's days, those of the order of work and those that are paid are the job's."""
    assert_days(quoted(client, job.request), job.days)


def test_quote_waiting(client: TestClient, job: Job) -> None:
    """People who leave while they wait are paid no more, and have no more days."""
    here, elsewhere = (
        quoted(client, with_waiting(job.request, waiting)) for waiting in ("paid", "elsewhere")
    )
    assert_elsewhere_no_dearer(here, elsewhere)


def test_quote_machines(client: TestClient, job: Job) -> None:
    """The machines that come and the next best set are the page's, each at what the set costs."""
    runner_up = job.runner_up() if job.runner_up else None
    assert_choice(quoted(client, job.request), job.page(), runner_up)


def test_quote_objections(client: TestClient, job: Job) -> None:
    """What a careful bidder would object to is a line, is named as not priced, or is a caution."""
    assert missing(quoted(client, job.request), job.objections) == set()


def test_big_dig_waiting(client: TestClient) -> None:
    """Who has set out may leave at noon of day 1. Two drive until the skid steer has loaded, in the
    morning of day 6, one digs on that afternoon, and on day 7 all three are back:
    (5.5 x 3 + 5 x 2 + 0.5 x 1) x 8 h = 216 h, not 264."""
    paid = {
        waiting: quoted(client, with_waiting(big_dig.REQUEST, waiting))["labor"]["crews"][0]
        for waiting in ("paid", "elsewhere")
    }
    assert Decimal(paid["paid"]["paid_hours"]) == 264
    assert Decimal(paid["elsewhere"]["paid_hours"]) == 216


def test_big_dig_digging() -> None:
    """The narrow excavator holds the crew longer than the stand-on loader does, digging by hand
    longest of all."""
    narrow, by_hand = big_dig.dug_otherwise()
    ways = (big_dig.page(), big_dig.runner_up(), narrow, by_hand)
    costs = [set_cost(way) for way in ways]
    assert costs == sorted(set(costs))


def test_raised_terrace_mini_excavator() -> None:
    """The mini excavator saves no half day of the crew."""
    assert raised_terrace.by_mini()["days crew"] == raised_terrace.page()["days crew"] == 4


def test_timber_wall_narrow_excavator() -> None:
    """The narrow excavator is there on a second day."""
    assert timber_wall.runner_up()["machine days narrow_excavator"] == 2


def test_falling_wall_narrow_excavator() -> None:
    """The narrow excavator is there on a second day, and the crew on a ninth."""
    narrow = falling_wall.runner_up()
    assert (narrow["machine days narrow_excavator"], narrow["days crew"]) == (2, 9)


def test_two_tiers_shared_cut(client: TestClient) -> None:
    """What both walls would dig is dug once, by the lower wall; each cut is the deeper one's."""
    earthwork = quoted(client, two_tiers.REQUEST)["earthwork"]
    below, above = earthwork["walls"]
    _, _, shared = two_tiers.earth()
    lower, upper, deepest = two_tiers.cuts()
    for found, by_hand in (
        (earthwork["shared_cut"], shared),
        (below["cut"], lower),
        (above["cut"], upper),
        (below["deepest_cut"], deepest),
        (above["deepest_cut"], deepest),
    ):
        assert float(found["value"]) == pytest.approx(by_hand, rel=BROKEN_GROUND)


def test_metric_garden_units(client: TestClient) -> None:
    """A metric caller reads metric units, but for soil that leaves by the yard of its price."""
    found = {
        line["item"]: (line["net"]["unit"], line["order"]["unit"])
        for line in quoted(client, metric_garden.REQUEST)["quantities"]
    }
    assert found["base_stone_metric"] == ("m3", "t")
    assert found["drain_stone_metric"] == ("m3", "m3")
    assert found["drain_pipe_metric"] == ("m", "roll")
    assert found["filter_fabric_metric"] == ("m2", "roll")
    assert found["haul_off"] == ("m3", "yd3")
