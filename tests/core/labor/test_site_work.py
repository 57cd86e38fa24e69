"""Site work: what it buys, what it carries away, how long it takes; all figures by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.access import Access
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.job.rates import Rates
from service.core.job.site_task import SiteMachine, SiteWorkEntry
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import done_by
from service.core.labor.site_work import SiteWork, Workforce, take_off_site_work, with_site_work
from service.core.measure import METRIC, US
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought, crew, priced, prices, quantities, rates
from tests.given.scheduled import schedule
from tests.given.site_work import (
    asked,
    hours,
    leaves,
    line_of,
    site_task,
    site_work,
    skid_steer,
    sold,
    takes,
)
from tests.given.walls import ft

POUND = 0.45359237
CUBIC_YARD = 0.9144**3
POUND_PER_YARD = POUND / CUBIC_YARD

FENCE = site_task(
    labor=hours("0.04", "0.07", "0.12"),
    materials=[takes("concrete_bag", "0.2", "each")],
    disposal=[leaves("treated_timber", "9", "lb")],
)


def faults_of(
    *entries: SiteWorkEntry,
    materials: Sequence[Material] = (),
    rates: Rates | None = None,
    conditions: Mapping[str, str] | None = None,
) -> tuple[Fault, ...]:
    """What is wrong with these entries."""
    with pytest.raises(QuoteFaultsError) as caught:
        site_work(*entries, materials=materials, rates=rates, conditions=conditions)
    return caught.value.faults


def summary(line: QuantityLine) -> tuple[str, str, str, str]:
    """Group, kind, order and its unit."""
    return line.group, line.kind, f"{line.order:f}", line.order_unit


def test_take_off_site_work_splits_a_task_into_its_lines() -> None:
    """60 ft of fence take 12 bags (60 x 0.2), leave 540 lb (60 x 9), and take
    60 x (0.04 + 4 x 0.07 + 0.12) / 6 = 60 x 0.0733.. = 4.40 h."""
    found = site_work(asked(FENCE, "60"), rates=rates())
    assert summary(line_of(found, "concrete_bag")) == ("site_work", "material", "12", "each")
    tipped = line_of(found, "tip_treated_timber")
    assert summary(tipped) == ("site_work", "disposal", "540.00", "lb")
    assert tipped.how[0] == ("treated timber: Take down fence: 60 ft x 9 lb per ft = 540 lb")
    assert [(task.task, task.who, task.hours) for task in done_by("crew", found.work)] == [
        ("take_down_fence", "crew", Decimal("4.40"))
    ]
    assert done_by("machine", found.work) == ()


def test_take_off_site_work_gives_the_range_of_hours() -> None:
    """Deviation 60 x (0.12 - 0.04) / 6 = 0.8 h; 0.8416 of it either way: 3.73 and 5.07 h."""
    (task,) = done_by("crew", site_work(asked(FENCE, "60"), rates=rates()).work)
    assert (task.hours_low, task.hours_high) == (Decimal("3.73"), Decimal("5.07"))
    assert float(task.variance) == pytest.approx(0.64, abs=1e-12)


def test_take_off_site_work_adds_entries_of_one_task() -> None:
    """Two fences of 20 and 40 ft are one row of hours and one order; each is told in how."""
    found = site_work(asked(FENCE, "20", "left side"), asked(FENCE, "40"), rates=rates())
    (task,) = done_by("crew", found.work)
    assert task.hours == Decimal("4.40")
    assert task.how[:2] == ("site_work 1: 20 ft, left side", "site_work 2: 40 ft")
    assert line_of(found, "concrete_bag").order == 12


def test_take_off_site_work_rounds_one_item_once() -> None:
    """Two tasks of 1.2 bags each need ceil(2.4) = 3 bags, not 2 + 2."""
    one = site_task("one", materials=[takes("concrete_bag", "0.2", "each")])
    two = site_task("two", materials=[takes("concrete_bag", "0.2", "each")])
    found = site_work(asked(one, "6"), asked(two, "6"))
    assert line_of(found, "concrete_bag").order == 3


def test_take_off_site_work_without_rates_has_no_hours() -> None:
    """Where no rates are named, material and tipping stand alone."""
    found = site_work(asked(FENCE, "60"))
    assert done_by("crew", found.work) == ()
    assert [line.item for line in found.lines] == ["concrete_bag", "tip_treated_timber"]


def test_take_off_site_work_adds_waste_before_packs() -> None:
    """450 ft2 of sod with 5 % waste are 472.5 ft2: two pallets of 450, not one."""
    lay = site_task("lay_sod", by="area", unit="ft2", materials=[takes("sod", "1", "ft2", "0.05")])
    pallet = sold("sod", pack=("450", "ft2", "pallet"))
    line = line_of(site_work(asked(lay, "450"), materials=[pallet]), "sod")
    assert (line.order, line.order_unit, line.packs) == (Decimal(2), "pallet", (2, "pallet"))
    assert line.waste == Decimal("0.05")


def test_take_off_site_work_lets_the_largest_waste_hold() -> None:
    """Where two tasks waste one item differently, the larger share holds for all of it."""
    one = site_task("one", materials=[takes("cable", "1", "ft", "0.10")])
    two = site_task("two", materials=[takes("cable", "1", "ft")])
    line = line_of(site_work(asked(one, "50"), asked(two, "50")), "cable")
    assert (line.waste, line.order) == (Decimal("0.10"), Decimal("110.00"))


def test_take_off_site_work_reads_metric_requests_the_same() -> None:
    """18.288 m of fence are 60 ft: the hours are those, and the order is in kilograms."""
    metric = asked(FENCE, "60")
    found = site_work(metric, rates=rates(), units=METRIC)
    assert done_by("crew", found.work)[0].hours == Decimal("4.40")
    line = line_of(found, "tip_treated_timber")
    assert (line.order, line.order_unit) == (Decimal("244.94"), "kg")  # 540 lb = 244.9399 kg


# Tipping


def test_disposal_is_weighed_by_its_file() -> None:
    """2 yd3 of concrete at 2,400 lb/yd3 are 2.4 ton; with 650 lb more 2.725, ordered 2.8."""
    slab = site_task("slab", by="count", unit="each", disposal=[leaves("concrete", "2", "yd3")])
    post = site_task("post", by="count", unit="each", disposal=[leaves("concrete", "650", "lb")])
    tip = sold("tip_concrete", "ton", increment="0.1", loose_kg_m3=2400 * POUND_PER_YARD)
    line = line_of(site_work(asked(slab, "1"), asked(post, "1"), materials=[tip]), "tip_concrete")
    assert (line.order, line.order_unit) == (Decimal("2.8"), "ton")
    assert line.weight_kg == pytest.approx(5450 * POUND)
    assert any("2400 lb for 1 yd3 loose" in words for words in line.how)


def test_disposal_of_nothing_is_nothing() -> None:
    """A task of no measure leaves nothing to be tipped."""
    slab = site_task("slab", by="count", unit="each", disposal=[leaves("concrete", "2", "yd3")])
    line = line_of(site_work(asked(slab, "0")), "tip_concrete")
    assert (line.net, line.order) == (0.0, Decimal(0))


@pytest.mark.parametrize(
    ("amount", "unit", "loads"),
    [
        ("20", "yd3", 2),  # 20 / 10 yd3; 20 x 500 = 10,000 lb of 20,000
        ("21", "yd3", 3),  # over two loads by volume
        ("41000", "lb", 9),  # 82 yd3 at 500 lb / 10; by payload only 3
    ],
)
def test_disposal_by_the_load_is_over_neither_volume_nor_payload(
    amount: str, unit: str, loads: int
) -> None:
    """Loads are the larger of those by volume and by payload."""
    task = site_task("hedge", by="count", unit="each", disposal=[leaves("brush", amount, unit)])
    tip = sold("tip_brush", "load", loose_kg_m3=500 * POUND_PER_YARD)
    truck = Truck(volume_m3=10 * CUBIC_YARD, payload_kg=20000 * POUND)
    line = line_of(site_work(asked(task, "1"), materials=[tip], truck=truck), "tip_brush")
    assert (line.order, line.order_unit, line.kind) == (Decimal(loads), "load", "disposal")


def test_disposal_by_the_load_counts_a_known_weight_alone() -> None:
    """Without a weight per volume a mass fills loads by the payload: 41,000 lb / 20,000 = 3."""
    task = site_task("slab", by="count", unit="each", disposal=[leaves("concrete", "41000", "lb")])
    truck = Truck(volume_m3=10 * CUBIC_YARD, payload_kg=20000 * POUND)
    found = site_work(asked(task, "1"), materials=[sold("tip_concrete", "load")], truck=truck)
    assert line_of(found, "tip_concrete").order == 3


def test_disposal_by_the_load_needs_a_truck() -> None:
    """Nobody knows what a load is without one."""
    task = site_task("hedge", disposal=[leaves("brush", "1", "yd3")])
    (fault,) = faults_of(asked(task, "5"), materials=[sold("tip_brush", "load")])
    assert (fault.code, fault.at) == ("truck-missing", ("site_work", 0, "task"))


def test_disposal_sold_by_weight_needs_a_weight() -> None:
    """A volume can't be paid by the ton where nobody says what it weighs."""
    task = site_task("hedge", disposal=[leaves("brush", "1", "yd3")])
    (fault,) = faults_of(asked(task, "5"), materials=[sold("tip_brush", "ton")])
    assert (fault.code, fault.at) == ("sold-unit-unreachable", ("site_work", 0, "task"))


