"""Tasks of site work: what a file becomes, and the tasks that come with the service."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from service.catalog import Catalog, read_catalog
from service.catalog.schemas import shipped_folder
from service.core.job.machine import Truck
from service.core.job.phase import PHASES
from service.core.job.site_task import (
    DISCARDED_TITLES,
    SiteDisposal,
    SiteMachine,
    SiteMaterial,
    SiteTask,
    SiteWorkEntry,
)
from service.core.labor.hours import done_by
from service.core.labor.site_work import SiteWork, with_site_work
from service.core.measure import METRIC, UNITS, US, UnitSet
from service.core.three_point import ThreePoint
from tests.given.catalog_files import write_folder
from tests.given.money import priced, quantities, rates
from tests.given.site_work import asked, hours, line_of, site_work

TASK = """\
id = "demo"
version = "1"
title = "Demo"
phase = "take_down"
measured_by = "length"
unit = "ft"
crew = "fencers"
conditions = ["ground"]
[source]
kind = "invented"
[labor]
hours = { low = "0.1", likely = "0.2", high = "0.4" }
[machine]
id = "skid_steer"
hours = "0.05"
by_hand = "1"
[[materials]]
item = "bag"
amount = "0.2 each"
waste = "0.05"
[[disposal]]
what = "concrete"
item = "tip_concrete"
amount = "650 lb"
"""
README = (shipped_folder() / "README.md").read_text(encoding="utf-8")
# What issue reports and estimates ask for again and again.
NEEDED = (
    "take_down_chain_link_fence",
    "reset_chain_link_fence",
    "take_down_wood_fence",
    "reset_wood_fence",
    "pull_concrete_post",
    "take_down_timber_wall",
    "take_down_block_wall",
    "take_down_stone_wall",
    "take_down_concrete_wall",
    "remove_timber_edging",
    "remove_hedge",
    "fell_tree_to_6_in",
    "remove_stump_12_to_24_in",
    "remove_concrete",
    "sawcut",
    "lift_pavers",
    "relay_pavers",
    "lift_edging",
    "relay_edging",
    "move_sprinkler_line",
    "move_light",
    "strip_topsoil",
    "rough_grade",
    "fine_grade",
    "spread_topsoil",
    "lay_sod",
    "seed_and_blanket",
    "protect_access",
    "restore_lawn",
    "silt_fence",
    "temporary_fence",
    "drain_outlet_run",
    "set_post_sleeve",
    "set_rail_post",
)


@pytest.fixture(scope="module")
def tasks(catalog: Catalog) -> tuple[SiteTask, ...]:
    """The shipped tasks."""
    return tuple(entry.core for entry in catalog.site_work.values())


def all_of_it(catalog: Catalog, tasks: tuple[SiteTask, ...], units: UnitSet) -> SiteWork:
    """Ten of everything, by rates without machines."""
    materials = [entry.core for entry in catalog.materials.values()]
    truck = Truck(volume_m3=8.0, payload_kg=9000.0)
    entries: list[SiteWorkEntry] = [asked(task, "10") for task in tasks]
    return site_work(*entries, materials=materials, rates=rates(), truck=truck, units=units)


def test_a_user_adds_a_task_in_toml_alone(tmp_path: Path) -> None:
    """A file in a folder of the user's becomes a task, every key of it."""
    folder = write_folder(tmp_path, {"site_work/demo.toml": TASK})
    assert read_catalog([folder]).site_work["demo"].core == SiteTask(
        id="demo",
        version="1",
        title="Demo",
        phase="take_down",
        measured_by="length",
        unit=UNITS["ft"],
        crew="fencers",
        conditions=("ground",),
        hours_per_unit=hours("0.1", "0.2", "0.4"),
        machine=SiteMachine(machine="skid_steer", hours_per_unit=hours("0.05"), by_hand=hours("1")),
        materials=(
            SiteMaterial(
                item="bag", amount=Decimal("0.2"), unit=UNITS["each"], waste=Decimal("0.05")
            ),
        ),
        disposal=(
            SiteDisposal(
                what="concrete", item="tip_concrete", amount=Decimal(650), unit=UNITS["lb"]
            ),
        ),
    )


def test_a_task_needs_one_thing_that_costs(tmp_path: Path) -> None:
    """Labor, machine, material and tipping may each be left out, as long as one is there."""
    head, _, rest = TASK.partition("[labor]")
    parts = ["[labor]" + rest.split("[machine]")[0], "[machine]" + rest.split("[machine]")[1]]
    machine, material = parts[1].split("[[materials]]")
    material, tipping = material.split("[[disposal]]")
    singles = (parts[0], machine, f"[[materials]]{material}", f"[[disposal]]{tipping}")
    files: dict[str, str | bytes] = {
        f"site_work/demo_{number}.toml": (head + single).replace('"demo"', f'"demo_{number}"')
        for number, single in enumerate(singles)
    }
    assert len(read_catalog([write_folder(tmp_path, files)]).site_work) == 4


