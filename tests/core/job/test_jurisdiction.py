"""What the rules of a place say together."""

from __future__ import annotations

import math
from dataclasses import replace

from service.core.job.jurisdiction import CautionRule, Jurisdiction
from tests.given.earth import EARTH_RULES
from tests.given.walls import ft

HIGH = CautionRule(
    code="high", trigger="permit_height", severity="high", text="High.", source="invented"
)


def test_least_over_is_the_lowest_figure_over_which_a_caution_hangs_on_a_trigger() -> None:
    """Over 4 ft and over 6 ft, from 2 ft up, and always: 4 ft. A tier over 3 ft has a figure of
    its own, and nothing is over a figure of exposed height."""
    rules = (
        HIGH,
        replace(HIGH, over=ft(6)),
        replace(HIGH, over=ft(4)),
        replace(HIGH, at_least=ft(2)),
        replace(HIGH, trigger="combined_height", over=ft(3)),
        replace(HIGH, trigger="exposed_height", at_least=ft(1)),
    )
    place = Jurisdiction(id="here", version="1", title="Here", cautions=rules, earth=EARTH_RULES)
    assert place.least_over("permit_height") == ft(4)
    assert place.least_over("combined_height") == ft(3)
    assert place.least_over("exposed_height") == math.inf
