"""A fill that is widened: what the checks change from one width to the next."""

from __future__ import annotations

import math
from itertools import permutations

import pytest

from service.core.job.basis import CheckName
from tests.given.basis import ASSOCIATION
from tests.given.moved import changes_little
from tests.given.random_walls import Figures, RandomWall, layered, plain

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

COURSES, HEIGHT = 6, 4.0
CHECKS_OF_MASS: tuple[CheckName, ...] = ("base_sliding", "overturning")
CHECKS_OF_STACK: tuple[CheckName, ...] = (*CHECKS_OF_MASS, "interface_shear")
FRICTIONS = (24.0, 28.0, 30.0, 34.0)  # clay, loam, silty sand, sand and gravel of the catalog


def widened(
    native: float, fill: float, rises: float, slope: float, step: int, *, layers: bool
) -> Figures:
    """A wall of 4 ft whose fill reaches so many hundredths of the height behind the units, under
    level ground or a bank from the wall on."""
    wall = RandomWall(
        basis=ASSOCIATION,
        courses=COURSES,
        friction=native,
        fill=fill,
        floor=step * HEIGHT / 100,
        rises=rises,
        psf=0.0,
        load_from=1.0,
        slope=slope,
        slope_from=1.0,
        above=0,
        offset=5.0,
    )
    return layered(wall, (2, 4), 4.0) if layers else plain(wall)


@pytest.mark.parametrize("layers", [False, True])
@pytest.mark.parametrize("slope", [0.0, 1 / 3])
@pytest.mark.parametrize(("native", "fill"), [*permutations(FRICTIONS, 2)])
def test_checks_change_by_5_percent_at_most_as_a_fill_is_widened(
    native: float, fill: float, slope: float, layers: bool
) -> None:
    """In steps of a hundredth of the height to two heights, before cuts of 1.5:1, 1:1, 1/2:1 and an
    upright one; never worse with more of the stronger soil."""
    for rises in (2 / 3, 1.0, 2.0, math.inf):
        for check in CHECKS_OF_MASS if layers else CHECKS_OF_STACK:

            def at(step: int, rises: float = rises, check: CheckName = check) -> float:
                found = widened(native, fill, rises, slope, step, layers=layers)[check]
                return found if fill > native else 1 / found

            changes_little(at, 200, 0.05)
