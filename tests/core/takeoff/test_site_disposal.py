"""What site work carries away: how it is counted, weighed and paid; figures by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.measure import METRIC
from service.core.takeoff.quantities import QuantityLine
from service.core.takeoff.site_disposal import disposal_line
from service.core.takeoff.site_uses import SiteUse, disposal_uses
from tests.given.site_work import asked, leaves, site_task, sold

VOLUME = SiteUse(
    place=0,
    item="tip_brush",
    title="brush",
    dimension="volume",
    amount=0.5,
    waste=Decimal(0),
    how="brush",
)
MASS = replace(VOLUME, place=1, dimension="mass", amount=800.0)
# 1600 kg for a cubic meter, as it is counted
WEIGHED = sold("tip_brush", loose_kg_m3=1600.0)
WEIGHT = "weight as trucks carry it {} kg (rule 11.4)"


def tipped(
    *uses: SiteUse, material: Material | None = None, truck: Truck | None = None
) -> QuantityLine:
    """The line of some uses."""
    return disposal_line(uses, material, truck, METRIC)


def test_disposal_line_is_counted_as_its_first_use() -> None:
    """0.5 m3 and 800 kg at 1600 kg for 1 m3 are 1 m3 or 1600 kg."""
    for uses, dimension, net, order in (
        ((VOLUME, MASS), "volume", 1.0, ("1", "m3")),
        ((MASS, VOLUME), "mass", 1600.0, ("1600", "kg")),
    ):
        line = tipped(*uses, material=WEIGHED)
        assert (line.dimension, line.net, line.weight_kg) == (dimension, net, 1600.0)
        assert (line.order, line.order_unit) == (Decimal(order[0]), order[1])
        assert not line.waste
        assert not line.shares
        assert line.how[2] == f"at 1600 kg for 1 m3 loose: {WEIGHT.format(1600)}"


def test_disposal_line_tells_no_weight_of_a_volume_that_nothing_turned_into_one() -> None:
    """What is weighed alone isn't weighed by volume; a volume without a weight has none."""
    weighed = tipped(MASS, material=WEIGHED)
    assert weighed.how[:2] == ("brush", WEIGHT.format(800))
    assert tipped(MASS).how[:2] == ("brush", WEIGHT.format(800))
    bare = tipped(VOLUME)
    assert (bare.dimension, bare.net, bare.weight_kg) == ("volume", 0.5, None)
    assert bare.how == ("brush", "rounded up to 0.01 m3: 0.5 m3")


def test_disposal_line_is_settled_by_how_it_is_counted() -> None:
    """A price by another unit of volume is converted, whether a file names a unit or not."""
    for material in (None, WEIGHED, sold("tip_brush", "m3")):
        line = tipped(VOLUME, material=material)
        assert line.haulage is not None
        assert line.haulage.settled


@pytest.mark.parametrize(
    ("uses", "per", "place", "words"),
    [
        ((VOLUME, MASS), None, 1, "counted by mass but sold by m3"),
        ((MASS, VOLUME), None, 0, "counted by volume but sold by kg"),
        ((MASS, VOLUME), "t", 0, "counted by volume but sold by t"),
        ((VOLUME, MASS), "t", 0, "counted by volume but sold by t"),
        ((MASS, VOLUME), "load", 1, "counted by mass but sold by load"),
    ],
)
def test_disposal_line_names_the_use_that_nothing_turns_into_what_is_sold(
    uses: tuple[SiteUse, ...], per: str | None, place: int, words: str
) -> None:
    """A volume and a mass of one item, whose weight no file tells: the fault is at the entry that
    is counted otherwise than it is sold, with a truck and a price by the load at the first."""
    truck = Truck(volume_m3=4.0, payload_kg=5000.0)
    with pytest.raises(QuoteFaultsError) as caught:
        tipped(*uses, material=sold("tip_brush", per) if per else None, truck=truck)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("sold-unit-unreachable", ("site_work", place, "task"))
    assert words in fault.message


def test_disposal_uses_waste_nothing() -> None:
    """What is carried away is what is there: 5 m3 of each of 2."""
    task = site_task(by="count", unit="each", disposal=[leaves("brush", "5", "m3")])
    (use,) = disposal_uses([asked(task, "2")])
    assert (use.place, use.amount, use.waste) == (0, 10.0, Decimal(0))
