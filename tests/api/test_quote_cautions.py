"""`POST /v1/quotes`: what an answer warns of and what it assumes."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import (
    TERMS,
    Json,
    caution_codes,
    caution_of,
    level_wall,
    proof_request,
    quoted,
    shipped_request,
)


def garden(*walls: Json, **more: object) -> Json:
    """A request of units 6 in high without a cap on 6 in of pad."""
    return {**shipped_request(*walls, **more), "wall_system": "garden_6in"}


def curve(side: str, radius: str) -> list[Json]:
    """A plan of one eighth of a circle."""
    return [{"kind": "curve", "side": side, "radius": radius, "angle": "45 deg"}]


def assumed(answer: Json) -> dict[str, str]:
    """Assumptions by field."""
    return {each["field"]: each["value"] for each in answer["assumptions"]}


@pytest.mark.parametrize(
    ("exposed", "codes"),
    [
        # Base -6 in: wall 42 in, with the pad 48 in. That is not over 4 ft.
        ("36 in", []),
        # Joints 36, 30 ... -6 from a top of 42: wall 48 in, with the pad 54 in.
        ("42 in", ["permit-height"]),
        # Joints 43 ... -11: wall 54 in, with the pad 60 in.
        ("43 in", ["permit-height", "engineer-height"]),
    ],
)
def test_permit_height_counts_from_the_bottom_of_the_pad(
    client: TestClient, exposed: str, codes: list[str]
) -> None:
    """42 in exposed is under 4 ft and asks for a permit: buried units and pad count."""
    answer = quoted(client, garden(level_wall(exposed=exposed)))
    height = [
        code for code in caution_codes(answer) if code in {"permit-height", "engineer-height"}
    ]
    assert height == codes


def test_permit_height_says_the_figure(client: TestClient) -> None:
    """The caution names the wall, its figure and its source."""
    answer = quoted(client, garden(level_wall(exposed="42 in", name="lower wall")))
    caution = caution_of(answer, "permit-height")
    assert "4.5 ft" in caution["text"]
    assert caution["severity"] == "high"
    assert caution["source"]
    assert caution["walls"] == ["lower wall"]


@pytest.mark.parametrize(("slope", "held"), [("20:1", False), ("19:1", True), ("3:1", True)])
def test_slope_above_ends_the_exemption_from_a_permit(
    client: TestClient, slope: str, held: bool
) -> None:
    """Ground that rises more than 20:1 behind a wall of 1 ft; the stricter place takes any."""
    wall = level_wall(exposed="1 ft", back_slope=slope, surcharge="0 psf")
    answer = quoted(client, shipped_request(wall))
    assert ("permit-surcharge" in caution_codes(answer)) == held
    strict = quoted(client, shipped_request(wall, jurisdiction="strict_example"))
    assert "permit-surcharge" in caution_codes(strict)


@pytest.mark.parametrize(
    ("surcharge", "codes"),
    [
        ("0 psf", []),
        ("50 psf", ["permit-surcharge"]),
        ("100 psf", ["permit-surcharge", "engineer-surcharge"]),
    ],
)
def test_surcharge_is_a_caution_at_any_height(
    client: TestClient, surcharge: str, codes: list[str]
) -> None:
    """A load behind a wall of 1 ft ends the exemption from a permit; a large one asks for more."""
    answer = quoted(client, shipped_request(level_wall(exposed="1 ft", surcharge=surcharge)))
    assert [code for code in caution_codes(answer) if "surcharge" in code] == codes


@pytest.mark.parametrize(
    ("side", "radius", "figures"),
    [
        # Seven courses, 1 in each: 6 in less at the top course of an outside curve.
        ("outside", "6 ft", ("5.5 ft", "6 ft")),
        ("outside", "6 ft 6 in", None),
        ("inside", "5 ft 9 in", ("5.75 ft", "6 ft")),
        ("inside", "6 ft", None),
    ],
)
def test_radius_below_the_minimum_gives_both_figures(
    client: TestClient, side: str, radius: str, figures: tuple[str, str] | None
) -> None:
    """Outside curves are tightest at the top course, inside ones at the base course."""
    answer = quoted(client, shipped_request(level_wall(plan=curve(side, radius))))
    if figures is None:
        assert "radius-below-minimum" not in caution_codes(answer)
    else:
        text = caution_of(answer, "radius-below-minimum")["text"]
        assert all(figure in text for figure in figures), text


@pytest.mark.parametrize(
    ("ends", "exposed", "structure"),
    [
        ({}, True, False),
        ({"start": "into_grade"}, True, False),
        ({"start": "into_grade", "finish": "into_grade"}, False, False),
        ({"start": "into_grade", "finish": "against_structure"}, False, True),
        ({"start": "finished", "finish": "open"}, True, False),
        ({"start": "finished", "finish": "finished"}, False, False),
    ],
)
def test_ends_that_stand_open_or_meet_a_structure_are_cautions(
    client: TestClient, ends: Json, exposed: bool, structure: bool
) -> None:
    """`into_grade` silences the caution for an exposed end; a structure has its own."""
    codes = caution_codes(quoted(client, shipped_request(level_wall(ends=ends))))
    assert ("exposed-end" in codes) is exposed
    assert ("end-against-structure" in codes) is structure


def test_into_grade_counts_like_open(client: TestClient) -> None:
    """An end that runs into the grade changes no count and no cent."""
    into = {"start": "into_grade", "finish": "into_grade"}
    one = quoted(client, shipped_request(level_wall()))
    other = quoted(client, shipped_request(level_wall(ends=into)))
    assert (one["walls"], one["quantities"]) == (other["walls"], other["quantities"])
    assert one["price"] == other["price"]


def test_every_quote_says_what_was_not_looked_at(client: TestClient) -> None:
    """Ground that wasn't measured and stability are high cautions of a bare quote; locating
    utilities is a word for every job."""
    answer = quoted(client, shipped_request(level_wall(exposed="1 ft")))
    for code in ("ground-not-measured", "not-screened"):
        assert caution_of(answer, code)["severity"] == "high"
    assert "utilities-not-located" in [each["code"] for each in answer["always"]]
    severities = [caution["severity"] for caution in answer["cautions"]]
    assert severities == sorted(severities, key=["high", "medium", "low"].index)


def test_heavy_unit_says_which_and_how_heavy(client: TestClient) -> None:
    """Once a minute all day: 94 lb over a limit of 15.62 lb is for a machine; 28.5 lb is too much
    for one."""
    heavy = quoted(client, shipped_request())
    light = quoted(
        client, {**shipped_request(level_wall(exposed="1 ft")), "wall_system": "border_4in"}
    )
    assert "94 lb" in caution_of(heavy, "machine-unit")["text"]
    assert "lifting index 6.02" in caution_of(heavy, "machine-unit")["text"]
    assert "lifting index 1.82" in caution_of(light, "heavy-unit")["text"]
    assert "machine-unit" not in caution_codes(light)
    assert "heavy-unit" not in caution_codes(heavy)


@pytest.mark.parametrize(
    ("tax", "warned"),
    [
        ({"rate": "0.07"}, True),
        ({"rate": "0.07", "base": "price"}, False),
        ({"rate": "0.07", "base": "purchase"}, False),
        (None, False),
    ],
)
def test_tax_on_price_by_default_is_an_assumption_with_a_caution(
    client: TestClient, tax: Json | None, warned: bool
) -> None:
    """`tax.base` left out is `price`: an assumption, and a caution."""
    terms = {} if tax is None else {"tax": tax}
    answer = quoted(client, shipped_request(terms=terms))
    assert (assumed(answer).get("/terms/tax/base") == "price") is warned
    assert ("price-tax-assumed" in caution_codes(answer)) is warned


def test_assumptions_list_every_default(client: TestClient) -> None:
    """What is documented as a default stands in the answer when the request leaves it out."""
    walls = [level_wall("20 ft"), level_wall("10 ft")]
    found = assumed(quoted(client, shipped_request(*walls, rates="small_crew", terms={})))
    expected = {"/jurisdiction": "plain"}
    for index in (0, 1):
        wall = f"/walls/{index}"
        expected |= {
            f"{wall}/level_from": "top",
            f"{wall}/top_rounding": "up",
            f"{wall}/front_slope": "level",
            f"{wall}/back_slope": "level",
            f"{wall}/surcharge": "0",
            f"{wall}/ends/start": "open",
            f"{wall}/ends/finish": "open",
        }
    for name, neutral in (("access_ease", "machine"), ("ground", "firm"), ("layout", "plain")):
        expected[f"/conditions/{name}"] = neutral
    for name in ("overhead", "contingency", "profit", "deposit", "tax/rate"):
        expected[f"/terms/{name}"] = "0"
    assert {key: found.get(key) for key in expected} == expected


def test_assumptions_leave_out_what_was_given(client: TestClient) -> None:
    """A request that says everything rests on no default of its own."""
    entries = [
        {"station": station, "front_grade": "0 ft", "top": "4 ft", "back_grade": "4 ft"}
        for station in ("0 ft", "end")
    ]
    wall: Json = {
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": entries,
        "ends": {"start": "open", "finish": "open"},
        "level_from": "top",
        "top_rounding": "up",
        "front_slope": "level",
        "back_slope": "level",
        "surcharge": "0 psf",
    }
    conditions = {
        "access_ease": "machine",
        "ground": "firm",
        "layout": "plain",
        "lift": "to_4_ft",
        "digging": "firm",
        "beside_building": "open",
    }
    said = shipped_request(
        wall,
        jurisdiction="plain",
        levels_are="elevation",
        screening={"basis": "association"},
        rates="small_crew",
        conditions=conditions,
        terms={**TERMS, "discount": "0"},
    )
    silent = shipped_request(rates="small_crew", terms={**TERMS, "discount": "0"})
    answer = quoted(client, said)
    # what the rates allow for weather, open trenches and hours off together stays an allowance
    allowed = [a["field"] for a in answer["assumptions"]]
    assert allowed == [
        "/rates/order/lost_day_probability",
        "/rates/order/open_trench_days",
        "/rates/spread/share",
    ]
    assert answer["price"] == quoted(client, silent)["price"]


def test_an_order_rounded_without_a_file_is_an_assumption(proof: TestClient) -> None:
    """Stone whose file doesn't say so is rounded up to 0.5 of its unit, and the answer says it."""
    answer = quoted(proof, proof_request())
    rounded = [each for each in answer["assumptions"] if each["value"] == "0.5 yd3"]
    assert len(rounded) == 2
    assert {item for item in ("gravel", "pad_stone") for a in rounded if item in a["field"]} == {
        "gravel",
        "pad_stone",
    }


