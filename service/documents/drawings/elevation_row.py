"""A row of an elevation: a stretch of stations, and where it stands on the sheet."""

from __future__ import annotations

from dataclasses import dataclass

from service.core.rounding import CLOSE_M
from service.documents.drawings.canvas import Point
from service.documents.drawings.scale import MM_PER_M

SIDE_MM = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ElevationRow:
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
        return (a, b) if b - a > CLOSE_M else None

    def box(self, from_m: float, to_m: float, low_m: float, high_m: float) -> list[Point]:
        """A rectangle of stations and levels."""
        left, right, bottom, top = self.x(from_m), self.x(to_m), self.y(low_m), self.y(high_m)
        return [(left, bottom), (right, bottom), (right, top), (left, top)]
