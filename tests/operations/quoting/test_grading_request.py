"""Graded areas as requests write them: what is read, what is refused and where."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from service.core.job.graded import AverageDepth, Beside, Coordinates, LevelGrid, SurveyedArea
from service.core.job.spec import Station
from service.faults import faults_from
from service.operations.quoting.grading_request import GradingRequest, default_area_name

Json = dict[str, Any]
DEPTH: Json = {"area": "100 ft2", "average_depth": "6 in", "work": "fill"}
GRID: Json = {
    "spacing": "10 ft",
    "existing": [["101 ft", "100 ft"], ["99 ft", "98 ft"]],
    "finished_level": "100 ft",
}
SURVEY: Json = {
    "points": "1,0,0,1\n2,0,10,1\n3,10,10,2\n4,10,0,2",
    "columns": ["point", "northing", "easting", "elevation", "description"],
    "units": "ft",
    "boundary": ["1", "2", {"northing": "10 ft", "easting": "10 ft"}],
    "finished_level": "1 ft",
}


def read(document: Json) -> GradingRequest:
    """A request that is sound."""
    return GradingRequest.model_validate(document)


def faults_of(document: Json) -> list[tuple[str, tuple[str | int, ...]]]:
    """Code and place of each fault."""
    with pytest.raises(ValidationError) as caught:
        read(document)
    return [(fault.code, fault.at) for fault in faults_from(caught.value, GradingRequest)]


def test_grading_request_reads_an_area_with_its_depth() -> None:
    """Area, depth and kind of work, clear of any wall; that is an assumption."""
    request = read(DEPTH)
    grading = request.to_core("yard", rod=False)
    assert grading.name == "yard"
    assert grading.beside is None
    assert isinstance(grading.ground, AverageDepth)
    assert grading.ground.depth_m == pytest.approx(0.1524)
    assert [(a.field, a.value) for a in request.assumptions(2)] == [("/grading/2/wall", "none")]


def test_grading_request_reads_a_place_beside_a_wall() -> None:
    """Stations left out are the wall's ends, and that is an assumption."""
    request = read({**DEPTH, "wall": "lower wall", "side": "front", "from": "3 ft"})
    assert request.to_core("a", rod=False).beside == Beside(
        wall="lower wall",
        side="front",
        from_station=Station(kind="at"),
        to_station=Station(kind="end"),
        from_m=0.9144,
    )
    assert [a.field for a in request.assumptions(0)] == [
        "/grading/0/from_station",
        "/grading/0/to_station",
    ]


def test_grading_request_reads_a_grid() -> None:
    """Rows are as far apart as columns unless another distance is given; a level goes all over."""
    ground = read({"grid": {**GRID, "row_spacing": "5 ft"}}).to_core("a", rod=False).ground
    assert isinstance(ground, LevelGrid)
    assert (ground.column_spacing_m, ground.row_spacing_m) == pytest.approx((3.048, 1.524))
    assert ground.existing_m[1] == pytest.approx((99 * 0.3048, 98 * 0.3048))
    assert ground.finished_m == pytest.approx(30.48)


def test_grading_request_turns_rod_readings_round() -> None:
    """With a rod existing and finished levels turn round together, in grids and surveys."""
    rows = {"finished": [["1 ft", "1 ft"], ["1 ft", "1 ft"]]}
    document = {"grid": {k: v for k, v in {**GRID, **rows}.items() if k != "finished_level"}}
    ground = read(document).to_core("a", rod=True).ground
    assert isinstance(ground, LevelGrid)
    assert ground.existing_m[0][0] == pytest.approx(-101 * 0.3048)
    assert isinstance(ground.finished_m, tuple)
    assert ground.finished_m[1] == pytest.approx((-0.3048, -0.3048))
    area = read({"survey": SURVEY}).to_core("a", rod=True).ground
    assert isinstance(area, SurveyedArea)
    assert area.survey.points[2].elevation_m == pytest.approx(-0.6096)
    assert area.finished.level_m == pytest.approx(-0.3048)