def test_not_priced_names_the_field_that_brings_it_in(client: TestClient) -> None:
    """Without rates and terms the total leaves out labor and terms; earthwork always, so far."""
    gaps = quoted(client, shipped_request())["price"]["not_priced"]
    fields = {gap["part"]: gap["field"] for gap in gaps}
    assert fields["labor"] == "/rates"
    assert fields["terms"] == "/terms"
    assert "existing_grade" in fields["earthwork"]
    full = quoted(client, shipped_request(rates="small_crew", terms="standard"))["price"]
    assert [gap["part"] for gap in full["not_priced"]] == ["earthwork"]
    assert full["complete"] is False


# Units of a metric request's place, which stand in brackets only; `call 811 in the US` is none.
FEET = re.compile(r"(?<![(\d.])[0-9.]+ (?:ft2?|yd3?|psf|lb|in(?! the US))\b", re.ASCII)


def metric_request() -> Json:
    """A wall in metric before a bank that is dug, under the shipped place, which states feet."""
    wall = level_wall("60 m", "1.4 m", existing_slope="level", surcharge="5 kPa")
    wall |= {"graded_in_front": "2 m", "graded_behind": "4 m"}
    wall["profile"] = [{**at, "existing_grade": "2 m"} for at in wall["profile"]]
    site = {"power_lines": True}
    return {
        **shipped_request(wall, units="metric", site=site),
        "wall_system": "metric_200",
        "section": "plain_gravity_metric",
        "soils": {"retained": "silty_sand"},
    }