def test_disposal_of_volume_and_mass_needs_a_weight() -> None:
    """Two tasks that count one item by volume and by weight can't be added without a density."""
    one = site_task("one", disposal=[leaves("brush", "1", "yd3")])
    two = site_task("two", disposal=[leaves("brush", "1", "lb")])
    (fault,) = faults_of(asked(one, "5"), asked(two, "5"))
    assert fault.code == "sold-unit-unreachable"


def test_disposal_by_the_load_of_unknown_size_is_a_fault() -> None:
    """A volume of one task and a weight of another fill no load that anybody could count."""
    one = site_task("one", disposal=[leaves("brush", "1", "yd3")])
    two = site_task("two", disposal=[leaves("brush", "1", "lb")])
    truck = Truck(volume_m3=5.0, payload_kg=5000.0)
    with pytest.raises(QuoteFaultsError) as caught:
        site_work(
            asked(one, "5"), asked(two, "5"), materials=[sold("tip_brush", "load")], truck=truck
        )
    assert [fault.code for fault in caught.value.faults] == ["sold-unit-unreachable"]


def test_disposal_by_the_load_counts_a_known_volume_alone() -> None:
    """Without a weight 21 yd3 are three loads of 10."""
    task = site_task("hedge", disposal=[leaves("brush", "21", "yd3")])
    truck = Truck(volume_m3=10 * CUBIC_YARD, payload_kg=1.0)
    found = site_work(asked(task, "1"), materials=[sold("tip_brush", "load")], truck=truck)
    assert line_of(found, "tip_brush").order == 3


