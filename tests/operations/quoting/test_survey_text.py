"""Survey points as text: columns, separators, header, comments, faults with their lines."""

from __future__ import annotations

from typing import cast

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.survey_points import Columns
from service.operations.quoting.survey_text import COLUMNS, MOST_POINTS, read_survey

EAST_FIRST: Columns = ("point", "easting", "northing", "elevation", "description")
GOOD = "1,0,0,1\n2,0,10,1\n3,10,10,2"
_EAST_FOR_NORTH = "easting where columns has northing, northing where columns has easting"
_NORTH_FOR_EAST = "northing where columns has easting, easting where columns has northing"


def faults_of(text: str, columns: Columns = COLUMNS, unit: str = "ft") -> list[tuple[str, str]]:
    """Code and message of each fault of a survey."""
    with pytest.raises(QuoteFaultsError) as caught:
        read_survey(text, columns, unit)
    assert {fault.at for fault in caught.value.faults} == {("points",)}
    return [(fault.code, fault.message) for fault in caught.value.faults]


@pytest.mark.parametrize(
    "text",
    [
        "101,5000,1000.5,-1.25,ground, by the fence # 3\n102,0,0,0,\n103,0,9,0",
        "101\t5000\t1000.5\t-1.25\tground, by the fence # 3\n102\t0\t0\t0\n103\t0\t9\t0",
        "101 5000  1000.5 -1.25 ground, by the fence # 3\n102 0 0 0\n  103 0 9 0",
        "101 , 5000, 1000.5 ,-1.25, ground, by the fence # 3\r\n102,0,0,0\r\n103,0,9,0\r\n",
        "\ufeff101,5000.,1000.50,-1.25,ground, by the fence # 3\n102,.0,0,0\n103,+0,9,0\n\n",
    ],
    ids=["commas", "tabs", "blanks", "spaced, other line ends", "marked, odd decimals"],
)
def test_read_survey_reads_each_separator(text: str) -> None:
    """Commas, tabs and blanks part columns; the fifth runs to the end of the line."""
    first, second, third = read_survey(text, COLUMNS, "m").points
    assert first.number == "101"
    assert (first.northing_m, first.easting_m, first.elevation_m) == (5000, 1000.5, -1.25)
    assert first.description == "ground, by the fence # 3"
    assert (second.number, second.description, third.easting_m) == ("102", "", 9)


def test_read_survey_takes_columns_and_unit_as_stated() -> None:
    """The same line is another place with easting first; 100 ft are 30.48 m."""
    text = GOOD.replace("1,0,0,1", "1,100,200,10")
    north_first, east_first = (
        read_survey(text, COLUMNS, "ft").points[0],
        read_survey(text, EAST_FIRST, "ft").points[0],
    )
    assert (north_first.northing_m, north_first.easting_m) == pytest.approx((30.48, 60.96))
    assert (east_first.northing_m, east_first.easting_m) == pytest.approx((60.96, 30.48))
    assert north_first.elevation_m == pytest.approx(3.048)


def test_read_survey_takes_rod_readings_as_depths() -> None:
    """With a rod a larger reading is lower."""
    assert [p.elevation_m for p in read_survey(GOOD, COLUMNS, "m", rod=True).points] == [-1, -1, -2]


def test_read_survey_reports_header_and_comments() -> None:
    """A line of column names is found and reported, comments are counted; lines stay physical."""
    survey = read_survey(f"# yard\nP,Northing,Easting,Z,D\n# shots\n{GOOD}", COLUMNS, "ft")
    assert survey.header == "P,Northing,Easting,Z,D"
    assert survey.comments == 2
    assert [point.line for point in survey.points] == [4, 5, 6]
    assert read_survey(GOOD, COLUMNS, "ft").header is None


@pytest.mark.parametrize(
    ("header", "said", "columns"),
    [
        ("Pt,Easting,Northing,Elev", _EAST_FOR_NORTH, COLUMNS),
        ("Pt,N,E,Z,D", _NORTH_FOR_EAST, EAST_FIRST),
        ("point x y z", _EAST_FOR_NORTH, COLUMNS),
        (
            "No.,N,Elev,E,Notes",
            "elevation where columns has easting, easting where columns has elevation",
            COLUMNS,
        ),
    ],
)
def test_read_survey_refuses_a_header_of_another_order(
    header: str, said: str, columns: Columns
) -> None:
    """Stated order and column names contradict each other: neither is guessed to be right."""
    assert faults_of(f"{header}\n{GOOD}", columns) == [
        ("survey-order-contradicted", f"line 1: the header names {said}")
    ]


