"""What a wall that fails is told in words: whether it is for an engineer, and why nothing would
pass (rules 14.12 and 14.13)."""

from __future__ import annotations

from itertools import product

import pytest
from starlette.testclient import TestClient

from tests.given.lawn_walls import failed, found, lawn_request, listed_prices, soil_below_cap
from tests.given.quote_requests import Json, quoted

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# What the section reinforces with.
SHEET = "soil_grid"


def test_would_pass_is_empty_where_water_has_no_way_out(client: TestClient) -> None:
    """No change of soil lets water out: nothing passes, and an engineer must design it."""
    answer = quoted(client, lawn_request("loam", water={"outlet": "none"}))
    assert answer["screening"]["would_pass"] == []
    assert answer["screening"]["other_walls"] == []
    assert "A licensed engineer must design it." in answer["screening"]["summary"][0]
    assert answer["screening"]["why_none"] == [
        "No change that was tried passes: water behind the wall at wall-1 fails with each.",
        "Nor does a lower wall or a deeper unit that was tried.",
    ]


def test_why_none_says_what_comes_nearest_and_what_it_lacks(client: TestClient) -> None:
    """4 ft of loam, with a list that has no sheet: of soil below the cap, either fill and both
    together, each quoted by hand, the one whose worst check reaches most of its limit is told,
    with that check; and the lower wall that passes."""
    request = lawn_request("loam", "4 ft", prices=listed_prices(without=SHEET))
    answer = quoted(client, request)
    shares = {}
    for below, fill in product((False, True), ("silty_sand", "sand_gravel", "loam")):
        changed = request | (soil_below_cap(request) if below else {})
        changed["soils"] = {**request["soils"], "fill": fill}
        shares[below, fill] = min(
            (float(each["value"]) / float(each["required"]), each["value"], each["check"])
            for each in quoted(client, changed)["checks"]
            if each["status"] == "fail"
        )
    assert max(shares, key=lambda key: shares[key]) == (True, "sand_gravel")
    share, value, check = shares[True, "sand_gravel"]
    assert check == "bearing"  # told by its name
    assert answer["screening"]["would_pass"] == []
    nearest, other = answer["screening"]["why_none"]
    assert nearest.startswith(
        "No change that was tried passes. The nearest: soil behind the wall to the underside of "
        "the cap and sand or gravel as fill. With that, bearing at wall-1 stays at "
        f"{value}, at least 2 is required: "
    )
    short = float(nearest.rpartition(": ")[2].removesuffix(" % short."))
    assert short == pytest.approx(100 * (1 - share), rel=0.05)
    lower = (failed(quoted(client, lawn_request("loam", f"{48 - 8 * n} in"))) for n in (1, 2, 3))
    assert [bool(names) for names in lower] == [True, True, False]
    assert other == "Another wall would pass: 3 courses less."
    assert "why_none" not in quoted(client, lawn_request("loam", "4 ft"))["screening"]


@pytest.mark.parametrize(
    ("more", "for_engineer"),
    [
        ({}, False),
        ({"above": [{"what": "driveway", "from": "1 ft"}]}, True),  # a load for an engineer
        ({"above": [{"what": "shed", "from": "6 ft"}]}, True),  # within twice 4 ft
        ({"above": [{"what": "shed", "from": "9 ft"}]}, False),
        ({"front_slope": "2:1"}, True),  # steep
    ],
)
def test_summary_sends_to_an_engineer_only_for_a_reason(
    client: TestClient, more: Json, *, for_engineer: bool
) -> None:
    """Where nothing but the checks stands against a wall, the summary names what passes."""
    wall = {**lawn_request("loam")["walls"][0], **more}
    answer = quoted(client, lawn_request("loam", walls=[wall]))
    assert failed(answer)
    summary = answer["screening"]["summary"]
    assert ("A licensed engineer must design it." in summary[0]) == for_engineer
    assert ("these changes pass: " in summary[0]) == (not for_engineer)


def test_summary_sends_to_an_engineer_on_soft_filled_and_wet_ground(client: TestClient) -> None:
    """Clay under the wall, fill that was seen, wet ground: an engineer, whatever would pass."""
    soft = lawn_request("clay")
    filled = lawn_request("loam", site={"seen": ["fill"]})
    wet = lawn_request("loam", water={"outlet": "daylight", "seen": ["wet_ground"]})
    for request in (soft, filled, wet):
        answer = quoted(client, request)
        assert found(answer)
        assert "A licensed engineer must design it." in answer["screening"]["summary"][0]


def test_summary_of_a_low_wall_that_fails_does_not_speak_of_height_slope_or_load(
    client: TestClient,
) -> None:
    """A check that fails is no word of the place about height, slope or load."""
    answer = quoted(client, lawn_request("loam"))
    assert failed(answer)
    assert not any("must be reviewed" in line for line in answer["screening"]["summary"])