def test_treated_timber_stands_apart() -> None:
    """Treated timber has its own item, and so its own price."""
    task = site_task(
        "wall", disposal=[leaves("treated_timber", "20", "lb"), leaves("timber", "5", "lb")]
    )
    found = site_work(asked(task, "10"))
    assert [(line.item, line.order) for line in found.lines] == [
        ("tip_timber", Decimal("50.00")),
        ("tip_treated_timber", Decimal("200.00")),
    ]


# Items that walls take too


def test_an_item_of_walls_and_site_work_is_bought_once() -> None:
    """4 ft of outlet pipe for a wall and 12 ft for a run are 16 ft: two lengths of 10 ft, where
    two lines would buy three; the wall's share stays the wall's."""
    run = site_task("run", materials=[takes("outlet_pipe", "1", "ft")])
    pipe = sold("outlet_pipe", pack=("10", "ft", "length"))
    of_wall = replace(
        bought("outlet_pipe", "1", "length", group="pipe", pack=("10", "ft")),
        net=ft(4),
        dimension="length",
        shares=(("wall-1", ft(4)),),
    )
    found = site_work(asked(run, "12"), walls=[of_wall], materials=[pipe])
    line = line_of(found, "outlet_pipe")
    assert (line.group, line.order) == ("pipe", Decimal(2))
    assert line.net == pytest.approx(ft(16))
    assert [name for name, _ in line.shares] == ["", "wall-1"]
    assert [net for _, net in line.shares] == pytest.approx([ft(12), ft(4)])
    merged = with_site_work(quantities(of_wall), found)
    assert [line.order for line in merged.lines] == [2]


