"""Water and site as a request writes them."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from service.core.job.site import KeptSurface, Site, Tree, Water
from service.faults import faults_from
from service.operations.quoting.site_request import (
    SiteRequest,
    WaterRequest,
)
from tests.given.walls import ft, inch


def water_of(document: dict[str, Any], *, rod: bool = False) -> Water:
    """Water as the core has it."""
    return WaterRequest.model_validate(document).to_core(rod=rod)


def faults_of(
    model: type[WaterRequest | SiteRequest], document: dict[str, Any]
) -> list[tuple[str, str]]:
    """Code and pointer of every fault of a document."""
    with pytest.raises(ValidationError) as caught:
        model.model_validate(document)
    found = faults_from(caught.value, model)
    return sorted((fault.code, "/".join(map(str, fault.at))) for fault in found)


def test_water_to_core_reads_every_key() -> None:
    """A drop of 6 in over a run of 25 ft falls by 2 %."""
    document = {
        "outlet": "storm_drain",
        "run": "25 ft",
        "fall": "6 in",
        "downspouts_above": 2,
        "seen": ["runoff", "wet_ground", "runoff"],
    }
    found = water_of(document)
    assert (found.outlet, found.downspouts_above) == ("storm_drain", 2)
    assert (found.run_m, found.drop_m) == (ft(25), inch(6))
    assert found.fall == pytest.approx(0.02)
    assert found.seen == ("runoff", "wet_ground")
    assert found.outlet_level_m is None


@pytest.mark.parametrize(
    ("fall", "run", "drop", "slope"),
    [
        ("2 %", "25 ft", inch(6), 0.02),
        ("50:1", "25 ft", inch(6), 0.02),
        ("level", "25 ft", 0.0, 0.0),
        ("2 %", None, None, 0.02),
        ("6 in", None, inch(6), None),
        ("-3 in", "25 ft", -inch(3), -0.01),
        ({"value": "0.2", "unit": "m"}, "10 m", 0.2, 0.02),
    ],
)
def test_water_to_core_reads_a_fall_as_length_or_slope(
    fall: object, run: str | None, drop: float | None, slope: float | None
) -> None:
    """One follows from the other where the run is known."""
    found = water_of({"fall": fall} | ({"run": run} if run else {}))
    assert found.drop_m == (None if drop is None else pytest.approx(drop))
    assert found.fall == (None if slope is None else pytest.approx(slope))


def test_water_to_core_turns_rod_readings_round() -> None:
    """With a rod a larger reading is lower; a fall is a height and stays."""
    assert water_of({"outlet_level": "5 ft"}, rod=True).outlet_level_m == -ft(5)
    assert water_of({"outlet_level": "5 ft"}).outlet_level_m == ft(5)
    assert water_of({"fall": "1 ft"}, rod=True).drop_m == ft(1)


@pytest.mark.parametrize(
    ("document", "faults"),
    [
        ({"outlet": "river"}, [("unknown-choice", "outlet")]),
        ({"fall": "-2 %"}, [("measurement-out-of-range", "fall")]),
        ({"fall": "two"}, [("measurement-invalid", "fall")]),
        ({"fall": "x:1"}, [("slope-invalid", "fall")]),
        ({"run": "0 ft"}, [("measurement-out-of-range", "run")]),
        ({"seen": ["flood"]}, [("unknown-choice", "seen/0")]),
        ({"downspouts_above": "2"}, [("wrong-type", "downspouts_above")]),
        ({"slope": "2 %"}, [("unknown-key", "slope")]),
        (
            {"fall": "6 in", "outlet_level": "1 ft", "run": "-1 ft"},
            [("measurement-out-of-range", "run"), ("outlet-height-twice", "outlet_level")],
        ),
    ],
)
def test_water_refuses_what_it_can_not_read(
    document: dict[str, Any], faults: list[tuple[str, str]]
) -> None:
    """Every fault of one pass, each at its key."""
    assert faults_of(WaterRequest, document) == faults


def test_site_to_core_reads_every_key() -> None:
    """All keys of a site."""
    document = {
        "distance_to_line": "3 ft",
        "easement": True,
        "private_lines": ["gas", "irrigation", "gas"],
        "trees": [{"distance": "8 ft", "trunk": "14 in"}, {"distance": "20 ft"}],
        "street_used": True,
        "seen": ["crack", "lean", "spring", "slide", "fill", "rock", "stumps"],
    }
    assert SiteRequest.model_validate(document).to_core() == Site(
        line_distance_m=ft(3),
        easement=True,
        private_lines=("gas", "irrigation"),
        trees=(Tree(distance_m=ft(8), trunk_m=inch(14)), Tree(distance_m=ft(20))),
        street_used=True,
        seen=("crack", "lean", "spring", "slide", "fill", "rock", "stumps"),
    )


def test_site_to_core_counts_toward_the_soil_unless_it_is_said() -> None:
    """Line, tree and surface stand behind the walls, or in front where their side says so."""
    document = {
        "distance_to_line": "3 ft",
        "line_side": "front",
        "trees": [{"distance": "8 ft", "side": "front"}],
        "to_keep": [
            {"what": "Patio", "distance": "6 ft"},
            {"what": "Walk", "distance": "2 ft", "side": "front"},
        ],
    }
    assert SiteRequest.model_validate(document).to_core() == Site(
        line_distance_m=ft(3),
        line_side="front",
        trees=(Tree(distance_m=ft(8), side="front"),),
        to_keep=(
            KeptSurface(what="Patio", distance_m=ft(6)),
            KeptSurface(what="Walk", distance_m=ft(2), side="front"),
        ),
    )
    assert SiteRequest.model_validate({"trees": [{"distance": "1 ft"}]}).to_core().trees[
        0
    ].side == ("behind")


@pytest.mark.parametrize(
    ("document", "faults"),
    [
        ({"easement": "yes"}, [("wrong-type", "easement")]),
        ({"private_lines": ["gaz"]}, [("unknown-choice", "private_lines/0")]),
        ({"trees": [{}]}, [("field-missing", "trees/0/distance")]),
        ({"distance_to_line": 3}, [("measurement-invalid", "distance_to_line")]),
        ({"seen": ["cracks"]}, [("unknown-choice", "seen/0")]),
    ],
)
def test_site_refuses_what_it_can_not_read(
    document: dict[str, Any], faults: list[tuple[str, str]]
) -> None:
    """Each fault at its key."""
    assert faults_of(SiteRequest, document) == faults


def test_fall_schema_takes_both_forms() -> None:
    """The published schema has the forms that are read, and examples of both."""
    schema = WaterRequest.model_json_schema()["properties"]["fall"]
    forms = schema["anyOf"][0]
    assert len(forms["anyOf"]) == 3
    assert forms["examples"] == ["6 in", "2 %"]


@pytest.mark.parametrize(
    ("model", "word", "hint"),
    [
        (WaterRequest, "spring", '"site": {"seen": ["spring"]}'),
        (SiteRequest, "runoff", '"water": {"seen": ["runoff"]}'),
    ],
)
def test_seen_tells_where_a_word_is_read(
    model: type[WaterRequest | SiteRequest], word: str, hint: str
) -> None:
    """What was seen of the other kind is refused with its own place."""
    with pytest.raises(ValidationError) as caught:
        model.model_validate({"seen": [word]})
    (fault,) = faults_from(caught.value, model)
    assert (fault.code, fault.at, fault.hint) == ("unknown-choice", ("seen", 0), hint)
