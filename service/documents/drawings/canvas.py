"""A sheet to draw on, in mm: lines, areas, hatches, and texts that never lie over each other.

Figures have two places, so that the same drawing has the same bytes. Nothing in it runs, is fetched
or is styled from elsewhere; meaning is never by color.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Literal

from service.documents.drawings.drawing import Box, Drawing
from service.documents.letters import advance, printable

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
Hatch = Literal["earth", "stone", "buried", "cut", "fill"]

TEXT_MM = 2.6
INK = "#1a1a1a"
FONT = "DejaVu Sans, Verdana, sans-serif"
# A text's box above and below its base line, as shares of its size.
_ASCENT, _DESCENT = 0.8, 0.25
_GAP_MM = 0.4
_PEBBLE = "a0.3 0.3 0 1 0 0.6 0a0.3 0.3 0 1 0 -0.6 0"
# Hatches of our own: strokes within a square of so many mm.
_HATCHES: dict[Hatch, tuple[float, str]] = {
    "earth": (3.0, "M0 3L3 0M-0.4 0.4L0.4 -0.4M2.6 3.4L3.4 2.6"),
    "stone": (2.4, f"M0.5 0.7{_PEBBLE}M1.6 1.8{_PEBBLE}"),
    "buried": (2.0, "M0 0L2 2"),
    "cut": (1.6, "M0 0.8H1.6"),
    "fill": (2.4, "M0.7 1.2H1.7M1.2 0.7V1.7"),
}  # fmt: skip


class Canvas:
    """A sheet being drawn on; `drawing` ends it."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self._parts: list[str] = []
        self._written: list[str] = []
        self._boxes: list[Box] = []
        self._taken: list[Box] = []
        self._hatches: set[Hatch] = set()

    def line(self, points: Sequence[Point], *, wide: float = 0.25, dash: str = "") -> None:
        """A line through points."""
        self._path(_through(points), wide, dash)

    def strokes(self, lines: Iterable[Sequence[Point]], *, wide: float = 0.18) -> None:
        """Many lines as one path."""
        drawn = "".join(_through(points) for points in lines)
        if drawn:
            self._path(drawn, wide, "")

    def area(
        self,
        points: Sequence[Point],
        *,
        fill: str = "none",
        hatch: Hatch | None = None,
        wide: float = 0.25,
    ) -> None:
        """A closed area, plain or hatched; `wide` 0 leaves its edge out."""
        self._fill(f"{_through(points)}Z", hatch, fill, wide)

    def areas(
        self, outlines: Iterable[Sequence[Point]], *, hatch: Hatch, wide: float = 0.0
    ) -> None:
        """Many areas of one hatch as one path."""
        drawn = "".join(f"{_through(points)}Z" for points in outlines)
        if drawn:
            self._fill(drawn, hatch, "none", wide)

    def circle(self, center: Point, radius: float) -> None:
        """A circle, white within; no text that is written later lies over it."""
        x, y = center
        self._taken.append(
            Box(left=x - radius, top=y - radius, right=x + radius, bottom=y + radius)
        )
        self._parts.append(
            f'<circle cx="{_mm(x)}" cy="{_mm(y)}" r="{_mm(radius)}" fill="#ffffff" '
            f'stroke="{INK}" stroke-width="0.25"/>'
        )

    def measure(self, start: Point, end: Point) -> None:
        """A dimension line, level or upright: its ends are marked by slanted strokes."""
        slants = ([(x - 0.8, y + 0.8), (x + 0.8, y - 0.8)] for x, y in (start, end))
        self.strokes([[start, end], *slants])

    def write(
        self,
        at: Point,
        text: str,
        *,
        anchor: Anchor = "middle",
        size: float = TEXT_MM,
        strong: bool = False,
        moves: Sequence[Point] = ((0.0, 0.0),),
    ) -> bool:
        """A text at the first of some places near a point where it lies over no other and within
        the sheet; False where there is none, and then it isn't written."""
        shown = printable(text)
        for dx, dy in moves:
            place = (at[0] + dx, at[1] + dy)
            box = _box(place, shown, anchor, size, strong=strong)
            if self._is_free(box):
                self._boxes.append(box)
                self._written.append(_text(place, shown, anchor, size, strong=strong))
                return True
        return False

    def write_beside(
        self, tip: Point, toward: Point, text: str, *, steps: Sequence[float] = (0.0,)
    ) -> bool:
        """A text wholly on one side of a line: it begins at a point and lies toward a direction (of
        length 1), so many mm farther on where there is no room; False where there is none."""
        wide = advance(printable(text)) * TEXT_MM + 2 * _GAP_MM
        tall = (_ASCENT + _DESCENT) * TEXT_MM
        reach = abs(toward[0]) * wide / 2 + abs(toward[1]) * tall / 2
        below = tall / 2 - _DESCENT * TEXT_MM
        moves = tuple(
            (toward[0] * (reach + step), toward[1] * (reach + step) + below) for step in steps
        )
        return self.write(tip, text, moves=moves)

    def drawing(self, title: str, description: str) -> Drawing:
        """The drawing as it is."""
        title, description = printable(title), printable(description)
        size = f'width="{_mm(self.width_mm)}mm" height="{_mm(self.height_mm)}mm"'
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_mm(self.width_mm)} '
            f'{_mm(self.height_mm)}" {size} role="img" aria-labelledby="t d">'
            f'<title id="t">{escape(title)}</title><desc id="d">{escape(description)}</desc>'
            f"{self._definitions()}"
            f'<rect width="{_mm(self.width_mm)}" height="{_mm(self.height_mm)}" fill="#ffffff"/>'
            f"{''.join(self._parts)}"
            f"{self._behind_texts()}"
            f'<g font-family="{FONT}" fill="{INK}">{"".join(self._written)}</g></svg>'
        )
        return Drawing(
            svg=svg,
            width_mm=self.width_mm,
            height_mm=self.height_mm,
            title=title,
            description=description,
            texts=tuple(self._boxes),
        )

    def _fill(self, drawn: str, hatch: Hatch | None, fill: str, wide: float) -> None:
        if hatch is not None:
            self._hatches.add(hatch)
            fill = f"url(#{hatch})"
        edge = f'stroke="{INK}" stroke-width="{_mm(wide)}"' if wide else 'stroke="none"'
        self._parts.append(f'<path d="{drawn}" fill="{fill}" {edge}/>')

    def _path(self, drawn: str, wide: float, dash: str) -> None:
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<path d="{drawn}" fill="none" stroke="{INK}" stroke-width="{_mm(wide)}"{dashed}/>'
        )

    def _is_free(self, box: Box) -> bool:
        within = (
            box.left >= 0
            and box.top >= 0
            and box.right <= self.width_mm
            and box.bottom <= self.height_mm
        )
        return within and not any(box.overlaps(other) for other in (*self._boxes, *self._taken))

    def _behind_texts(self) -> str:
        """White behind every text, so that no line runs through it."""
        boxes = "".join(_around_box(box) for box in self._boxes)
        return f'<path d="{boxes}" fill="#ffffff" fill-opacity="0.85"/>' if boxes else ""

    def _definitions(self) -> str:
        patterns = "".join(_pattern(hatch) for hatch in sorted(self._hatches))
        return f"<defs>{patterns}</defs>" if patterns else ""


