"""Machines chosen for the whole job, worked by hand (rule 19.8)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.access import Access
from service.core.job.machine import ChooseBy, MachineCost
from service.core.job.site_task import SiteMachine, SiteTask, SiteWorkEntry
from service.core.labor.choosing.machine_sets import MOST_OPTIONAL
from service.core.labor.fit import SiteLimits
from service.core.measure import UNITS
from service.core.three_point import one_figure
from tests.given.machine_sets import BY_HAND, choose, chosen_by, cost, done, sets_of, volumes
from tests.given.machines import digger, machine_task
from tests.given.money import daily, task
from tests.given.walls import ft


def test_choose_machines_takes_the_set_that_costs_least() -> None:
    """12 yd3 take the digger 3 h: half a day of the crew 400, 3 h 30, a day 200, a delivery 100,
    in all 730. By hand 18 h are a day and a half of the crew: 1200."""
    rates = chosen_by({"digger": cost("10", "200", "100")}, machine_task(otherwise="dig_by_hand"))
    found = choose(rates, volumes(cut=12))
    assert sets_of(found) == [(("digger",), "730.00"), ((), "1200.00")]
    assert done(found) == ["dig", "dig"]
    assert found.choice is not None
    assert found.choice.how == (
        "chosen by costs of the rates, which are no prices: Digger",
        "Crew: 0.5 days x 800 = 400",
        "Digger: 3 hours x 10 + 1 day x 200 + 1 delivery x 100 = 330",
        "together 730",
        "next of 2 sets: no machines: 1200.00",
    )


def test_choose_machines_lets_no_machine_come_for_half_an_hour() -> None:
    """2 yd3 are half an hour of the digger: half a day of the crew and 305. By hand they are 3 h,
    which are half a day of the crew too, so that nothing is hired."""
    rates = chosen_by({"digger": cost("10", "200", "100")}, machine_task(otherwise="dig_by_hand"))
    found = choose(rates, volumes(cut=2))
    assert sets_of(found) == [((), "400.00"), (("digger",), "705.00")]
    assert done(found) == ["dig_by_hand"]
    (replaced,) = found.replaced
    assert (replaced.task, replaced.by, replaced.code) == (
        "dig",
        "dig_by_hand",
        "machine-not-chosen",
    )


def test_choose_machines_gives_a_small_task_to_the_machine_that_is_there() -> None:
    """The loader backfills 20 yd3 in 5 h, and digs 2 yd3 in an hour where the digger takes half of
    it: 6 h of the loader and half a day are 460; with the digger 5 h, half an hour and half a day
    are 450 and its hire 300 more."""
    loader = (
        machine_task("backfill", by="backfill_volume", machine="loader"),
        machine_task("dig", machine="digger", otherwise="dig_with_loader"),
        machine_task("dig_with_loader", machine="loader", hours=one_figure(Decimal("0.5"))),
    )
    costs = {"digger": cost("0", "200", "100"), "loader": cost("10")}
    found = choose(chosen_by(costs, *loader, tasks=()), volumes(cut=2, backfill=20))
    assert sets_of(found) == [(("loader",), "460.00"), (("digger", "loader"), "750.00")]
    assert [(each.machine.id, str(each.hours)) for each in found.equipment] == [("loader", "6.00")]


@pytest.mark.parametrize(
    ("costs", "expected"),
    [
        ({"ant": cost(), "bee": cost()}, [((), "400.00"), (("ant",), "400.00")]),
        ({"ant": cost("20"), "bee": cost("20")}, [((), "400.00"), (("ant",), "410.00")]),
        ({"ant": cost("21"), "bee": cost("20")}, [((), "400.00"), (("bee",), "410.00")]),
    ],
)
def test_choose_machines_takes_the_fewest_of_equal_cost(
    costs: Mapping[str, MachineCost], expected: list[tuple[tuple[str, ...], str]]
) -> None:
    """Of sets that cost the same the one with the fewest machines is taken, then the one whose
    machines the rates name first."""
    ways = (
        machine_task("dig", machine="ant", otherwise="dig_too"),
        machine_task("dig_too", machine="bee", otherwise="dig_by_hand"),
    )
    assert sets_of(choose(chosen_by(costs, *ways), volumes(cut=2))) == expected


def test_choose_machines_takes_only_those_that_pass() -> None:
    """A digger 5 ft wide is no choice behind a gate of 4 ft, and the task says so."""
    rates = chosen_by({"digger": cost()}, machine_task(otherwise="dig_by_hand"), crew_day="100")
    limits = SiteLimits(access=Access(narrowest_m=ft(4)))
    found = choose(rates, volumes(cut=12), limits)
    assert found.choice is None
    assert [each.code for each in found.replaced] == ["machine-too-wide"]


def test_choose_machines_counts_site_work_too() -> None:
    """A stump of site work takes the digger 1 h, or 4 h by hand. With the digger, which then digs
    too, 730 + 1 h of it are 740 (4 h are half a day); by hand 22 h are a day and a half, 1200.
    Alone it is done by hand in half a day: 400, and 710 with the digger."""
    stump = SiteTask(
        id="stump",
        version="1",
        title="Stump",
        phase="take_down",
        measured_by="count",
        unit=UNITS["each"],
        machine=SiteMachine(
            machine="digger",
            hours_per_unit=one_figure(Decimal(1)),
            by_hand=one_figure(Decimal(4)),
        ),
    )
    rates = chosen_by({"digger": cost("10", "200", "100")}, machine_task(otherwise="dig_by_hand"))
    entries = (SiteWorkEntry(task=stump, quantity=1),)
    found = choose(rates, volumes(cut=12), entries=entries)
    assert sets_of(found) == [(("digger",), "740.00"), ((), "1200.00")]
    small = choose(rates, volumes(cut=0.5), entries=entries)
    assert sets_of(small)[0] == ((), "400.00")
    assert done(small) == ["dig_by_hand", "stump"]
    alone = choose(rates, volumes(cut=0), entries=entries)
    assert sets_of(alone) == [((), "400.00"), (("digger",), "710.00")]


def test_choose_machines_leaves_out_a_crew_without_an_hour_for_work() -> None:
    """Travel of 16 h a day leaves two people no hour: nothing can be dug by hand, though it seems
    to cost least. A digger with its own driver digs 3 h: 730; a crew that must drive it can't."""
    own, driven = replace(digger(), operator=None), digger()
    ways = machine_task(otherwise="dig_by_hand")
    costs = {"digger": cost("10", "200", "500")}
    away = chosen_by(costs, ways, machines=(own,))
    found = choose(replace(away, fixed=(daily("16"),)), volumes(cut=12))
    assert sets_of(found) == [(("digger",), "730.00")]
    with pytest.raises(QuoteFaultsError):
        choose(
            replace(chosen_by(costs, ways, machines=(driven,)), fixed=(daily("16"),)),
            volumes(cut=12),
        )


