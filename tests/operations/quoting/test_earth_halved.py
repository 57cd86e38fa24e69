"""Earth between drawn sections, by a second method: every span halved until it changes nothing.

The calculation takes a span as one prismoid where its sections are alike. Here no two are, so that
whatever should tell sections apart and doesn't makes a difference.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from itertools import count

import pytest

from service.core.ground import digging
from service.core.ground.cross_section import CrossSection, draw_section
from service.core.ground.trench import Digging, TrenchStation
from service.core.layout.layout import WallLayout
from tests.answers.marks import answer_to

# Of the kept ones: walls on banks, in yards, with corners, curves, loads, tiers and layers.
NUMBERS = (32, 43, 55, 77, 143, 250, 364, 600, 10028, 20033, 30053, 50011)
MEASURED = ("cut", "backfill", "fill", "disturbed_area")


def earth(number: int) -> Iterator[float]:
    """What is dug, put back, filled and touched of each wall, and topsoil that is put back."""
    answer = answer_to(number)
    assert isinstance(answer, bytes)
    found = json.loads(answer)["earthwork"]
    for wall in found["walls"]:
        yield from (float(wall[name]["value"]) for name in MEASURED)
    if "topsoil" in found:
        yield float(found["topsoil"]["replaced"]["value"])


@pytest.mark.parametrize("number", NUMBERS)
def test_earth_is_that_of_halved_spans(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the share of a span at which halving ends, and what an area that begins where lines cross
    differs from one that begins at its bound."""
    numbers = count()

    def unlike(layout: WallLayout, digs: Digging, place: TrenchStation) -> CrossSection:
        return replace(draw_section(layout, digs, place), shape=(next(numbers),))

    found = list(earth(number))
    monkeypatch.setattr(digging, "draw_section", unlike)
    assert found == pytest.approx(list(earth(number)), rel=5e-6)
    assert next(numbers) > 2
