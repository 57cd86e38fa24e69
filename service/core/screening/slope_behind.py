"""Where ground rises behind a wall: finished ground until it meets existing ground, then that."""

from __future__ import annotations

from service.core.layout.layout import WallLayout
from service.core.rounding import CLOSE_M, CLOSE_SHARE
from service.core.screening.behind import loads_behind
from service.core.screening.formulas.ground_lines import (
    after,
    broken_line,
    level_at,
    through,
    until_met,
)
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.wall_section import Loading, sections_of


def rise_behind(
    layout: WallLayout, within_m: float, steeper_than: float
) -> tuple[float, float] | None:
    """The nearest ground that rises behind a wall, steeper than so much (rise over run) and nearer
    to the plan line than so far: its distance and its slope. None: there is none."""
    highest = max(stretch.top_joint for stretch in layout.stretches)
    start_m = layout.offset_m(highest - 1) + layout.system.standard.depth_m
    loads = {section.load for section in sections_of(layout, loads_behind(layout, {}, ()))}
    rising = (
        (max(0.0, line.from_m), line.slope)
        for load in loads
        for line in _surface(load, start_m)
        if line.slope > steeper_than + CLOSE_SHARE
        and line.from_m < within_m
        and line.to_m - line.from_m > CLOSE_M
    )
    return min(rising, key=lambda found: (found[0], -found[1]), default=None)


def _surface(load: Loading, start_m: float) -> list[WedgeSlice]:
    """Lines of the ground from the back of the units on, over the back grade."""
    rises = sorted((max(rise.from_m, start_m), rise.slope) for rise in load.rises)
    finished = broken_line(0.0, [(start_m, load.back_slope), *rises])
    if not load.existing:
        return finished
    existing = through(load.existing, load.existing_slope)
    if level_at(existing, start_m) > CLOSE_M:  # finished ground is cut into a bank
        return after(existing, start_m)
    return until_met(finished, existing)
