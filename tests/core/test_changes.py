"""The changes that can be made to a wall that fails, and the ways to make each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from service.core.built import Built
from service.core.job.price_list import PriceList
from service.core.job.soil import Soil
from service.core.quote import planned
from service.core.would_pass.alternative import ChangeName, Offered
from service.core.would_pass.changes import ways
from tests.given.failing_walls import failing, job_of, soils_of
from tests.given.screened import set_wall


def built() -> Built:
    """Stack G2, with a sheet to lay."""
    return planned(failing()[0], None)


def without(item: str) -> PriceList:
    """The prices of the set without one."""
    _, prices = failing()
    return replace(prices, items={name: one for name, one in prices.items.items() if name != item})


def fills(of: Built, soils: tuple[Soil, ...], prices: PriceList | None = None) -> list[str]:
    """Better fills among these soils, the least first."""
    made = ways(of, Offered(soils=soils, systems=()), prices)
    return [edit.fill.id for edits in made for edit in edits if edit.fill is not None]


def named(of: Built, prices: PriceList | None = None) -> list[ChangeName]:
    """Changes that can be made where no soils are offered."""
    return [edits[0].change for edits in ways(of, Offered(soils=(), systems=()), prices)]


def test_ways_lay_layers_where_none_are_quoted_and_a_sheet_has_a_price() -> None:
    """Not where they are quoted already, the section names no sheet, or the list has none."""
    plain = built()
    bare = replace(plain.job, section=replace(plain.job.section, reinforcement_item=None))
    assert named(plain) == named(plain, failing()[1]) == ["layers"]
    assert named(plain, without("grid")) == []
    assert named(replace(plain, job=bare)) == []
    assert named(replace(plain, job=replace(plain.job, reinforcing="all"))) == []


def test_ways_offer_fills_that_are_stronger_than_the_one_that_is_asked_for() -> None:
    """Of 30 to 36 deg those over 32 deg, whatever is retained; with no fill asked for, what is
    retained goes back, 30 deg here, and 32 deg are better."""
    soils: Mapping[str, str] = {"retained": "phi30", "foundation": "phi30"}
    offered = soils_of(30, 36, 32, 34)
    job, _ = job_of(set_wall("4 ft"), soils={**soils, "fill": "phi32"})
    assert fills(planned(job, None), offered) == ["phi34", "phi36"]
    job, _ = job_of(set_wall("4 ft"), soils=soils)
    assert job.soils.fill is None
    assert fills(planned(job, None), offered) == ["phi32", "phi34", "phi36"]


def test_ways_offer_no_fill_where_its_import_has_no_price() -> None:
    """A list without it, and the one with it."""
    assert fills(built(), soils_of(34), failing()[1]) == ["phi34"]
    assert fills(built(), soils_of(34), without("import_fill")) == []