def test_cautions_of_a_metric_quote_state_limits_in_metric(client: TestClient) -> None:
    """Limits of a place that states feet are metric in a metric quote, its own in brackets."""
    answer = quoted(client, metric_request())
    texts = {each["code"]: each["text"] for each in (*answer["cautions"], *answer["always"])}
    assert {code: FEET.findall(text) for code, text in texts.items() if FEET.search(text)} == {}
    assert texts["permit-height"].startswith("The wall is over 1.22 m (4 ft) from the bottom")
    assert "more than 0.76 m (30 in)." in texts["guard-height"]
    assert "More than 38.2 m3 (50 yd3) of soil" in texts["permit-grading"]
    assert "or 4.79 kPa (100 psf) and more" in texts["engineer-surcharge"]
    assert "comes nearer than 3.05 m (10 ft), farther above 50 kV" in texts["power-lines"]


def test_cautions_of_a_us_quote_state_limits_as_the_place_does(client: TestClient) -> None:
    """In the units of the place a limit is its own figure, once, with no braces."""
    answer = quoted(client, {**metric_request(), "units": "us"})
    texts = [each["text"] for each in (*answer["cautions"], *answer["always"])]
    assert any(text.startswith("The wall is over 4 ft from the bottom") for text in texts)
    assert [text for text in texts if "{" in text or " m (" in text] == []
