"""Walls that an engineer must look at whatever the checks say: each reason by itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.catalog import Catalog
from service.core.cautions.caution import Cautions
from service.core.cautions.for_engineer import beside_checks, engineer_reasons, walls_for_engineer
from service.core.cautions.screening_facts import slope_reasons
from service.core.job.jurisdiction import CautionRule
from service.core.job.spec import LoadAbove, NearWord
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.earth import ground_wall
from tests.given.quote_requests import shipped_request
from tests.given.walls import inch, laid, level_wall

NOTHING = Cautions(given=(), always=(), held=(), held_at={}, design_asked=())
# 24 in over ground, 12 in buried: 36 in high as built.
PLAIN = level_wall(exposed=inch(24))


def test_engineer_is_asked_for_beside_what_only_repeats_a_failing_check(catalog: Catalog) -> None:
    """The caution that a wall doesn't hold says what its check says; the one on height doesn't."""
    job, _ = to_core(read_request(shipped_request(), catalog), catalog)
    fails = CautionRule(
        code="engineer-fails", trigger="gravity_fails", severity="high", text="", source="invented"
    )
    high = replace(fails, code="engineer-height", trigger="permit_height")
    job = replace(job, jurisdiction=replace(job.jurisdiction, cautions=(fails, high)))
    held = replace(NOTHING, held=("engineer-fails", "engineer-height"))
    assert beside_checks(job, held) == ("engineer-height",)
    assert engineer_reasons(job, held) == ("the height of a wall",)


def test_wall_of_a_quote_for_materials_alone_is_on_no_fill(catalog: Catalog) -> None:
    """Nobody asks for its ground: what is said of it isn't looked at."""
    job, _ = to_core(read_request(shipped_request(), catalog), catalog)
    layout = laid(ground_wall((0, 4, 0, -2), (40, 4, 0, -2)))
    materials = replace(job, materials_only=True)
    assert "the wall stands on fill" not in slope_reasons(materials, layout)


@pytest.mark.parametrize(
    ("near", "from_in", "told"),
    [("building", 71, True), ("building", 72, False), ("walkway", 24, False)],
)
def test_a_building_nearer_than_two_heights_is_for_an_engineer(
    catalog: Catalog, near: NearWord, from_in: float, *, told: bool
) -> None:
    """Two heights of 36 in are 72 in: a building there is far enough (rule 14.13), and a way may
    run anywhere. One of several loads is enough."""
    job, _ = to_core(read_request(shipped_request(), catalog), catalog)
    load = LoadAbove(what=near, title=near, load_pa=0.0, from_m=inch(from_in), near=(near,))
    layout = laid(replace(PLAIN, above=(load, replace(load, from_m=inch(120)))))
    assert bool(walls_for_engineer(job, [layout], NOTHING)) == told


@pytest.mark.parametrize(
    ("existing_ft", "slope", "told"),
    [
        ((-2.0, -2.0), 0.0, True),
        ((0.0, -2.0), 0.0, True),
        ((-2.0, -2.0), 0.5, True),
        ((-1.5, -1.5), 0.0, False),
        ((-1.0, -1.0), 0.0, False),
    ],
)
def test_slope_reasons_tell_a_wall_on_fill(
    catalog: Catalog, existing_ft: tuple[float, float], slope: float, *, told: bool
) -> None:
    """The pad's bottom lies 18 in under the finished ground. Ground that was there 24 in under it
    at the plan line, all along or at one end, carries the wall by fill, however it rises behind;
    at 18 and 12 in it carries it itself."""
    job, _ = to_core(read_request(shipped_request(), catalog), catalog)
    first, last = existing_ft
    layout = laid(ground_wall((0, 4, 0, first), (40, 4, 0, last), existing_slope=slope))
    assert ("the wall stands on fill" in slope_reasons(job, layout)) == told
