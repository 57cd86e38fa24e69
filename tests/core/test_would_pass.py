"""What is tried where a wall fails (rule 14.12), of what a catalog offers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.basis import Required
from service.core.layout.layout import lay_out
from service.core.layout.soil_below_cap import with_soil_below_cap
from service.core.measure import METRIC, US
from service.core.quote import planned, quote
from service.core.screening.check import Check
from service.core.would_pass.alternative import Offered, Tried, share_reached
from service.core.would_pass.would_pass import would_pass, would_pass_unpriced
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.failing_walls import (
    NOTHING,
    before_a_lawn,
    capped,
    failing,
    searched,
    soils_of,
)
from tests.given.lawn_walls import lawn_request
from tests.given.statics import leaning
from tests.given.walls import entry, ft, section, straight, system, wall


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
    offered = Offered(soils=(), systems=(deep, unknown))
    found = searched(would_pass(quote(job, prices), offered, priced=False))
    named = [each.job.system.id for each in found.other_walls if each.job.system != job.system]
    assert named == ["deep"]


def test_would_pass_offers_no_fill_that_may_not_go_back() -> None:
    """A strong soil that may not be put back is no fill."""
    job, prices = before_a_lawn()
    strong = shipped_catalog().soils["sand_gravel"].core
    plain, fills = quote(job, prices), []
    for soil in (strong, replace(strong, reusable=False)):
        found = searched(would_pass(plain, Offered(soils=(soil,), systems=()), priced=False))
        fills.append([each.changes for each in found.sets if "better_fill" in each.changes])
    assert fills == [[("better_fill",)], []]


def test_would_pass_names_the_same_changes_once() -> None:
    """Either of two strong soils as fill passes alone: the fill is named once among the sets."""
    job, prices = before_a_lawn()
    strong = shipped_catalog().soils["sand_gravel"].core
    offered = Offered(soils=(strong, replace(strong, id="another")), systems=())
    found = searched(would_pass(quote(job, prices), offered, priced=True))
    assert [each.changes for each in found.sets] == [
        ("soil_below_cap",),
        ("better_fill",),
        ("layers",),
    ]


def test_would_pass_leaves_out_what_has_no_price_that_fits() -> None:
    """Deeper units that a list sells by the hour can't be priced; the next deeper ones can."""
    job, prices = failing()
    unit = job.system.standard
    by_hour = replace(unit, item="by_hour", depth_m=2 * unit.depth_m)
    systems = tuple(
        replace(job.system, id=name, standard=standard)
        for name, standard in (
            ("by_hour", by_hour),
            ("deep", replace(unit, depth_m=3 * unit.depth_m)),
        )
    )
    listed = replace(prices.items[unit.item], per="h")
    prices = replace(prices, items={**prices.items, "by_hour": listed})
    offered = Offered(soils=(), systems=systems)
    named = {
        priced: [
            each.job.system.id
            for each in searched(would_pass(quote(job, prices), offered, priced=priced)).other_walls
            if each.changes == ("deeper_units",)
        ]
        for priced in (False, True)
    }
    assert named == {False: ["by_hour", "deep"], True: ["deep"]}


def test_would_pass_names_deeper_units_only_where_all_of_them_have_a_price() -> None:
    """Of two deeper systems the one whose cap isn't in the list is not named."""
    job, prices = failing()
    unit = replace(job.system.standard, depth_m=2 * job.system.standard.depth_m)
    deep = replace(job.system, id="deep", standard=unit)
    capped = replace(deep, id="capped", cap=replace(unit, item="cap_without_price"))
    offered = Offered(soils=(), systems=(capped, deep))
    found = searched(would_pass(quote(job, prices), offered, priced=False))
    named = [each.job.system.id for each in found.other_walls if each.job.system != job.system]
    assert named == ["deep"]


@pytest.mark.parametrize(("measured", "named"), [("7.6 ft", False), ("7.7 ft", True)])
def test_would_pass_names_layers_only_where_their_cut_is_measured(
    measured: str, *, named: bool
) -> None:
    """Layers of 4 ft lie on a floor a course of 8 in below the front grade. The slope of 1:1 meets
    the ground, 3 ft up, 7 ft 8 in behind: where it is measured to 7.6 ft, which is enough for
    the plain stack, layers can't be dug."""
    request = lawn_request("loam")
    pairs = (("-20 ft", "0 ft"), ("2 ft", "0 ft"), ("4 ft", "3 ft"), (measured, "3 ft"))
    section = [{"offset": offset, "elevation": level} for offset, level in pairs]
    (wall_asked,) = request["walls"]
    for each in wall_asked["profile"]:
        del each["existing_grade"]
        each["existing_section"] = section
    del wall_asked["existing_slope"]
    catalog = shipped_catalog()
    job, prices = to_core(read_request(request, catalog, None), catalog)
    found = searched(would_pass(quote(job, prices), NOTHING, priced=False))
    assert any("layers" in each.changes for each in found.sets) == named


