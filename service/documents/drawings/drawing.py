"""What a drawing is, and how its words and measures are written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service.documents.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """Where a text stands, in mm from the upper left corner; `turned` by 90 degrees or not."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """Whether two boxes have some area in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing: SVG text, its size on paper, and in words what is seen. `texts` are the boxes of
    its texts, for whoever checks that they can be read."""

    svg: str
    width_mm: float
    height_mm: float
    title: str
    description: str
    texts: tuple[Box, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Writing:
    """How a drawing says things: words of its language; lengths in m as a tape reads them, roughly
    and to the last mark; levels in m as they are read on site."""

    words: Words
    length: Callable[[float], str]
    detail: Callable[[float], str]
    level: Callable[[float], str]
    units: str
