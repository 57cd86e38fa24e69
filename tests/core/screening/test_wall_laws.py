"""What helps never hurts: laws over random walls by both rule books, plain and with layers, of one
soil and two, under loads, banks and upper walls."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.given.random_walls import (
    BESIDE_CAP,
    RandomWall,
    layer_forces,
    layered,
    layers_of,
    plain,
    random_walls,
    worse,
)

few = settings(max_examples=25, deadline=None)
MASS = ("base_sliding", "overturning", "bearing")
moved = st.floats(0.05, 4)


@given(wall=random_walls, left=st.floats(0, 0.95))
@few
def test_plain_wall_gets_no_weaker_without_soil_beside_its_cap(
    wall: RandomWall, left: float
) -> None:
    """What stands above stays where it is."""
    filled = replace(wall, beside_cap=BESIDE_CAP)
    assert worse(plain(filled), plain(replace(wall, beside_cap=BESIDE_CAP * left))) == {}


@given(wall=random_walls, left=st.floats(0, 0.95))
@few
def test_layered_wall_gets_no_weaker_without_soil_beside_its_cap(
    wall: RandomWall, left: float
) -> None:
    """Of a mass without a wall above, sliding, overturning and bearing: the soil that is taken away
    also weighs on the mass and on the topmost layer, which pull out and eccentricity feel, and
    sliding where a wall above pushes on."""
    alone = replace(wall, above=0)
    before, after = (replace(alone, beside_cap=BESIDE_CAP * share) for share in (1.0, left))
    layers = layers_of(wall)
    assert worse(layered(before, *layers), layered(after, *layers), MASS) == {}


@given(wall=random_walls, fill=st.floats(24, 36), more=st.floats(0.1, 4))
@few
def test_plain_wall_gets_no_weaker_when_its_fill_gets_stronger(
    wall: RandomWall, fill: float, more: float
) -> None:
    """By sliding and between courses whatever stands above; by overturning and bearing without
    loads and upper walls, whose share of one push can grow and acts higher."""
    before, after = (replace(wall, fill=fill + each) for each in (0.0, more))
    assert worse(plain(before), plain(after), ("base_sliding", "interface_shear")) == {}
    before, after = (replace(each, psf=0, even_psf=0, above=0) for each in (before, after))
    assert worse(plain(before), plain(after)) == {}


@given(wall=random_walls, fill=st.floats(24, 36), more=st.floats(0.1, 4))
@few
def test_layered_wall_gets_no_weaker_when_its_fill_gets_stronger(
    wall: RandomWall, fill: float, more: float
) -> None:
    """By sliding, and each layer by its strength and its joint; overturning as of a plain wall, and
    the plane from which a layer is anchored moves."""
    before, after = (replace(wall, fill=fill + each) for each in (0.0, more))
    layers, of_layers = layers_of(wall), ("layer_tension", "connection")
    names = ("base_sliding", *of_layers)
    assert worse(layered(before, *layers), layered(after, *layers), names) == {}


@given(wall=random_walls, away=moved)
@few
def test_plain_wall_gets_no_weaker_when_what_stands_above_moves_off(
    wall: RandomWall, away: float
) -> None:
    """A load, a bank; an upper wall with no load before it, which would grow."""
    load, bank = wall.load_from + away, wall.slope_from + away
    for after in (replace(wall, load_from=load), replace(wall, slope_from=bank)):
        assert worse(plain(wall), plain(after)) == {}
    bare = replace(wall, psf=0)
    assert worse(plain(bare), plain(replace(bare, offset=wall.offset + away))) == {}


@given(wall=random_walls, away=moved)
@few
def test_layered_wall_gets_no_weaker_when_a_load_moves_off(wall: RandomWall, away: float) -> None:
    """The mass by every check, and all layers together: their hold is the same, and they carry no
    more. A single layer may take more of the lesser push."""
    after, layers = replace(wall, load_from=wall.load_from + away), layers_of(wall)
    names = (*MASS, "eccentricity")
    assert worse(layered(wall, *layers), layered(after, *layers), names) == {}
    near, far = (layer_forces(each, *layers) for each in (wall, after))
    assert far.held == pytest.approx(near.held, rel=1e-5)
    assert math.fsum(far.pulled) <= math.fsum(near.pulled) * (1 + 1e-9)


@given(wall=random_walls, away=moved)
@few
def test_layered_wall_gets_no_weaker_when_an_upper_wall_moves_off(
    wall: RandomWall, away: float
) -> None:
    """From behind the mass on, over level ground: on the mass a wall holds it down."""
    layers = layers_of(wall)
    behind = max(wall.offset, layers[1] + 1)
    before, after = (
        replace(wall, psf=0, above=4, beside_cap=BESIDE_CAP, offset=behind + by, slope=0.0)
        for by in (0.0, away)
    )
    names = (*MASS, "eccentricity")
    assert worse(layered(before, *layers), layered(after, *layers), names) == {}


@given(wall=random_walls)
@few
def test_plain_wall_gets_no_weaker_with_a_course_less(wall: RandomWall) -> None:
    """The lowest course left out, the ground behind and what stands on it as they were."""
    assert worse(plain(wall), plain(replace(wall, left_out=1))) == {}


@given(wall=random_walls)
@few
def test_layered_wall_gets_no_weaker_with_a_course_less(wall: RandomWall) -> None:
    """The mass, where nothing stands above that pushes on as hard; layers at every height."""
    alone = replace(wall, above=0, psf=0.0, even_psf=0.0, slope=0.0, courses=max(4, wall.courses))
    layers = layers_of(alone)
    names = (*MASS, "layer_tension", "connection")
    less = replace(alone, left_out=1)
    assert worse(layered(alone, *layers), layered(less, *layers), names) == {}