def test_pieces_of_walls_and_site_work_keep_their_weight() -> None:
    """Ten caps of 50 lb for a wall and two for a post are twelve: 600 lb."""
    task = site_task("post", by="count", unit="each", materials=[takes("cap", "2", "each")])
    of_wall = replace(bought("cap", "10"), weight_kg=500 * POUND)
    line = line_of(site_work(asked(task, "1"), walls=[of_wall]), "cap")
    assert (line.group, line.order) == ("units", Decimal(12))
    assert line.weight_kg == pytest.approx(600 * POUND)


def test_site_work_share_of_a_wall_line_is_site_wide() -> None:
    """What a wall and site work share in one line is split by their nets: 4 of 16 ft of 32.00
    are the wall's 8.00, the rest is of no wall."""
    run = site_task("run", materials=[takes("outlet_pipe", "1", "ft")])
    of_wall = replace(bought("outlet_pipe", "4", "ft", group="pipe"), net=ft(4))
    of_wall = replace(of_wall, shares=(("wall-1", ft(4)),))
    found = site_work(asked(run, "12"), walls=[of_wall])
    price = priced(
        [*with_site_work(quantities(of_wall), found).lines], prices({"outlet_pipe": ("2", "ft")})
    )
    assert dict(price.by_wall) == {"wall-1": Decimal("8.00")}
    assert price.site_wide == Decimal("24.00")


def test_with_site_work_keeps_lines_in_order() -> None:
    """Groups in order, inside a group by item; wall units stay as they came."""
    task = site_task("task", materials=[takes("bags", "1", "each"), takes("anchor", "1", "each")])
    lines = [bought("b_standard"), bought("a_corner"), bought("haul_off", group="earth")]
    merged = with_site_work(quantities(*lines), site_work(asked(task, "1"), walls=lines))
    assert [line.item for line in merged.lines] == [
        "b_standard",
        "a_corner",
        "haul_off",
        "anchor",
        "bags",
    ]


def test_an_item_is_counted_in_one_way() -> None:
    """Pipe by the piece in one task and by length in another can't be one order."""
    one = site_task("one", materials=[takes("pipe", "1", "ft")])
    two = site_task("two", materials=[takes("pipe", "1", "each")])
    (fault,) = faults_of(asked(one, "5"), asked(two, "5"))
    assert (fault.code, fault.at) == ("item-counted-two-ways", ("site_work", 1, "task"))


def test_an_item_is_not_bought_and_tipped() -> None:
    """One price can't be that of buying and of tipping."""
    task = site_task(
        "task", materials=[takes("tip_stone", "1", "lb")], disposal=[leaves("stone", "1", "lb")]
    )
    (fault,) = faults_of(asked(task, "5"))
    assert (fault.code, fault.at) == ("item-bought-and-tipped", ("site_work", 0, "task"))


def test_an_item_that_cannot_be_sold_as_counted_is_told_at_its_task() -> None:
    """A length that is sold by area: the fault is at the entry, not at the section."""
    task = site_task("task", materials=[takes("fence", "1", "ft")])
    (fault,) = faults_of(asked(FENCE, "1"), asked(task, "5"), materials=[sold("fence", "ft2")])
    assert (fault.code, fault.at) == ("sold-unit-unreachable", ("site_work", 1, "task"))


# Hours


