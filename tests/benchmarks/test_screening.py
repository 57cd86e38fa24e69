"""What screening costs: a long wall with layers everywhere, in processor time of one answer."""

from __future__ import annotations

import math
import time

import pytest

from tests.given.quote_requests import Json, answered, straight
from tests.given.screened import STATED, set_request, sets_catalog

STATIONS = 200


def wavy() -> Json:
    """200 stations 10 ft apart, top, front and back grade up and down under a slope of 4:1."""
    entries = [
        {
            "station": f"{10 * i} ft" if i < STATIONS - 1 else "end",
            "top": f"{4 + 2 * math.sin(i):.2f} ft",
            "front_grade": f"{0.5 * math.cos(i):.2f} ft",
            "back_grade": f"{4 + 2 * math.sin(i) - i % 3 * 0.3:.2f} ft",
        }
        for i in range(STATIONS)
    ]
    plan = [straight(f"{10 * (STATIONS - 1)} ft")]
    return {"plan": plan, "profile": entries, **STATED, "back_slope": "4:1"}


@pytest.mark.parametrize("basis", ["association", "fhwa"])
def test_a_long_layered_wall_is_answered_in_a_second(basis: str) -> None:
    """Layers along all of it, quoted with their price effect."""
    request = set_request(wavy(), screening={"basis": basis, "reinforcement": "all"})
    sets_catalog()
    start = time.process_time()
    found = answered(request, sets_catalog())
    spent = time.process_time() - start
    assert found["screening"]["reinforcement"]["quoted"]
    assert spent < 1.0
