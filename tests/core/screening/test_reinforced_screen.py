"""Checks of a wall with layers: which figures count, and what is missing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.basis import CheckName
from service.core.screening.check import Check
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_screen import figures, passes, screen_reinforced
from tests.given.basis import ASSOCIATION
from tests.given.layered import GRID, ground, layered_section
from tests.given.statics import LB_FT
from tests.given.walls import ft

SETTING = ground(ASSOCIATION)
HOLDS = layered_section(SETTING, 6, (1, 4), ft(8))
WEAK = layered_section(SETTING, 6, (1, 4), ft(8), sheet=replace(GRID, ultimate_n_m=10 * LB_FT))
# Joint 6 is the top of the soil.
BARE = layered_section(SETTING, 6, (6,), ft(8))


def check_of(name: CheckName, *cases: Reinforced) -> Check:
    """One check of these sections."""
    (found,) = (each for each in screen_reinforced(cases, "wall", {}) if each.check == name)
    return found


def test_passes_takes_every_check_and_every_layer() -> None:
    """Layers of 10 lb/ft hold nothing; the mass still stands."""
    assert passes(HOLDS, ("overturning", "layer_tension"))
    assert passes(WEAK, ("overturning",))
    assert not passes(WEAK, ("overturning", "layer_tension"))
    assert not passes(WEAK, ("layer_tension",))


@pytest.mark.parametrize(("name", "least"), [("overturning", 2.0), ("layer_tension", 1.5)])
def test_reinforced_wall_is_held_against_the_figures_of_its_build(
    name: CheckName, least: float
) -> None:
    """Overturning must reach 2 with layers, 1.5 without."""
    found = check_of(name, HOLDS)
    assert found.required is not None
    assert (found.status, found.build, found.required.value) == ("pass", "reinforced", least)


def test_section_without_a_layer_in_soil_says_nothing_of_layers() -> None:
    """Beside one that has some it counts for nothing; alone it lacks them."""
    alone = check_of("layer_tension", BARE)
    assert (alone.status, alone.missing) == ("not_checked", ("layers in soil behind the wall",))
    for cases in ((HOLDS, BARE), (BARE, HOLDS)):
        both = check_of("layer_tension", *cases)
        assert both == check_of("layer_tension", HOLDS)
        assert both.status == "pass"


def test_layers_that_carry_next_to_nothing_have_figures() -> None:
    """Soil of a millionth of the weight pulls a millionth: the figures are 10^6 times those."""
    light = layered_section(ground(ASSOCIATION, pcf=120e-6), 6, (1, 4), ft(8))
    expected = [1e6 * each for each in figures("layer_tension", HOLDS)]
    assert figures("layer_tension", light) == pytest.approx(expected)


def test_check_without_data_says_what_it_lacks() -> None:
    """Nobody tested these sheets with these units."""
    found = check_of("connection", HOLDS)
    assert (found.status, found.missing) == (
        "not_checked",
        ("tested strength of the joint between the sheet and blocks",),
    )