def test_hours_go_to_the_named_crew_else_to_the_first() -> None:
    """A crew that the rates have is taken; where they don't, their first one, and how says so."""
    two = rates(crews=(crew("wall_crew"), crew("fencers")))
    named = site_task("a", labor=hours("1"), crew="fencers")
    other = site_task("b", labor=hours("1"), crew="divers")
    left = site_task("c", labor=hours("1"))
    found = site_work(asked(named, "1"), asked(other, "1"), asked(left, "1"), rates=two)
    done = done_by("crew", found.work)
    assert [task.who for task in done] == ["fencers", "wall_crew", "wall_crew"]
    words = "the rates have no crew 'divers': done by Wall_Crew"
    assert words in done_by("crew", found.work)[1].how


def test_hours_follow_the_conditions_that_the_rates_know() -> None:
    """Soft ground at 1.2 makes 10 h 12; a condition that the rates don't have changes nothing."""
    task = site_task("dig", labor=hours("1"), conditions=("ground", "moon"))
    found = site_work(asked(task, "10"), rates=rates(), conditions={"ground": "soft"})
    (row,) = done_by("crew", found.work)
    assert row.hours == Decimal("12.00")
    assert "the rates have no condition 'moon': it changes nothing" in row.how


def test_an_unknown_condition_of_the_request_is_a_fault() -> None:
    """What the caller asks for must be among the conditions of the rates."""
    task = site_task("dig", labor=hours("1"))
    (fault,) = faults_of(asked(task, "1"), rates=rates(), conditions={"moon": "full"})
    assert (fault.code, fault.at) == ("unknown-condition", ("conditions", "moon"))


DIG = site_task(
    "strip_topsoil",
    by="volume",
    unit="yd3",
    labor=hours("0.05"),
    machine=SiteMachine(machine="skid_steer", hours_per_unit=hours("0.1"), by_hand=hours("1.5")),
)
WITH_MACHINE = replace(
    rates(), machines={"skid_steer": skid_steer(width_m=ft(5.5), operator="crew")}
)


def test_a_task_without_hours_has_none() -> None:
    """Material alone takes nobody's time, a machine alone no person beside its operator."""
    material = site_task("hire", materials=[takes("fence", "1", "ft")])
    machine = SiteMachine(machine="skid_steer", hours_per_unit=hours("0.1"))
    alone = site_task("grade", by="area", unit="ft2", machine=machine)
    found = site_work(asked(material, "5"), asked(alone, "10"), rates=WITH_MACHINE)
    assert done_by("crew", found.work) == ()
    assert [row.hours for row in done_by("machine", found.work)] == [Decimal("1.00")]


def test_machine_hours_stand_apart() -> None:
    """20 yd3 take 2 machine-hours and 1 person-hour beside the operator's."""
    found = site_work(asked(DIG, "20"), rates=WITH_MACHINE)
    assert [(row.who, row.hours) for row in done_by("machine", found.work)] == [
        ("skid_steer", Decimal("2.00"))
    ]
    assert [row.hours for row in done_by("crew", found.work)] == [Decimal("1.00")]


def test_schedule_adds_site_work_to_the_days_of_the_crew() -> None:
    """1 person-hour and 2 of the operator are 3 h of a crew of two with 8 h a day: half a day."""
    found = site_work(asked(DIG, "20"), rates=WITH_MACHINE)
    labor = schedule(WITH_MACHINE, {}, quantities(), US, other=found.work)
    assert labor.labor_hours == Decimal("3.00")
    assert labor.crew_days == Decimal("0.5")
    assert [(time.machine.id, time.hours) for time in labor.equipment] == [
        ("skid_steer", Decimal("2.00"))
    ]


def timed(limits: SiteLimits) -> SiteWork:
    """20 yd3 of topsoil where the way decides."""
    workforce = Workforce(rates=WITH_MACHINE, conditions={}, limits=limits)
    return take_off_site_work([asked(DIG, "20")], (), {}, US, workforce=workforce)