@pytest.mark.parametrize("name", NEEDED)
def test_shipped_tasks_cover_what_jobs_need(catalog: Catalog, name: str) -> None:
    """A useful set comes with the service."""
    assert name in catalog.site_work


@pytest.mark.parametrize("units", [US, METRIC])
def test_demo_prices_cover_all_site_work(
    catalog: Catalog, tasks: tuple[SiteTask, ...], units: UnitSet
) -> None:
    """Whatever the shipped tasks take and leave has a file and a price in the demo list."""
    found = all_of_it(catalog, tasks, units)
    lines = with_site_work(quantities(), found).lines
    price = priced(lines, catalog.price_lists["demo_2026"].core)
    bought = [line.item for line in price.lines if line.group != "delivery"]
    assert bought == sorted(line.item for line in found.lines)
    assert all(line.cost > 0 for line in price.lines)
    assert all(line.item in catalog.materials for line in found.lines)
    assert not any(line.increment_assumed for line in found.lines if line.kind == "disposal")


def test_shipped_tasks_are_done_without_any_machine(
    catalog: Catalog, tasks: tuple[SiteTask, ...]
) -> None:
    """Rates without machines, or a way too narrow for one, still do every shipped task."""
    found = all_of_it(catalog, tasks, US).work
    assert sorted(row.task for row in done_by("crew", found)) == sorted(task.id for task in tasks)
    assert done_by("machine", found) == ()
    assert all(row.hours_low <= row.hours <= row.hours_high for row in done_by("crew", found))
    assert all(row.variance > 0 for row in done_by("crew", found))


def expected(rate: ThreePoint | None) -> Fraction:
    """The expected hours of a rate; none are 0."""
    return rate.expected if rate else Fraction(0)


def test_shipped_tasks_take_longer_by_hand(tasks: tuple[SiteTask, ...]) -> None:
    """By hand a task takes more person-hours than beside a machine with one operator."""
    for task in tasks:
        if task.machine:
            beside = expected(task.hours_per_unit) + task.machine.hours_per_unit.expected
            assert expected(task.machine.by_hand) > beside, task.id


def test_shipped_tipping_has_a_price_for_each_kind(catalog: Catalog) -> None:
    """Clean soil, sod, concrete, treated timber and the rest are tipped at prices of their own,
    weighed or not, and treated timber costs more than other timber."""
    prices = catalog.price_lists["demo_2026"].core.items
    for what in DISCARDED_TITLES:
        assert f"tip_{what}" in prices
        assert catalog.materials[f"tip_{what}"].core.loose_kg_m3
    assert prices["tip_treated_timber"].unit_cost > prices["tip_timber"].unit_cost


def test_shipped_tasks_share_no_id_with_tasks_of_the_rates(catalog: Catalog) -> None:
    """A row of hours says by its id what it is."""
    for entry in catalog.production_rates.values():
        others = [*(task.id for task in entry.core.tasks), *(f.id for f in entry.core.fixed)]
        assert not [name for name in others if name in catalog.site_work]


def test_shipped_trench_hours_are_the_published_outputs(catalog: Catalog) -> None:
    """Printed: 0.66, 0.57 and 0.46 m3 in an hour of one worker in loose soil, firm soil and clay;
    one cubic yard is 0.764555 m3: 1.16, 1.34 and 1.66 h."""
    rate = catalog.site_work["dig_trench_by_hand"].core.hours_per_unit
    assert rate is not None
    found = [float(rate.low), float(rate.likely), float(rate.high)]
    assert found == pytest.approx([0.764555 / output for output in (0.66, 0.57, 0.46)], abs=0.005)


@pytest.mark.parametrize(
    ("post", "fill_yd3", "concrete_ton"),
    [("pull_concrete_post", "0.5", "0.8"), ("pull_concrete_end_post", "2", "3.3")],
)
def test_shipped_post_takes_its_hole(
    catalog: Catalog, post: str, fill_yd3: str, concrete_ton: str
) -> None:
    """10 line posts leave holes of 1.1 ft3 (10 in across, 24 in deep): 11 ft3 x 1.17 loose / 27 =
    0.477, so 0.5 yd3, and 1,600 lb of concrete; 10 end posts 4.5 ft3 each: 1.95, so 2 yd3, and
    6,500 lb: 3.25, so 3.3 ton."""
    materials = [catalog.materials[item].core for item in ("hole_fill", "tip_concrete")]
    found = site_work(asked(catalog.site_work[post].core, "10"), materials=materials)
    assert line_of(found, "hole_fill").order == Decimal(fill_yd3)
    assert line_of(found, "tip_concrete").order == Decimal(concrete_ton)


def test_readme_lists_the_words_of_site_work() -> None:
    """The guide names every phase, and everything that is carried away."""
    for word in (*PHASES, *DISCARDED_TITLES):
        assert re.search(rf"`{word}`", README), word