def test_read_survey_gives_the_columns_of_a_header_as_they_are_written() -> None:
    """The hint is the list that agrees with the header, where the header names all columns."""
    with pytest.raises(QuoteFaultsError) as caught:
        read_survey(f"Pt,East,North,Elev,Desc\n{GOOD}", COLUMNS, "ft")
    listed = '"point", "easting", "northing", "elevation", "description"'
    assert [fault.hint for fault in caught.value.faults] == [
        f'"columns": [{listed}], if the header is right'
    ]


@pytest.mark.parametrize(
    ("columns", "text"),
    [
        ("description elevation northing easting point", "toe of bank,1.5,20,30,A1\n"),
        ("elevation description point easting northing", "1.5, toe of bank ,A1,30,20\n"),
        ("northing easting elevation point", "20 30 1.5 A1\n"),
        ("description point northing easting elevation", "toe of bank\tA1\t20\t30\t1.5\n"),
    ],
)
def test_read_survey_reads_columns_in_any_order(columns: str, text: str) -> None:
    """Each figure comes from the column that is listed for it, wherever that stands."""
    listed = cast(Columns, tuple(columns.split()))
    rest = {"point": "B", "northing": "0", "easting": "0", "elevation": "0", "description": "x"}
    separator = "," if "," in text else "\t" if "\t" in text else " "
    for point, easting in (("B", "0"), ("C", "9")):
        row = {**rest, "point": point, "easting": easting}
        text += separator.join(row[name] for name in listed) + "\n"
    first = read_survey(text, listed, "m").points[0]
    assert first[:4] == ("A1", 20, 30, 1.5)
    assert first.description == ("toe of bank" if "description" in listed else "")


def test_read_survey_refuses_fields_that_no_column_is_listed_for() -> None:
    """Without a description last a line has exactly the columns that are listed."""
    columns: Columns = ("point", "northing", "easting", "elevation")
    assert faults_of("1,0,0,1,post\n2,0,9\n3,9,9,1\n4,9,0,1", columns) == [
        ("survey-line-invalid", "line 1: 5 columns, 4 are needed"),
        ("survey-line-invalid", "line 2: 3 columns, at least 4 are needed"),
    ]


def test_read_survey_finds_every_bad_line() -> None:
    """All lines at fault are named at once, each with what was found."""
    text = "1,0,0,1\n2,50o0,10,x\n3,10\n@,5,5,5\n5,1 000,2,3\n6,1e3,2,3\n7,0,0,20000\n8,9,9,9"
    assert faults_of(text, unit="m") == [
        ("survey-line-invalid", 'line 2: "50o0" is not a number for the northing'),
        ("survey-line-invalid", 'line 2: "x" is not a number for the elevation'),
        ("survey-line-invalid", "line 3: 2 columns, at least 4 are needed"),
        ("survey-line-invalid", 'line 4: "@" is not a point number'),
        ("survey-line-invalid", 'line 5: "1 000" is not a number for the northing'),
        ("survey-line-invalid", 'line 6: "1e3" is not a number for the northing'),
        ("survey-line-invalid", "line 7: the elevation is over the limit of 10000 m"),
    ]


def test_read_survey_refuses_decimal_commas() -> None:
    """A comma parts columns; a point stands before decimals."""
    ((code, message), *_) = faults_of("1;5000,25;1000,5;101,2\n2;1;1;1\n3;2;2;2")
    assert code == "survey-line-invalid"
    assert message.startswith("line 1: ")


def test_read_survey_refuses_points_that_stand_twice() -> None:
    """The same number, or another number at the same place: both lines are named."""
    assert faults_of(f"{GOOD}\n2,5,5,1\n9,0,0.0,3") == [
        ("survey-point-twice", "line 4: point 2 stands in line 2 already"),
        ("survey-point-twice", "line 5: point 9 lies where point 1 of line 1 lies"),
    ]


@pytest.mark.parametrize("text", ["", "# nothing\n\n", "1,0,0,1\n2,0,10,1"])
def test_read_survey_refuses_fewer_than_three_points(text: str) -> None:
    """Two points are no surface."""
    ((code, _),) = faults_of(text)
    assert code == "survey-too-few-points"


@pytest.mark.parametrize(
    "text", ["1,0,0,1\n2,5,5,1\n3,20,20,9", "1,0,0,1\n2,0,7,1\n3,0,3,1\n4,0,1,1"]
)
def test_read_survey_refuses_points_in_one_line(text: str) -> None:
    """Points in one line are no surface, whatever their levels."""
    ((code, message),) = faults_of(text)
    assert code == "survey-points-in-line"
    assert "lines 1 to " in message


def test_read_survey_bounds_the_number_of_points() -> None:
    """More points than are read are refused as such, before each is looked at."""
    text = "\n".join(f"{i},x,{i},0" for i in range(MOST_POINTS + 1))
    ((code, message),) = faults_of(text)
    assert code == "survey-too-many-points"
    assert "10001 points, at most 10000" in message