def test_choose_machines_needs_none_for_work_there_is_none_of() -> None:
    """Where no digger digs, a loader would backfill in its place, and there is nothing to
    backfill: no machine at all costs nothing."""
    ways = (
        machine_task(otherwise="load"),
        machine_task("load", by="backfill_volume", machine="loader"),
    )
    costs = {"digger": cost("10", "200", "100"), "loader": cost("1", "1", "1")}
    found = choose(chosen_by(costs, *ways, tasks=()), volumes(cut=12, backfill=0))
    assert sets_of(found)[0] == ((), "0.00")


def test_choose_machines_breaks_pallets_where_no_chosen_machine_lifts_them() -> None:
    """A pallet of 200 kg is lifted by a loader that lifts 500 kg. It is not hired for 12 yd3 of
    earth that people dig in less than its cost, so that people break the pallets."""
    loader = replace(digger("loader"), rated_load_kg=500.0)
    breaking = replace(task("break_pallets", hours="0.01"), breaks_pallets=True)
    costs = {"loader": cost("0", "5000")}
    ways = machine_task(machine="loader", otherwise="dig_by_hand")
    rates = chosen_by(costs, ways, tasks=(BY_HAND, breaking), machines=(loader,))
    limits = SiteLimits(pallet_kg=200.0)
    measured = {**volumes(cut=12), "standard_units": (("wall-1", 100.0),)}
    by_hand = choose(rates, measured, limits)
    assert done(by_hand) == ["dig_by_hand", "break_pallets"]
    assert any("no machine that is used lifts one" in words for words in by_hand.tasks[1].how)
    by = ChooseBy(machines={"loader": cost()}, crew_days={"crew": Decimal(800)})
    cheap = replace(rates, choose_by=by)
    assert done(choose(cheap, measured, limits)) == ["dig", "dig"]


