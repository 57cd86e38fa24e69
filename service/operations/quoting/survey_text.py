"""Survey points as text: point number, northing, easting, elevation, description, line by line.

The order of the columns and the unit are stated by whoever sends them, never guessed from the
figures. Columns are parted by commas, tabs or blanks; `#` begins a comment line; the description
runs to the end of the line. One line of column names may stand first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import NamedTuple

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.survey_points import PointOrder, Survey, SurveyPoint
from service.core.measure import UNITS
from service.core.rounding import CLOSE_M

COLUMNS: Mapping[PointOrder, tuple[str, str, str]] = MappingProxyType(
    {
        "PNEZD": ("northing", "easting", "elevation"),
        "PENZD": ("easting", "northing", "elevation"),
    }
)
FEWEST_POINTS = 3
MOST_POINTS = 10_000
FARTHEST_M = 1e8  # northing and easting: beyond any grid of a survey
HIGHEST_M = 1e4
SHOWN_CHARACTERS = 40

_NUMBER = re.compile(r"[-+]?(?:[0-9]{1,12}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})", re.ASCII)
_POINT = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.\-]{0,31}", re.ASCII)
_FIRST = re.compile(r"[^\s,]*(\s*)(,?)")
_FIELDS = 5


class _Row(NamedTuple):
    """One line that is no comment, parted into columns."""

    line: int
    fields: tuple[str, ...]
    text: str


def read_survey(text: str, order: PointOrder, unit: str, *, rod: bool = False) -> Survey:
    """Read survey points; `unit` is the symbol of their length unit. With `rod` an elevation is a
    rod reading: larger is lower.

    Raises QuoteFaultsError at `("points",)`, each message with its line: `survey-line-invalid`,
    `survey-order-contradicted`, `survey-point-twice`, `survey-too-few-points`,
    `survey-too-many-points`, `survey-points-in-line`.
    """
    rows, comments = _rows(text)
    header = rows.pop(0) if rows and _is_header(rows[0]) else None
    faults = list(_header_faults(header, order))
    if len(rows) > MOST_POINTS:
        message = f"{len(rows)} points, at most {MOST_POINTS} are read"
        raise QuoteFaultsError([_fault("survey-too-many-points", message, "thin the survey out")])
    points = []
    for row in rows:
        try:
            points.append(_point(row, order, unit, rod=rod))
        except QuoteFaultsError as error:
            faults += error.faults
    faults += _twice(points)
    faults += _extent_faults(points) if not faults else ()
    if faults:
        raise QuoteFaultsError(faults)
    return Survey(
        points=tuple(points),
        order=order,
        unit=unit,
        header=header.text if header else None,
        comments=comments,
    )


def _rows(text: str) -> tuple[list[_Row], int]:
    rows, comments = [], 0
    for number, raw in enumerate(text.removeprefix("\ufeff").split("\n"), start=1):
        line = raw.strip()
        if line.startswith("#"):
            comments += 1
        elif line:
            rows.append(_Row(number, tuple(_part(line)), line))
    return rows, comments


def _part(line: str) -> list[str]:
    """Columns of a line: what follows the point number says what parts them."""
    match = _FIRST.match(line)
    blanks, comma = match.groups() if match else ("", "")
    separator = "," if comma else "\t" if "\t" in blanks else None
    return [field.strip() for field in line.split(separator, _FIELDS - 1)]


def _is_header(row: _Row) -> bool:
    """Whether a line names columns: no figure stands anywhere before the description."""
    return not any(_NUMBER.fullmatch(field) for field in row.fields[:4])


def _header_faults(header: _Row | None, order: PointOrder) -> Iterator[Fault]:
    """A header that names the columns the other way round."""
    if header is None:
        return
    first, second = (name.casefold()[:1] for name in (*header.fields[1:3], "", "")[:2])
    says = {("n", "e"): "PNEZD", ("y", "x"): "PNEZD", ("e", "n"): "PENZD", ("x", "y"): "PENZD"}
    named = says.get((first, second), order)
    if named != order:
        message = f"line {header.line}: the header names the columns {named}, order is {order}"
        yield _fault(
            "survey-order-contradicted", message, f'"order": "{named}", if the header is right'
        )


def _point(row: _Row, order: PointOrder, unit: str, *, rod: bool) -> SurveyPoint:
    """A point of one line. Raises QuoteFaultsError with every fault of the line."""
    faults = list(_row_faults(row, order))
    if faults:
        raise QuoteFaultsError(faults)
    number, *figures = row.fields[:4]
    factor = UNITS[unit].si
    values = dict(zip(COLUMNS[order], (float(Decimal(f) * factor) for f in figures), strict=True))
    faults = list(_size_faults(row, values))
    if faults:
        raise QuoteFaultsError(faults)
    return SurveyPoint(
        number=number,
        northing_m=values["northing"],
        easting_m=values["easting"],
        elevation_m=-values["elevation"] if rod else values["elevation"],
        line=row.line,
        description=row.fields[4] if len(row.fields) == _FIELDS else "",
    )


def _row_faults(row: _Row, order: PointOrder) -> Iterator[Fault]:
    names = COLUMNS[order]
    if len(row.fields) <= len(names):
        message = f"line {row.line}: {len(row.fields)} columns, at least 4 are needed"
        yield _line_fault(message, f"point, {', '.join(names)}, description")
        return
    if not _POINT.fullmatch(row.fields[0]):
        message = f"line {row.line}: {_shown(row.fields[0])} is not a point number"
        yield _line_fault(message, "letters, digits, point, dash, underscore; at most 32")
    for name, field in zip(names, row.fields[1:4], strict=True):
        if not _NUMBER.fullmatch(field):
            message = f"line {row.line}: {_shown(field)} is not a number for the {name}"
            yield _line_fault(message, "a decimal such as 101.25, without its unit")


def _size_faults(row: _Row, values: Mapping[str, float]) -> Iterator[Fault]:
    for name, value in values.items():
        limit = HIGHEST_M if name == "elevation" else FARTHEST_M
        if abs(value) > limit:
            yield _line_fault(
                f"line {row.line}: the {name} is over the limit of {limit:.0f} m", None
            )


def _twice(points: Iterable[SurveyPoint]) -> Iterator[Fault]:
    """Numbers that stand twice, and places that were measured twice."""
    numbers: dict[str, int] = {}
    places: dict[tuple[float, float], SurveyPoint] = {}
    for point in points:
        place = (point.northing_m, point.easting_m)
        if point.number in numbers:
            before = numbers[point.number]
            message = f"line {point.line}: point {point.number} stands in line {before} already"
            yield _fault("survey-point-twice", message, "one line for each point")
        elif place in places:
            other = places[place]
            message = (
                f"line {point.line}: point {point.number} lies where point {other.number} "
                f"of line {other.line} lies"
            )
            yield _fault("survey-point-twice", message, "keep the one that is right")
        numbers.setdefault(point.number, point.line)
        places.setdefault(place, point)


def _extent_faults(points: Sequence[SurveyPoint]) -> Iterator[Fault]:
    if len(points) < FEWEST_POINTS:
        message = f"{len(points)} points are no surface, at least {FEWEST_POINTS} are needed"
        yield _fault("survey-too-few-points", message, "one point a line")
    elif _width_m(points) < CLOSE_M:
        message = (
            f"all {len(points)} points, lines {points[0].line} to {points[-1].line}, lie in one "
            "straight line"
        )
        yield _fault("survey-points-in-line", message, "points to both sides of that line")


def _width_m(points: Sequence[SurveyPoint]) -> float:
    """How far points lie from the line through the first one and the one farthest from it."""
    first = points[0]
    away = [(p.easting_m - first.easting_m, p.northing_m - first.northing_m) for p in points]
    east, north = max(away, key=lambda place: place[0] ** 2 + place[1] ** 2)
    length = (east**2 + north**2) ** 0.5
    return max(abs(e * north - n * east) for e, n in away) / length if length else 0.0


def _shown(text: str) -> str:
    short = text[:SHOWN_CHARACTERS]
    return f'"{short}"' if short.isprintable() else ascii(short)


def _line_fault(message: str, hint: str | None) -> Fault:
    return _fault("survey-line-invalid", message, hint)


def _fault(code: str, message: str, hint: str | None) -> Fault:
    return Fault(code=code, at=("points",), message=message, hint=hint)