def around(step: float, rows: int = 3) -> tuple[Point, ...]:
    """Places near a point: there, then farther and farther above, below and beside it."""
    near = [(0.0, 0.0)]
    for row in range(1, rows + 1):
        near += [(0.0, -row * step), (0.0, row * step), (row * step, 0.0), (-row * step, 0.0)]
    return tuple(near)


def _pattern(hatch: Hatch) -> str:
    side, strokes = _HATCHES[hatch]
    shade = f'<rect width="{side}" height="{side}" fill="#d9d9d9"/>' if hatch == "cut" else ""
    return (
        f'<pattern id="{hatch}" width="{side}" height="{side}" patternUnits="userSpaceOnUse">'
        f"{shade}"
        f'<path d="{strokes}" fill="none" stroke="#595959" stroke-width="0.15"/></pattern>'
    )


def _around_box(box: Box) -> str:
    left, top, right, bottom = (_mm(side) for side in (box.left, box.top, box.right, box.bottom))
    return f"M{left} {top}H{right}V{bottom}H{left}Z"


def _box(at: Point, text: str, anchor: Anchor, size: float, *, strong: bool) -> Box:
    wide = advance(text, strong=strong) * size
    left = {"start": at[0], "middle": at[0] - wide / 2, "end": at[0] - wide}[anchor]
    return Box(
        left=left - _GAP_MM,
        top=at[1] - _ASCENT * size,
        right=left + wide + _GAP_MM,
        bottom=at[1] + _DESCENT * size,
    )


def _text(at: Point, text: str, anchor: Anchor, size: float, *, strong: bool) -> str:
    weight = ' font-weight="bold"' if strong else ""
    return (
        f'<text x="{_mm(at[0])}" y="{_mm(at[1])}" font-size="{_mm(size)}" '
        f'text-anchor="{anchor}"{weight}>{escape(text)}</text>'
    )


def _through(points: Sequence[Point]) -> str:
    first, *rest = points
    return f"M{_mm(first[0])} {_mm(first[1])}" + "".join(f"L{_mm(x)} {_mm(y)}" for x, y in rest)


def _mm(value: float) -> str:
    """A figure with two places at most, and never `-0`."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
