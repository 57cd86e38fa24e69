"""The rows in which an elevation is drawn: how many, at what scale, and where on the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.core.layout.layout import WallLayout
from service.documents.drawings.canvas import Point
from service.documents.drawings.scale import MM_PER_M, next_scale, round_scale

WIDTH_MM = 180.0
SIDE_MM = 20.0
HEAD_MM = 12.0
FOOT_MM = 16.0
# A course is drawn as high as this where the wall is short enough for it, and never higher.
_COURSE_MM, _HIGHEST_MM = 2.6, 12.0
# As high as a sheet is, and the least height of a course down to which a wall is fitted on it.
_SHEET_MM, _LEAST_MM = 225.0, 1.2
_SAME_M = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A stretch of stations drawn in one row, and how it is put on the sheet: `high_m` is the
    level at its upper edge."""

    from_m: float
    to_m: float
    high_m: float
    scale: float
    y_mm: float

    def x(self, station_m: float) -> float:
        """A station on the sheet."""
        return SIDE_MM + (station_m - self.from_m) * MM_PER_M / self.scale

    def y(self, level_m: float) -> float:
        """A level on the sheet."""
        return self.y_mm + (self.high_m - level_m) * MM_PER_M / self.scale

    def cut(self, from_m: float, to_m: float) -> tuple[float, float] | None:
        """What of a stretch lies in the row."""
        a, b = max(from_m, self.from_m), min(to_m, self.to_m)
        return (a, b) if b - a > _SAME_M else None

    def has(self, station_m: float) -> bool:
        """Whether a station lies in the row, at its ends too."""
        return self.from_m - _SAME_M <= station_m <= self.to_m + _SAME_M

    def box(self, from_m: float, to_m: float, low_m: float, high_m: float) -> list[Point]:
        """A rectangle of stations and levels."""
        left, right, bottom, top = self.x(from_m), self.x(to_m), self.y(low_m), self.y(high_m)
        return [(left, bottom), (right, bottom), (right, top), (left, top)]


def rows_of(layout: WallLayout) -> tuple[Row, ...]:
    """The rows of a wall, equally long: as few as leave its courses to be read."""
    low, high = level_range(layout)
    course, length = layout.grid.course_m * MM_PER_M, layout.length_m * MM_PER_M
    count = max(1, math.ceil(length / _wide() / (course / _COURSE_MM) - _SAME_M))
    scale = round_scale(max(length / _wide() / count, course / _HIGHEST_MM))
    while count * _row_mm(high - low, scale) > _SHEET_MM and course / next_scale(scale) > _LEAST_MM:
        scale = next_scale(scale)
        count = max(1, math.ceil(length / _wide() / scale - _SAME_M))
    each = layout.length_m / count
    return tuple(
        Row(
            from_m=number * each,
            to_m=(number + 1) * each,
            high_m=high,
            scale=scale,
            y_mm=number * _row_mm(high - low, scale) + HEAD_MM,
        )
        for number in range(count)
    )


def rows_mm(rows: tuple[Row, ...], layout: WallLayout) -> float:
    """What the rows take of the height of the sheet."""
    low, high = level_range(layout)
    return len(rows) * _row_mm(high - low, rows[0].scale)


def _wide() -> float:
    return WIDTH_MM - 2 * SIDE_MM


def _row_mm(tall_m: float, scale: float) -> float:
    return tall_m * MM_PER_M / scale + HEAD_MM + FOOT_MM


def level_range(layout: WallLayout) -> tuple[float, float]:
    """The lowest and the highest level that is drawn."""
    ends = [
        level
        for stretch in layout.stretches
        for levels in (stretch.interval.start, stretch.interval.finish)
        for level in (levels.front_m, levels.back_m, levels.top_m)
    ]
    lowest = layout.courses[0].elevation_m
    return min(lowest, *ends), max(layout.built_top_m, *ends)
