"""Facts of how the work is done: dust by tool, pallets that nothing lifts, how often units are
set."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from types import MappingProxyType

import pytest

from service.catalog import Catalog
from service.core.cautions.handling_facts import handling_fact, lifts_per_minute
from service.core.cautions.work_facts import dust_fact, pallet_fact
from service.core.job.fact import Fact
from service.core.job.handling import DustControl, DustTool
from service.core.job.job import Job
from service.core.job.measured import Measured
from service.core.job.site_task import SiteWorkEntry
from service.core.labor.fit import SiteLimits
from service.core.measure import US
from service.core.shares import Shares
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.money import rates, scheduled, task
from tests.given.quote_requests import Json, shipped_request
from tests.given.walls import inch, laid, legs, level_wall, system, unit

LB = 0.45359237
ROWS: dict[DustTool, DustControl] = {
    "wet_saw": DustControl(control="wet"),
    "handheld_saw": DustControl(
        control="wet, outdoors", respirator_over_h=Decimal(4), protection=10
    ),
    "breaker": DustControl(control="spray", respirator_over_h=Decimal(0), protection=25),
}
SHORT = laid(level_wall())


def job_of(catalog: Catalog, **more: object) -> Job:
    """A shipped request as the core reads it, in a place with three rows of dust."""
    document: Json = {**shipped_request(), **more}
    job, _ = to_core(read_request(document, catalog), catalog)
    place = replace(job.jurisdiction, dust=MappingProxyType(ROWS))
    return replace(job, jurisdiction=place, rates=None)


def test_dust_fact_takes_the_tool_of_which_most_is_asked(catalog: Catalog) -> None:
    """Units are cut, and no rates say with what: a handheld saw, with its hours and respirator."""
    fact = dust_fact(job_of(catalog), [SHORT], None)["dust"]
    assert fact == Fact(
        value=1.0,
        words="Handheld saw: wet, outdoors; over 4 h of it in a shift a respirator with an "
        "assigned protection factor of 10.",
    )


@pytest.mark.parametrize(
    ("exposed_in", "legs_in", "dusty"),
    [(6, (180,), 0.0), (6, (171,), 1.0), (14, (180,), 1.0), (6, (180, 180), 1.0)],
    ids=["whole units", "half a unit less", "two courses in running bond", "a mitred corner"],
)
def test_dust_fact_goes_by_the_units_that_are_cut(
    catalog: Catalog, exposed_in: float, legs_in: tuple[float, ...], dusty: float
) -> None:
    """A course of 8 in under a cap of 4 in, 6 in of it buried, shows 6 in; ten units of 18 in are
    180 in. Around a corner the second leg begins 12 in behind the first one: 168 in are 9.33 units.
    Another wall beside it has none but whole ones."""
    layout = laid(level_wall(legs("outside", 90, *map(inch, legs_in)), inch(exposed_in)))
    whole = laid(level_wall(inch(180), inch(6)))
    assert dust_fact(job_of(catalog), [whole, layout], None)["dust"].value == dusty


@pytest.mark.parametrize(
    "half",
    [
        DustControl(control="wet, outdoors", respirator_over_h=Decimal(4)),
        DustControl(control="wet, outdoors", protection=10),
    ],
    ids=["no factor", "no hours"],
)
def test_dust_fact_asks_for_no_respirator_of_which_half_is_known(
    catalog: Catalog, half: DustControl
) -> None:
    """Without its hours, or without its factor, there is no respirator to ask for."""
    job = job_of(catalog)
    place = replace(job.jurisdiction, dust=MappingProxyType({"handheld_saw": half}))
    fact = dust_fact(replace(job, jurisdiction=place), [SHORT], None)["dust"]
    assert fact.words == "Handheld saw: wet, outdoors."


def test_dust_fact_goes_by_the_tasks_that_are_done(catalog: Catalog) -> None:
    """A task with hours that saws wet on a stand raises its own row, and one without hours none;
    site work that breaks concrete raises the breaker's, asked for from the first hour."""
    caps = replace(task("caps", by="cap_units", hours="0.1"), dust=("wet_saw",))
    idle = replace(task("idle", by="corner_units", hours="0.1"), dust=("handheld_saw",))
    of = rates(caps, idle)
    labor = scheduled(of, {"cap_units": (("wall-1", 20.0),), "corner_units": ()})
    job = replace(job_of(catalog), rates=of)
    assert dust_fact(job, [SHORT], labor)["dust"].words == "Masonry saw on a stand: wet."
    broken = catalog.site_work["remove_concrete"].core
    entry = SiteWorkEntry(task=replace(broken, dust=("breaker",)), quantity=10.0)
    words = dust_fact(replace(job, site_work=(entry,)), [SHORT], labor)["dust"].words
    assert words == (
        "Masonry saw on a stand: wet. Handheld breaker: spray; a respirator with an assigned "
        "protection factor of 25."
    )