def test_choose_machines_keeps_to_the_rates_without_costs() -> None:
    """Rates without `choose_by` use a task's own machine, whatever it costs, and choose nothing."""
    rates = replace(
        chosen_by({"digger": cost("10", "9000")}, machine_task(otherwise="dig_by_hand")),
        choose_by=None,
    )
    found = choose(rates, volumes(cut=2))
    assert (done(found), found.choice) == (["dig", "dig"], None)


def test_choose_machines_refuses_more_sets_than_it_compares() -> None:
    """Eleven machines that may be left out make 2,048 sets: more than ten are refused, with what
    to do about it; ten are compared."""
    names = [f"m{i}" for i in range(MOST_OPTIONAL + 1)]
    ways = [
        machine_task(f"by_{name}", machine=name, otherwise=f"by_{after}")
        for name, after in pairwise(names)
    ]
    last = machine_task(f"by_{names[-1]}", machine=names[-1], otherwise="dig_by_hand")
    rates = chosen_by({name: cost("1", "1", "1") for name in names}, *ways, last)
    with pytest.raises(QuoteFaultsError) as caught:
        choose(rates, volumes(cut=2))
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("machines-too-many", ("rates", "choose_by"))
    assert fault.hint == "machines that are not to be used in machines_off"
    limits = SiteLimits(access=Access(narrowest_m=ft(5.5)))
    machines = {
        name: replace(m, width_m=ft(9)) if name == "m0" else m for name, m in rates.machines.items()
    }
    assert sets_of(choose(replace(rates, machines=machines), volumes(cut=2), limits))


def test_choose_machines_counts_none_that_must_come() -> None:
    """Eleven machines that each do what no other can are one set, and nothing is left out: 11 of
    half an hour are 5.5 h of the crew, half a day 400, and 11 x 0.5 h x 2 = 11."""
    names = [f"m{i}" for i in range(MOST_OPTIONAL + 1)]
    ways = [machine_task(f"by_{name}", machine=name) for name in names]
    costs = {name: cost("2") for name in names}
    found = choose(chosen_by(costs, *ways, tasks=()), volumes(cut=2))
    assert sets_of(found) == [(tuple(names), "411.00")]
    assert found.choice is not None
    assert found.choice.how[-1] == "no other machines can do the work"


def test_choose_machines_refuses_what_no_set_can_do_before_it_counts_them() -> None:
    """Behind a gate of 6 ft nobody grades: its machine is 9 ft wide. That is told, not that eleven
    other machines are too many."""
    names = [f"m{i}" for i in range(MOST_OPTIONAL + 1)]
    ways = [machine_task(f"by_{name}", machine=name, otherwise="dig_by_hand") for name in names]
    grade = machine_task("grade", machine="grader")
    fleet = (*map(digger, names), digger("grader", width_ft=9.0))
    costs = {machine.id: cost("1") for machine in fleet}
    rates = chosen_by(costs, *ways, grade, machines=fleet)
    with pytest.raises(QuoteFaultsError) as caught:
        choose(rates, volumes(cut=2), SiteLimits(access=Access(narrowest_m=ft(6))))
    assert [fault.code for fault in caught.value.faults] == ["machine-too-wide"]
