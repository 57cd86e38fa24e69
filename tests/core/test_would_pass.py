"""What is tried where a wall fails (rule 14.12), of what a catalog offers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.layout.layout import lay_out
from service.core.layout.soil_below_cap import with_soil_below_cap
from service.core.measure import METRIC, US
from service.core.quote import quote
from service.core.would_pass.alternative import Offered
from service.core.would_pass.would_pass import would_pass
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.lawn_walls import lawn_request
from tests.given.screened import set_request, set_wall, sets_catalog
from tests.given.walls import entry, ft, section, straight, system, wall


def failing() -> tuple[Job, PriceList]:
    """Stack G2: 4 ft of soil of 30 deg behind units of 12 in fail as a plain stack."""
    catalog = sets_catalog()
    return to_core(read_request(set_request(set_wall("4 ft")), catalog, None), catalog)


def test_would_pass_names_deeper_units_only_where_their_weight_is_known() -> None:
    """The same units twice as deep pass; of an unknown weight no check of them can fail, and they
    are not named."""
    job, prices = failing()
    deep = replace(
        job.system,
        id="deep",
        standard=replace(job.system.standard, depth_m=2 * job.system.standard.depth_m),
    )
    unknown = replace(deep, id="unknown", in_place_weight_n_m3=None)
    found = would_pass(quote(job, prices), Offered(soils=(), systems=(deep, unknown)), priced=False)
    assert found is not None
    named = [each.job.system.id for each in found.other_walls if each.job.system != job.system]
    assert named == ["deep"]


def test_would_pass_offers_no_fill_that_may_not_go_back() -> None:
    """A strong soil that may not be put back is no fill."""
    catalog = shipped_catalog()
    job, prices = to_core(read_request(lawn_request("loam"), catalog, None), catalog)
    strong = catalog.soils["sand_gravel"].core
    plain, fills = quote(job, prices), []
    for soil in (strong, replace(strong, reusable=False)):
        found = would_pass(plain, Offered(soils=(soil,), systems=()), priced=False)
        assert found is not None
        fills.append([each.changes for each in found.sets if "better_fill" in each.changes])
    assert fills == [[("better_fill",)], []]


@pytest.mark.parametrize("tops", [(3.0, 3.0), (3.0, 4.2), (5.1, 2.2), (2.1, 6.9)])
def test_with_soil_below_cap_puts_no_soil_beside_a_cap(tops: tuple[float, float]) -> None:
    """Along a sloping top the courses end in steps: at both ends of every stretch the back grade
    is at or below its top joint, where the cap lies, and within a course of it at one of them."""
    first, last = tops
    spec = wall((straight(ft(40)),), (entry(0.0, ft(first), 0.0), entry("end", ft(last), 0.0)))
    layout = lay_out(spec, system(), section(), US)
    changed = lay_out(with_soil_below_cap(layout, US), system(), section(), US)
    assert [s.top_joint for s in changed.stretches] == [s.top_joint for s in layout.stretches]
    gaps = [
        changed.grid.level_m(stretch.top_joint) - levels.back_m
        for stretch in changed.stretches
        for levels in (stretch.interval.start, stretch.interval.finish)
    ]
    assert min(gaps) > -1e-9
    assert min(gaps) < ft(1)


def test_with_soil_below_cap_keeps_a_level_that_is_on_a_mark() -> None:
    """The courses end 20 in, 508 mm up, a mark of a metric rod: the soil comes up to it."""
    spec = wall((straight(ft(20)),), (entry(0.0, ft(2), 0.0), entry("end", ft(2), 0.0)))
    high = replace(
        spec, profile=tuple(replace(each, back_grade_m=ft(2.3)) for each in spec.profile)
    )
    layout = lay_out(high, system(), section(), US)
    changed = with_soil_below_cap(layout, METRIC)
    assert [each.back_grade_m for each in changed.profile] == pytest.approx([0.508, 0.508])