@pytest.mark.parametrize(
    ("name", "tools"),
    [
        ("sawcut", ("walk_behind_saw",)),
        ("remove_concrete", ("breaker",)),
        ("take_down_concrete_wall", ("machine_breaker", "breaker")),
    ],
)
def test_shipped_tasks_that_break_concrete_say_with_what(
    catalog: Catalog, name: str, tools: tuple[str, ...]
) -> None:
    """Every shipped task whose title saws or breaks concrete names its tools, each with a row."""
    assert catalog.site_work[name].core.dust == tools
    assert set(tools) <= set(catalog.jurisdictions["plain"].core.dust)
    titles = {entry.core.id: entry.core.title.lower() for entry in catalog.site_work.values()}
    works = {key for key, title in titles.items() if "saw" in title or "break up" in title}
    assert works == {key for key in titles if catalog.site_work[key].core.dust}


def test_lifts_per_minute_go_by_the_hours_of_the_task() -> None:
    """120 units in 12 person-hours, and 6 in 0.6 of one, are 10 an hour and 1/6 a minute; two
    tasks on the same units add their hours."""
    set_them = task("set", by="standard_units", hours="0.1")
    of = rates(set_them)
    counted: dict[Measured, Shares] = {"standard_units": (("wall-1", 120.0),)}
    once = lifts_per_minute(of, scheduled(of, counted))
    assert once["standard_units"] == pytest.approx(1 / 6)
    few = lifts_per_minute(of, scheduled(of, {"standard_units": (("wall-1", 6.0),)}))
    assert few["standard_units"] == pytest.approx(1 / 6)
    twice = rates(set_them, task("glue", by="standard_units", hours="0.1"))
    assert lifts_per_minute(twice, scheduled(twice, counted))["standard_units"] == pytest.approx(
        1 / 12
    )
    assert lifts_per_minute(None, None) == lifts_per_minute(of, None) == {}


def test_lifts_per_minute_of_less_than_one_of_what_is_counted() -> None:
    """Half of it in 0.6 h is 1 in 72 minutes."""
    of = rates(task("fill", by="core_fill_volume", hours="1.2"))
    often = lifts_per_minute(of, scheduled(of, {"core_fill_volume": (("wall-1", 0.5),)}))
    assert often["core_fill_volume"] == pytest.approx(1 / 72)


def test_lifts_per_minute_leave_out_units_that_take_no_time() -> None:
    """20 caps at 0.0001 h are 0.00 h: nobody can say how often they are lifted."""
    caps = task("caps", by="cap_units", hours="0.0001")
    of = rates(task("set", by="standard_units", hours="0.1"), caps)
    counted: dict[Measured, Shares] = {
        "standard_units": (("wall-1", 120.0),),
        "cap_units": (("wall-1", 20.0),),
    }
    assert list(lifts_per_minute(of, scheduled(of, counted))) == ["standard_units"]


def test_handling_fact_takes_the_worst_of_all_units(catalog: Catalog) -> None:
    """A lighter corner that is set ten times as often is the worse lift."""
    handling = catalog.jurisdictions["plain"].core.handling
    assert handling is not None
    blocks = system(
        standard=unit(weight_kg=60 * LB),
        corner=replace(unit(weight_kg=50 * LB), item="corner"),
        cap=None,
    )
    rare = handling_fact(blocks, handling, {"standard_units": 0.2, "corner_units": 0.2}, US)
    assert rare["lifting_index"].value == pytest.approx(60 / 17.706, rel=1e-3)
    often = handling_fact(blocks, handling, {"standard_units": 0.2, "corner_units": 2.0}, US)
    assert often["lifting_index"].value == pytest.approx(50 / (17.706 * 0.65 / 0.85), rel=1e-3)
    assert (
        "The corner unit weighs 50 lb, the limit at 2 a minute all day"
        in often["lifting_index"].words
    )


def test_pallet_fact_holds_where_nobody_counts_breaking(catalog: Catalog) -> None:
    """A pallet that no machine lifts is told where no task breaks pallets, and not where a truck
    with a crane (no pallet counts) or a task does."""
    heavy = SiteLimits(pallet_kg=1500.0)
    job = replace(job_of(catalog), rates=rates())
    fact = pallet_fact(job, heavy)["pallets_too_heavy"]
    assert fact.value == 1
    assert fact.words.startswith("A pallet weighs ")
    assert pallet_fact(job, SiteLimits())["pallets_too_heavy"].value == 0
    breaking = replace(task("break", by="all_units", hours="0.1"), breaks_pallets=True)
    counted = replace(job, rates=rates(breaking))
    assert pallet_fact(counted, heavy)["pallets_too_heavy"].value == 0
