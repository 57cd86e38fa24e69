"""Which strength of a soil the checks go by."""

from __future__ import annotations

import math
from dataclasses import replace

from service.core.job.job import Soils
from service.core.job.soil import Undug
from service.core.screening.strengths import strength_assumptions
from tests.given.earth import soil

FIRM = replace(
    soil("firm"),
    friction_angle_rad=math.radians(30),
    undisturbed=Undug(friction_angle_rad=math.radians(27.5)),
)


def test_strength_assumptions_name_the_strength_that_is_used() -> None:
    """A soil whose file knows two strengths is screened as compacted, and the answer says so; a
    soil with one needs no word, nor does a place without a soil."""
    found = list(strength_assumptions(Soils(retained=FIRM, fill=soil("other"))))
    (one,) = found
    assert (one.field, one.value) == ("/soils/retained", "30 deg")
    assert "as compacted" in one.why
    assert "27.5 deg for undisturbed ground, which is not used" in one.why
    places = [
        each.field
        for each in strength_assumptions(Soils(retained=FIRM, foundation=FIRM, fill=FIRM))
    ]
    assert places == ["/soils/retained", "/soils/foundation", "/soils/fill"]