def test_grading_request_reads_a_survey_with_a_plane() -> None:
    """Corners by number or place; a plane with its level at a point, its fall and azimuth."""
    plane = {"level": "2 ft", "at": "3", "fall": "2 %", "toward": "90 deg"}
    document = {k: v for k, v in SURVEY.items() if k != "finished_level"}
    ground = read({"survey": {**document, "finished_plane": plane}}).to_core("a", rod=False).ground
    assert isinstance(ground, SurveyedArea)
    assert ground.boundary[:2] == ("1", "2")
    corner = ground.boundary[2]
    assert isinstance(corner, Coordinates)
    assert (corner.northing_m, corner.easting_m) == pytest.approx((3.048, 3.048))
    assert ground.finished.place == "3"
    assert ground.finished.fall == pytest.approx(0.02)
    assert ground.finished.azimuth_rad == pytest.approx(1.5707963267948966)


@pytest.mark.parametrize(
    ("document", "expected"),
    [
        ({}, [("grading-unclear", ())]),
        ({**DEPTH, "grid": GRID}, [("grading-unclear", ())]),
        (
            {"area": "100 ft2"},
            [("field-missing", ("average_depth",)), ("field-missing", ("work",))],
        ),
        ({"grid": GRID, "work": "cut"}, [("grading-unclear", ("work",))]),
        ({**DEPTH, "side": "front"}, [("grading-unclear", ("side",))]),
        (
            {**DEPTH, "wall": "a"},
            [("field-missing", ("side",)), ("field-missing", ("from",))],
        ),
        ({"grid": {**GRID, "finished": GRID["existing"]}}, [("grading-unclear", ("grid",))]),
        ({"grid": {**GRID, "existing": [["1 ft", 2]] * 2}}, None),
    ],
    ids=[
        "nothing",
        "two ways",
        "area alone",
        "stray work",
        "stray side",
        "wall alone",
        "two",
        "bare",
    ],
)
def test_grading_request_refuses_what_is_unclear(
    document: Json, expected: list[tuple[str, tuple[str | int, ...]]] | None
) -> None:
    """One way to give an area, finished ground once, a place in full or not at all."""
    if expected is None:
        expected = [("measurement-invalid", ("grid", "existing", row, 1)) for row in range(2)]
    assert faults_of(document) == expected


def test_grading_request_finds_lines_of_a_survey_with_all_other_faults() -> None:
    """What can't be read in the text is told in the same pass as unsound fields beside it."""
    survey = {**SURVEY, "points": "1,0,0,1\n1,0,x,1\n3,10,10,2", "boundary": ["1", "2", 3]}
    assert sorted(faults_of({"survey": survey, "area": "4 ft"})) == [
        ("field-missing", ("average_depth",)),
        ("field-missing", ("work",)),
        ("grading-unclear", ()),
        ("measurement-invalid", ("area",)),
        ("survey-line-invalid", ("survey", "points")),
        ("wrong-type", ("survey", "boundary", 2)),
    ]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"columns": "point"}, "wrong-type"),
        ({"columns": ["point", "easting"]}, "survey-columns-unclear"),
        ({"columns": ["point", "easting", "northing", "description"]}, "survey-columns-unclear"),
        (
            {"columns": ["point", "easting", "northing", "elevation", "easting"]},
            "survey-columns-unclear",
        ),
        ({"units": {}}, "unknown-choice"),
        ({"points": 4}, "wrong-type"),
    ],
)
def test_grading_request_reads_no_survey_whose_form_is_unsound(change: Json, code: str) -> None:
    """Columns and unit are stated, not guessed: without them the text is not looked at."""
    assert faults_of({"survey": {**SURVEY, **change}}) == [(code, ("survey", *change))]


def test_grading_request_bounds_coordinates() -> None:
    """National grids reach millions of meters; more than that is no place."""
    far = {"northing": "4500000 m", "easting": "500000 m"}
    assert read({"survey": {**SURVEY, "boundary": ["1", "2", far]}}).survey is not None
    for northing, code in (("200000000 m", "measurement-out-of-range"), (5, "measurement-invalid")):
        corners = ["1", "2", {**far, "northing": northing}]
        assert faults_of({"survey": {**SURVEY, "boundary": corners}}) == [
            (code, ("survey", "boundary", 2, "northing"))
        ]


def test_grading_request_publishes_its_schema() -> None:
    """The schema has every key by the name a caller writes, and the bounds that hold."""
    schema = GradingRequest.model_json_schema()
    assert "from" in schema["properties"]
    points = schema["$defs"]["SurveyRequest"]["properties"]["points"]
    assert points["maxLength"] == 500_000
    assert schema["$defs"]["CoordinatesRequest"]["properties"]["northing"]["examples"]


def test_default_area_name_counts_from_one() -> None:
    """Areas without a name are called by their place."""
    assert default_area_name(0) == "area-1"