def test_would_pass_tells_the_nearest_only_where_nothing_passes() -> None:
    """3 ft of loam pass with the soil below the cap; 5 ft don't, with no fill or layers to be had,
    and that change is the nearest, as the only one."""
    low, high = (before_a_lawn(exposed) for exposed in ("3 ft", "5 ft"))
    for priced in (False, True):
        found = searched(would_pass(quote(*low), NOTHING, priced=priced))
        assert found.sets
        assert found.nearest is None
        job, prices = high
        bare = replace(job, section=replace(job.section, reinforcement_item=None))
        found = searched(would_pass(quote(bare, prices), NOTHING, priced=priced))
        assert found.sets == ()
        assert found.nearest is not None
        assert found.nearest.changes == ("soil_below_cap",)


def overturns(friction: int, soil_ft: float) -> float:
    """Safety of the five units of `capped` at 3 ft 8 in: 400 lb/ft at 6 in and twice 3/4 in from
    the toe, over the push of soil at a third of its height."""
    push = leaning(friction, math.degrees(math.atan(0.75 / 8))).horizontal * 120 * soil_ft**2 / 2
    return 400 * 7.5 / 12 / (push * soil_ft / 3)


def test_would_pass_pairs_what_does_not_pass_alone() -> None:
    """Neither soil of 36 deg up to the top passes, nor the soil there is below the cap, 3.33 ft up;
    with both 32 deg fail, and 34 deg pass, so that nothing stronger is tried."""
    assert overturns(36, 11 / 3) < overturns(32, 3.33) < 1.5 < overturns(34, 3.33)
    assert overturns(30, 3.33) < 1.5
    built = capped("3 ft 8 in", 30)
    offered = Offered(soils=soils_of(32, 34, 36), systems=())
    (named,) = searched(would_pass_unpriced(built, offered)).sets
    assert named.changes == ("soil_below_cap", "better_fill")
    assert named.job.soils.fill == soils_of(34)[0]


def test_would_pass_tells_what_comes_nearest() -> None:
    """At 4 ft soil of 36 deg fails with soil below the cap, too, but by the least."""
    offered = Offered(soils=soils_of(36), systems=())
    found = searched(would_pass_unpriced(capped("4 ft", 34), offered))
    assert found.sets == ()
    assert found.nearest is not None
    assert found.nearest.changes == ("soil_below_cap", "better_fill")


def test_would_pass_unpriced_finds_what_is_found_without_totals() -> None:
    """Who sees no money gets the same sets and other walls; nothing where no check fails."""
    job, prices = before_a_lawn()
    plain = searched(would_pass(quote(job, prices), NOTHING, priced=False))
    assert would_pass_unpriced(planned(job, None), NOTHING) == plain
    low, _ = before_a_lawn("2 ft")
    assert would_pass_unpriced(planned(low, None), NOTHING) is None


def test_would_pass_tries_walls_up_to_the_most_size(monkeypatch: pytest.MonkeyPatch) -> None:
    """Walls of just the most size are tried, larger ones aren't."""
    job, prices = before_a_lawn()
    plain = quote(job, prices)
    size = sum(layout.size for layout in plain.layouts)
    found = []
    for most in (size, size - 1):
        monkeypatch.setattr("service.core.would_pass.would_pass.MOST_SIZE", most)
        found.append(would_pass(plain, NOTHING, priced=False) is not None)
    assert found == [True, False]


def test_share_reached_is_0_where_no_figure_tells() -> None:
    """1.2 of 1.5 is 0.8, and so is e / B of 0.25 where 0.2 is the most; nothing is reached of what
    can't stand at all, nor where something else hinders."""
    job, _ = before_a_lawn()
    least = Check(check="base_sliding", limit="min", wall="w", status="fail", source="a")
    most = replace(least, check="eccentricity", limit="max")
    given = [(least, 1.2, 1.5), (most, 0.25, 0.2), (most, math.inf, 0.2), (least, 0.0, 1.5)]
    shares = [
        share_reached(
            replace(check, value=value, required=Required(value=required, text="a", source="a"))
        )
        for check, value, required in given
    ]
    assert shares == pytest.approx([0.8, 0.8, 0.0, 0.0])
    assert share_reached(least) == 0.0
    assert Tried(changes=("layers",), job=job, hindered="no room").share == 0.0


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
