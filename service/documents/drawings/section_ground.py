"""The ground of a section: finished, filled back, as it was, and the face of the cut."""

from __future__ import annotations

from dataclasses import dataclass

from service.core.built import Built
from service.core.ground.ground import measure_ground
from service.core.ground.region import GroundLine, Polyline
from service.documents.drawings.canvas import Canvas, Point
from service.documents.drawings.section_place import Cut, CutFace, cut_face

_BELOW_M = 0.5  # so much ground is drawn below the base course


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grades:
    """Finished ground in front and behind, what of it behind the wall is graded (to `stop_m`), and
    ground as it was where it is known."""

    front: tuple[Point, Point]
    start: Point
    rise: float
    stop_m: float
    existing: GroundLine | None
    far_m: float

    def level(self, offset_m: float) -> float:
        """Finished level behind the wall."""
        return self.start[1] + self.rise * (offset_m - self.start[0])

    def was(self, from_m: float, to_m: float) -> list[Point]:
        """Ground as it was between two offsets, as far as it is known."""
        ground, low, high = self.existing, from_m, to_m
        if isinstance(ground, Polyline):
            low, high = max(low, ground.xs_m[0]), min(high, ground.xs_m[-1])
        if ground is None or high <= low:
            return []
        return [(x, ground.at(x)) for x in (low, *ground.knots(low, high), high)]

    @property
    def behind(self) -> list[Point]:
        """The surface behind the wall: finished ground, then ground as it was."""
        return [
            self.start,
            (self.stop_m, self.level(self.stop_m)),
            *self.was(self.stop_m, self.far_m),
        ]


def draw_ground(canvas: Canvas, quote: Built, cut: Cut, far: float) -> None:
    """All ground: hatched, with what is filled back, the face of the cut and the grades over it."""
    face = cut_face(quote, cut.layout, cut.station_m)
    grades = _grades(cut, face, far)
    low = cut.base_m - _BELOW_M
    under = [(0.0, cut.base_m), (grades.start[0], cut.base_m)]
    for surface in (list(grades.front), under, grades.behind):
        below = [(surface[-1][0], low), (surface[0][0], low)]
        canvas.area([cut.at(*p) for p in (*surface, *below)], hatch="earth", wide=0)
    if face is not None:
        _draw_filled(canvas, cut, face, grades)
    canvas.line([cut.at(*point) for point in grades.front], wide=0.55)
    canvas.line([cut.at(*point) for point in grades.behind], wide=0.55)


def _grades(cut: Cut, face: CutFace | None, far: float) -> _Grades:
    spec, levels = cut.layout.spec, cut.levels
    before = levels.front_m + spec.front_slope * cut.left_m
    start = cut.face_m(cut.stretch.top_joint - 1) + cut.layout.system.standard.depth_m
    existing = _existing(cut)
    graded = far if face is None or existing is None else max(face.graded_m, start)
    return _Grades(
        front=((cut.left_m, before), (0.0, levels.front_m)),
        start=(start, levels.back_m),
        rise=max(0.0, spec.back_slope),
        stop_m=min(graded, far),
        existing=existing,
        far_m=far,
    )


def _existing(cut: Cut) -> GroundLine | None:
    """Existing ground across the wall there."""
    for piece in measure_ground(cut.layout):
        if cut.station_m <= piece.to_m + 1e-9:
            return piece.at(min(max(cut.station_m, piece.from_m), piece.to_m))
    return None


def _draw_filled(canvas: Canvas, cut: Cut, face: CutFace, grades: _Grades) -> None:
    """What is filled back behind the wall, and beyond the cut; the cut; ground as it was."""
    behind = cut.face_m(cut.stretch.base) + cut.layout.system.standard.depth_m
    outline = [(behind, cut.base_m), face.floor, face.end]
    for x, level in grades.was(face.end[0], grades.stop_m):
        outline.append((x, min(level, grades.level(x))))
    last = max(face.end[0], grades.stop_m)
    outline += [(last, grades.level(last)), grades.start]
    points = [cut.at(*point) for point in outline]
    canvas.area(points, fill="#ffffff", wide=0)
    canvas.area(points, hatch="fill", wide=0)
    canvas.line([cut.at(*face.floor), cut.at(*face.end)], wide=0.4, dash="4 1 1 1")
    was = [cut.at(*point) for point in grades.was(cut.left_m, grades.far_m)]
    if was:
        canvas.line(was, wide=0.35, dash="0.4 0.9")
