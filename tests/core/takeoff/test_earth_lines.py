"""Soil that leaves and comes, as lines to order."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import QuoteFaultsError
from service.core.ground.balance import GradedEarth, Haul, TopsoilBalance, balance
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.measure import METRIC, UNITS, US
from service.core.takeoff.earth_lines import earth_lines
from service.core.takeoff.quantities import QuantityLine
from tests.given.earth import FOOT_DEEP, dug, ground_wall, soil
from tests.given.machines import YD3
from tests.given.walls import ft

TRUCK = Truck(volume_m3=10 * YD3, payload_kg=1e9)
BY_LOAD = Material(id="haul_off", version="1", title="Soil", group="earth", sold_per=UNITS["load"])
BY_METER = replace(BY_LOAD, title="Black soil", sold_per=UNITS["m3"])

WALL = dug(
    ground_wall((0, 4, 0, 2), (40, 4, 0, 2), graded_in_front_m=ft(5), graded_behind_m=ft(5)),
    FOOT_DEEP,
    of=soil(class_="B"),
)
NO_HAUL = Haul(bank_m3=0.0, loose_m3=0.0, mass_kg=0.0, loads=None)


def haul(loose_m3: float, loads: int | None = None) -> Haul:
    """Loose soil at 1600 kg for a cubic meter."""
    return Haul(bank_m3=loose_m3 / 1.25, loose_m3=loose_m3, mass_kg=1600 * loose_m3, loads=loads)


def lines_of(
    *materials: Material,
    off: Haul = NO_HAUL,
    topsoil_off: Haul | None = None,
    imported: Haul = NO_HAUL,
    topsoil: TopsoilBalance | None = None,
    cuts: tuple[float, ...] = (),
    placed: tuple[tuple[float, float], ...] = (),
    area: tuple[float, float] = (0.0, 0.0),
) -> dict[str, QuantityLine]:
    """Lines by item: of walls `a`, `b` … with cuts, or with backfill and fill, beside an area
    `lawn` with its cut and fill."""
    parts = [(cut, 0.0, 0.0) for cut in cuts] or [(0.0, *each) for each in placed]
    walls = tuple(
        replace(WALL, wall=name, cut_m3=cut, backfill_m3=backfill, fill_m3=fill)
        for name, (cut, backfill, fill) in zip("abc", parts, strict=False)
    )
    whole = balance((WALL,), (), soil(), None, None, None, METRIC)
    earth = replace(
        whole,
        walls=walls,
        graded=(GradedEarth(name="lawn", cut_m3=area[0], fill_m3=area[1]),),
        haul_off=off,
        topsoil_off=topsoil_off,
        imported=imported,
        topsoil=topsoil,
    )
    found = earth_lines(earth, {material.id: material for material in materials}, METRIC)
    return {line.item: line for line in found}


def test_earth_lines_are_of_soil_that_goes() -> None:
    """Nothing that leaves or comes is no line, half a cubic meter of each is one."""
    assert lines_of(topsoil=TopsoilBalance(stripped_m3=1.0, replaced_m3=1.0)) == {}
    short = TopsoilBalance(stripped_m3=1.0, replaced_m3=1.5)
    found = lines_of(off=haul(0.5), imported=haul(0.5), topsoil=short)
    assert list(found) == ["haul_off", "import_fill", "topsoil"]
    assert all((line.net, line.waste) == (0.5, Decimal(0)) for line in found.values())


def test_earth_lines_share_what_leaves_by_what_was_cut() -> None:
    """Cuts of 0.2, 0 and 0.6 of walls and 0.2 of an area dig 1.25 m3 loose: 0.25, none, 0.75 and
    0.25."""
    line = lines_of(off=haul(1.25), cuts=(0.2, 0.0, 0.6), area=(0.2, 0.0))["haul_off"]
    assert [name for name, _ in line.shares] == ["a", "c", "grading: lawn"]
    assert [share for _, share in line.shares] == pytest.approx([0.25, 0.75, 0.25])


def test_earth_lines_share_what_comes_by_what_was_placed() -> None:
    """Backfill and fill of 3 + 2 and 0.5 + 0.5 of walls and a fill of 4 of an area take 20 m3
    loose: 10, 2 and 8."""
    line = lines_of(imported=haul(20.0), placed=((3, 2), (0.5, 0.5)), area=(0.0, 4.0))
    shares = line["import_fill"].shares
    assert [name for name, _ in shares] == ["a", "b", "grading: lawn"]
    assert [share for _, share in shares] == pytest.approx([10, 2, 8])


def test_earth_lines_haul_topsoil_left_over_with_the_soil() -> None:
    """2 m3 of soil and 0.5 of topsoil are 2.5 m3 loose of 4000 kg on one load of each. Where
    nothing else was dug the topsoil is nobody's."""
    top = TopsoilBalance(stripped_m3=0.4, replaced_m3=0.0)
    found = lines_of(BY_LOAD, off=haul(2.0, 1), topsoil_off=haul(0.5, 1), topsoil=top)
    line = found["haul_off"]
    assert (line.net, line.weight_kg, line.shares) == (2.5, 4000.0, ())
    assert (line.order, line.order_unit) == (Decimal(2), "load")
    assert line.how[0] == (
        "Soil hauled off, topsoil left over included: 2.5 m3 loose; its balance stands in earthwork"
    )


def test_earth_lines_are_ordered_as_a_file_says() -> None:
    """4.2 m3 by halves of one are 4.5 m3, by hundredths 4.2, which is assumed; a file's unit is
    settled, and its title stands."""
    for increment, order in ((Decimal("0.5"), "4.5"), (None, "4.2")):
        file = replace(BY_LOAD, sold_per=UNITS["m3"], increment=increment)
        line = lines_of(file, off=haul(4.2))["haul_off"]
        assert (line.order, line.description) == (Decimal(order), "Soil")
        assert line.increment_assumed is (increment is None)
        assert line.haulage is not None
        assert line.haulage.settled
    plain = lines_of(off=haul(4.2))["haul_off"]
    assert (plain.order, plain.description) == (Decimal("4.2"), "Soil hauled off")
    assert plain.haulage is not None
    assert not plain.haulage.settled
    assert plain.haulage.increment is None


def test_earth_lines_call_topsoil_as_its_file_does() -> None:
    """Without a file it is topsoil; it is bought as it is counted, and belongs to no wall."""
    top = TopsoilBalance(stripped_m3=0.0, replaced_m3=2.0)
    for files, title in (((), "topsoil"), ((replace(BY_METER, id="topsoil"),), "Black soil")):
        line = lines_of(*files, topsoil=top)["topsoil"]
        assert (line.description, line.order) == (title, Decimal(2))
        assert not line.shares


def test_earth_lines_count_loads_of_a_truck_alone() -> None:
    """Soil that its file sells by the load is ordered in loads of the truck; without a truck
    nobody knows what a load is, and the rates are named."""
    loaded, bare = (balance((WALL,), (), soil(), None, truck, None, US) for truck in (TRUCK, None))
    (line,) = earth_lines(loaded, {"haul_off": BY_LOAD}, US)
    loads = -(-loaded.haul_off.loose_m3 // (10 * YD3))
    assert (float(line.order), line.order_unit) == (loads, "load")
    with pytest.raises(QuoteFaultsError) as caught:
        earth_lines(bare, {"haul_off": BY_LOAD}, US)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("truck-missing", ("rates",))
