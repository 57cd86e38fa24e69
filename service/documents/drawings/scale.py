"""Scales of drawings: round ones, and the bar that shows them."""

from __future__ import annotations

import math

from service.documents.drawings.canvas import Canvas, Point
from service.documents.drawings.drawing import Writing

MM_PER_M = 1000.0
_ROUND = (10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 120, 150, 200, 250, 300, 400, 500, 600, 750)
_FOOT_M = 0.3048
# Lengths that a bar may stand for, in feet and in meters.
_BARS = {"us": (1, 2, 5, 10, 20, 50, 100, 200), "metric": (0.5, 1, 2, 5, 10, 20, 50, 100)}
_BAR_MM = 45.0


def round_scale(least: float) -> float:
    """The first round scale (1 to so many) that is no larger than asked: `least` 37 gives 40."""
    for scale in _ROUND:
        if scale >= least:
            return float(scale)
    return math.ceil(least / 500) * 500.0


def next_scale(scale: float) -> float:
    """The next round scale after one."""
    return round_scale(scale + 1)


def draw_bar(canvas: Canvas, at: Point, scale: float, writing: Writing) -> None:
    """A scale bar with its length and the scale, from its left end."""
    unit = _FOOT_M if writing.units == "us" else 1.0
    lengths = [step * unit for step in _BARS[writing.units]]
    fitting = [length for length in lengths if length * MM_PER_M / scale <= _BAR_MM]
    length = max(fitting, default=lengths[0])
    wide, (x, y) = length * MM_PER_M / scale, at
    canvas.area([(x, y), (x + wide / 2, y), (x + wide / 2, y + 1.2), (x, y + 1.2)], fill="#1a1a1a")
    canvas.area([(x + wide / 2, y), (x + wide, y), (x + wide, y + 1.2), (x + wide / 2, y + 1.2)])
    text = writing.words.say(
        "{length}, scale 1:{scale}", length=writing.length(length), scale=f"{scale:.0f}"
    )
    canvas.write((x + wide + 2, y + 1.4), text, anchor="start")
