"""A second method for cuts of several walls: plan polygons level by level, joined by Shapely.

Nothing of the service's earthwork is used. At each level a cut is the strip between its trench
front and its slope there, mitred at corners; a sloped end adds a rectangle over the floor and a
quarter of a disc. Feet throughout; the soil lies to the left of travel.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

FAR = 1000.0
Place = tuple[float, float]
_NODES = ((0.1127016653792583, 5 / 18), (0.5, 4 / 9), (0.8872983346207417, 5 / 18))


@dataclass(frozen=True)
class Cut:
    """A cut of constant section along `line`; offsets and levels as in the words of rule 13.3.
    `slope` is run over rise."""

    line: tuple[Place, ...]
    front: float
    rear: float
    floor: float
    bottom: float
    pad_top: float
    slope: float
    sloped_ends: bool = True

    def at(self, level: float) -> Polygon:
        """Its plan at a level, over all ground."""
        if level < self.pad_top:
            return self.strip(self.front, self.rear)
        run = (level - self.pad_top) * self.slope
        parts = [self.strip(self.front, self.floor + run)]
        if self.sloped_ends and run > 0:
            parts += [self.end(True, run), self.end(False, run)]
        return unary_union(parts)

    def strip(self, near: float, far: float) -> Polygon:
        """Between two offsets, square at the ends."""
        first, last = self.moved(near), self.moved(far)
        return Polygon([*first, *reversed(last)])

    def moved(self, by: float) -> list[Place]:
        """The line moved to the left, mitred."""
        if by == 0:
            return list(self.line)
        curve = LineString(self.line).offset_curve(by, join_style="mitre", mitre_limit=50)
        places = list(curve.coords)
        start = self.line[0]
        ahead = math.dist(places[0], start) <= math.dist(places[-1], start)
        return places if ahead else places[::-1]

    def end(self, at_start: bool, run: float) -> Polygon:
        """What a sloped end adds."""
        place, inner = (self.line[0], self.line[1]) if at_start else (self.line[-1], self.line[-2])
        length = math.dist(place, inner)
        out = ((place[0] - inner[0]) / length, (place[1] - inner[1]) / length)
        left = (out[1], -out[0]) if at_start else (-out[1], out[0])

        def go(along: float, behind: float) -> Place:
            return (
                place[0] + along * out[0] + behind * left[0],
                place[1] + along * out[1] + behind * left[1],
            )

        wedge = Polygon(
            [go(0, self.front), go(run, self.front), go(run, self.floor), go(0, self.floor)]
        )
        corner = go(0, self.floor)
        quarter = Polygon(
            [
                corner,
                go(2 * run, self.floor),
                go(2 * run, self.floor + 2 * run),
                go(0, self.floor + 2 * run),
            ]
        )
        disc = Point(corner).buffer(run, quad_segs=64).intersection(quarter)
        return unary_union([wedge, disc])


@dataclass(frozen=True)
class Volumes:
    """Of each cut alone, and of all together, in cubic feet."""

    each: tuple[float, ...]
    union: float

    @property
    def shared(self) -> float:
        """What more than one would dig."""
        return math.fsum(self.each) - self.union


def volumes(
    cuts: Sequence[Cut], ground: Callable[[float], Polygon], highest: float, panels: int = 60
) -> Volumes:
    """Volumes under the ground; `ground` gives the plan of all ground that is at least so high."""
    marks = sorted({highest, *(z for cut in cuts for z in (cut.bottom, cut.pad_top))})
    each, union = [0.0] * len(cuts), 0.0
    for low, high in pairwise(marks):
        step = (high - low) / panels
        for panel in range(panels):
            for node, weight in _NODES:
                level = low + (panel + node) * step
                under = ground(level)
                dug = [
                    cut.at(level).intersection(under) if level > cut.bottom else Polygon()
                    for cut in cuts
                ]
                each = [v + weight * step * d.area for v, d in zip(each, dug, strict=True)]
                union += weight * step * unary_union(dug).area
    return Volumes(each=tuple(each), union=union)


def bank(toe: float, rise: float) -> Callable[[float], Polygon]:
    """Ground that rises with y (1 : 1/rise), at level 0 where y is `toe`."""
    return lambda level: box(-FAR, toe + level / rise, FAR, FAR)


def level_ground(height: float) -> Callable[[float], Polygon]:
    """Ground of one height everywhere."""
    return lambda level: box(-FAR, -FAR, FAR, FAR) if level <= height else Polygon()
