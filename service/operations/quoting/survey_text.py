"""Survey points as text, line by line: point number, northing, easting, elevation, description.

The order of the columns and the unit are stated by whoever sends them, never guessed from the
figures. Columns are parted by commas, tabs or blanks; `#` begins a comment line; a description
that stands last runs to the end of the line. One line of column names may stand first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple, get_args

from service.core.errors import MOST_FAULTS, Fault, QuoteFaultsError
from service.core.job.survey_points import Column, Columns, Survey, SurveyPoint
from service.core.measure import UNITS
from service.core.rounding import CLOSE_M

COLUMNS: Columns = get_args(Column)
FIGURES: Columns = ("northing", "easting", "elevation")
NEEDED: Columns = ("point", *FIGURES)
DESCRIPTION: Column = "description"
FEWEST_POINTS = 3
MOST_POINTS = 10_000
FARTHEST_M = 1e8  # northing and easting: beyond any grid of a survey
HIGHEST_M = 1e4
SHOWN_CHARACTERS = 40

_NUMBER = re.compile(r"[-+]?(?:[0-9]{1,12}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})", re.ASCII)
_POINT = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.\-]{0,31}", re.ASCII)
_FIRST = re.compile(r"[^\s,]*(\s*)(,?)")
# What columns are called in headers (common practice); other words say nothing.
_HEADERS: tuple[tuple[Column, re.Pattern[str]], ...] = (
    ("point", re.compile(r"p|pts?|point.*")),
    ("northing", re.compile(r"n|y|north.*")),
    ("easting", re.compile(r"e|x|east.*")),
    ("elevation", re.compile(r"z|el|elev.*|level|height")),
    ("description", re.compile(r"d|desc.*")),
)


class _Row(NamedTuple):
    """One line that is no comment, parted into columns."""

    line: int
    fields: tuple[str, ...]
    text: str


def read_survey(text: str, columns: Columns, unit: str, *, rod: bool = False) -> Survey:
    """Read survey points; `columns` stand from left to right, `unit` is the symbol of their length
    unit. With `rod` an elevation is a rod reading: larger is lower.

    Raises QuoteFaultsError at `("points",)`, each message with its line: `survey-line-invalid`,
    `survey-order-contradicted`, `survey-point-twice`, `survey-too-few-points`,
    `survey-too-many-points`, `survey-points-in-line`.
    """
    lines, comments = _lines(text)
    header = _row(lines[0], columns) if lines else None
    if header is not None and _is_header(header, columns):
        del lines[0]
    else:
        header = None
    if len(lines) > MOST_POINTS:
        message = f"{len(lines)} points, at most {MOST_POINTS} are read"
        raise QuoteFaultsError([_fault("survey-too-many-points", message, "thin the survey out")])
    faults = list(_header_faults(header, columns))
    points = []
    for line in lines:
        try:
            points.append(_point(_row(line, columns), columns, unit, rod=rod))
        except QuoteFaultsError as error:
            faults += error.faults
        if len(faults) >= MOST_FAULTS:
            break
    faults += _twice(points)
    faults += _extent_faults(points) if not faults else ()
    if faults:
        raise QuoteFaultsError(faults)
    return Survey(
        points=tuple(points),
        columns=columns,
        unit=unit,
        header=header.text if header else None,
        comments=comments,
    )


def _lines(text: str) -> tuple[list[tuple[int, str]], int]:
    """Lines with their numbers, and how many are comments."""
    lines, comments = [], 0
    for number, raw in enumerate(text.removeprefix("\ufeff").split("\n"), start=1):
        line = raw.strip()
        if line.startswith("#"):
            comments += 1
        elif line:
            lines.append((number, line))
    return lines, comments


def _row(numbered: tuple[int, str], columns: Columns) -> _Row:
    number, line = numbered
    return _Row(number, tuple(_part(line, columns)), line)


def _part(line: str, columns: Columns) -> list[str]:
    """Fields of a line: what follows the first says what parts them; a description that stands
    first may hold blanks, so there any comma or tab does."""
    match = _FIRST.match(line)
    blanks, comma = match.groups() if match and columns[0] != DESCRIPTION else (line, "," in line)
    separator = "," if comma else "\t" if "\t" in blanks else None
    most = len(columns) - 1 if columns[-1] == DESCRIPTION else -1
    return [field.strip() for field in line.split(separator, most)]


def _is_header(row: _Row, columns: Columns) -> bool:
    """Whether a line names columns: no figure stands anywhere but in the description."""
    fields = zip(columns, row.fields, strict=False)
    return not any(_NUMBER.fullmatch(field) for name, field in fields if name != DESCRIPTION)


def _header_faults(header: _Row | None, columns: Columns) -> Iterator[Fault]:
    """A header that names the columns in another order."""
    if header is None:
        return
    named = [_named(field) for field in header.fields]
    wrong = [
        f"{said} where columns has {stated}"
        for said, stated in zip(named, columns, strict=False)
        if said not in {stated, None}
    ]
    if wrong:
        message = f"line {header.line}: the header names {', '.join(wrong)}"
        yield _fault("survey-order-contradicted", message, _columns_hint(named))


def _named(field: str) -> Column | None:
    """The column that a header's field names, as far as it can be told."""
    word = field.casefold().strip(" .\"'")
    return next((name for name, pattern in _HEADERS if pattern.fullmatch(word)), None)


def _columns_hint(named: Sequence[Column | None]) -> str:
    """The columns as a header names them, where it names all that are needed."""
    if set(NEEDED) <= set(named) and None not in named:
        listed = ", ".join(f'"{name}"' for name in named)
        return f'"columns": [{listed}], if the header is right'
    return "columns as they stand in the file, from left to right"


def _point(row: _Row, columns: Columns, unit: str, *, rod: bool) -> SurveyPoint:
    """A point of one line. Raises QuoteFaultsError with every fault of the line."""
    faults = list(_row_faults(row, columns))
    if faults:
        raise QuoteFaultsError(faults)
    fields = dict(zip(columns, row.fields, strict=False))
    factor = UNITS[unit].si
    values: dict[str, float] = {name: float(Decimal(fields[name]) * factor) for name in FIGURES}
    faults = list(_size_faults(row, values))
    if faults:
        raise QuoteFaultsError(faults)
    return SurveyPoint(
        number=fields["point"],
        northing_m=values["northing"],
        easting_m=values["easting"],
        elevation_m=-values["elevation"] if rod else values["elevation"],
        line=row.line,
        description=fields.get(DESCRIPTION, ""),
    )


def _row_faults(row: _Row, columns: Columns) -> Iterator[Fault]:
    fewest = len(columns) - (columns[-1] == DESCRIPTION)
    if not fewest <= len(row.fields) <= len(columns):
        needed = f"at least {fewest}" if len(row.fields) < fewest else f"{len(columns)}"
        message = f"line {row.line}: {len(row.fields)} columns, {needed} are needed"
        yield _line_fault(message, ", ".join(columns))
        return
    for name, field in zip(columns, row.fields, strict=False):
        if name == "point" and not _POINT.fullmatch(field):
            message = f"line {row.line}: {_shown(field)} is not a point number"
            yield _line_fault(message, "letters, digits, point, dash, underscore; at most 32")
        elif name in FIGURES and not _NUMBER.fullmatch(field):
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