def test_a_machine_that_is_too_wide_is_replaced_by_hand() -> None:
    """A 5 ft 6 in machine doesn't pass 4 ft: 20 x 1.5 = 30 person-hours, and no others."""
    found = timed(SiteLimits(access=Access(narrowest_m=ft(4))))
    assert done_by("machine", found.work) == ()
    (row,) = done_by("crew", found.work)
    assert row.hours == Decimal("30.00")
    assert row.how[1] == (
        "Skid steer is 5.5 ft wide and needs 0.5 ft of clearance, "
        "the narrowest passage is 4 ft: done by hand"
    )
    assert done_by("machine", timed(SiteLimits(access=Access(narrowest_m=ft(6)))).work)


def test_a_machine_that_the_rates_lack_is_replaced_by_hand() -> None:
    """Rates without the machine do the task by hand where its file says how long that takes."""
    (row,) = done_by("crew", site_work(asked(DIG, "20"), rates=rates()).work)
    assert row.hours == Decimal("30.00")
    assert row.how[1] == "the rates have no machine 'skid_steer': done by hand"


def test_a_machine_that_the_rates_lack_is_a_fault_without_hours_by_hand() -> None:
    """Every such task is named."""
    machine = SiteMachine(machine="crane", hours_per_unit=hours("1"))
    one, two = site_task("one", machine=machine), site_task("two", machine=machine)
    found = faults_of(asked(one, "1"), asked(FENCE, "1"), asked(two, "1"), rates=rates())
    assert [(fault.code, fault.at) for fault in found] == [
        ("site-work-machine-missing", ("site_work", 0, "task")),
        ("site-work-machine-missing", ("site_work", 2, "task")),
    ]
    assert found[0].message == (
        "one: the rates have no machine 'crane', and the task has no hours by hand"
    )


def test_faults_of_lines_and_hours_come_together() -> None:
    """One pass finds what can't be sold and what can't be done."""
    machine = SiteMachine(machine="crane", hours_per_unit=hours("1"))
    task = site_task("one", machine=machine, disposal=[leaves("brush", "1", "yd3")])
    found = faults_of(asked(task, "1"), rates=rates(), materials=[sold("tip_brush", "ton")])
    assert [fault.code for fault in found] == [
        "sold-unit-unreachable",
        "site-work-machine-missing",
    ]


def test_phases_are_those_of_the_tasks_and_of_first_need() -> None:
    """An item is needed in the first phase of the tasks that take it, whatever their order."""
    last = site_task("last", materials=[takes("sand", "1", "lb")], phase="topsoil_and_sod")
    first = site_task(
        "first",
        materials=[takes("sand", "1", "lb")],
        disposal=[leaves("mixed", "1", "lb")],
        phase="rough_cut",
    )
    found = site_work(asked(last, "1"), asked(first, "1"))
    assert found.phases == {"last": "topsoil_and_sod", "first": "rough_cut"}
    assert found.item_phases == {"sand": "rough_cut", "tip_mixed": "rough_cut"}


@given(st.lists(st.tuples(st.sampled_from(["1", "2", "3"]), st.integers(1, 200)), min_size=1))
def test_the_order_and_the_splitting_of_entries_change_nothing(
    parts: list[tuple[str, int]],
) -> None:
    """The same work in another order, or each task in one entry, is bought, tipped and timed
    alike."""
    of = {
        name: site_task(
            f"task_{name}",
            labor=hours("0.1", "0.2", name),
            materials=[takes("bag", f"0.{name}", "each"), takes("sand", name, "lb")],
            disposal=[leaves("mixed", name, "yd3")],
        )
        for name in ("1", "2", "3")
    }
    split = [asked(of[name], str(amount)) for name, amount in parts]
    sums = {name: sum(n for found, n in parts if found == name) for name in sorted(of)}
    whole = [asked(of[name], str(amount)) for name, amount in sums.items() if amount]

    def outcome(entries: list[SiteWorkEntry]) -> tuple[list[object], list[object]]:
        found = site_work(*entries, rates=rates())
        rows = sorted(done_by("crew", found.work), key=lambda row: row.task)
        return (
            [(line.item, line.order) for line in found.lines],
            [(row.task, row.hours, row.hours_low, row.hours_high) for row in rows],
        )

    assert outcome(split) == outcome(split[::-1]) == outcome(whole)
