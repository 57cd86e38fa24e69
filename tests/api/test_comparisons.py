"""`POST /v1/comparisons`: options side by side, and heights that fit, worked by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest
from starlette.testclient import TestClient

from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import (
    TERMS,
    Json,
    caution_codes,
    level_wall,
    proof_request,
    quoted,
    read,
    shipped_request,
)


def compared(client: TestClient, quote: Json, **more: object) -> Json:
    """The answer to a comparison that is sound."""
    response = client.post("/v1/comparisons", json={"quote": quote, **more})
    assert response.status_code == 200, response.text
    return read(response)


def inches(measure: Json) -> float:
    """A length of the US unit set in inches."""
    assert measure["unit"] == "ft"
    return round(float(measure["value"]) * 12, 4)


def test_alternatives_are_quotes_of_their_own(client: TestClient) -> None:
    """An option has the figures of the quote that the same request gives with its system."""
    asked = shipped_request(rates="small_crew", terms="standard")
    alternatives = [{"section": "deep_pad"}, {"wall_system": "garden_6in"}]
    alternatives.append({"wall_system": "border_4in", "section": "buried_course"})
    answer = compared(client, asked, alternatives=alternatives)
    own = quoted(client, asked)
    assert answer["quote"]["figures"]["total"] == own["price"]["total"]
    assert answer["quote"]["figures"]["difference"] == "0.00"
    assert len(answer["alternatives"]) == 3
    for alternative, option in zip(alternatives, answer["alternatives"], strict=True):
        whole = quoted(client, {**asked, **alternative})
        figures = option["figures"]
        assert option["wall_system"] == alternative.get("wall_system", "terrace_8in")
        assert option["section"] == alternative.get("section", "plain_gravity")
        for name in ("direct_cost", "subtotal", "total", "margin", "complete"):
            assert figures[name] == whole["price"][name]
        assert figures["labor_hours"] == whole["labor"]["labor_hours"]
        difference = Decimal(whole["price"]["total"]) - Decimal(own["price"]["total"])
        assert Decimal(figures["difference"]) == difference
        assert option["faults"] == []


def test_alternatives_say_which_cautions_come_and_go(client: TestClient) -> None:
    """Units of 26 lb in place of 85 lb lose the caution for units that take a machine."""
    asked = shipped_request(level_wall(exposed="2 ft"))
    answer = compared(client, asked, alternatives=[{"wall_system": "border_4in"}])
    figures = answer["alternatives"][0]["figures"]
    assert "machine-unit" in figures["cautions_lost"]
    assert "machine-unit" not in figures["cautions"]
    here = caution_codes(quoted(client, {**asked, "wall_system": "border_4in"}))
    assert {code.partition(":")[0] for code in figures["cautions"]} == set(here)


def test_a_fault_of_one_alternative_leaves_the_others(proof: TestClient) -> None:
    """Items without a price are that option's faults; the rest is compared."""
    alternatives = [{"wall_system": "garden_6in"}, {"section": "proof"}]
    answer = compared(proof, proof_request(), alternatives=alternatives)
    first, second = answer["alternatives"]
    assert first["figures"] is None
    (fault,) = first["faults"]
    assert fault["code"] == "price-missing"
    assert fault["pointer"] == "/prices/items/garden_6in"
    assert second["figures"]["total"] == "710.00"
    assert second["faults"] == []


def test_a_fault_of_the_quote_itself_is_a_problem(proof: TestClient) -> None:
    """Without the quote there is nothing to compare with: its faults, under /quote."""
    asked = proof_request(prices={"currency": "USD", "items": {}})
    body = {"quote": asked, "alternatives": [{"wall_system": "garden_6in"}]}
    problem = assert_problem(proof.post("/v1/comparisons", json=body), 422, "price-missing")
    pointers = [entry["pointer"] for entry in problem["errors"]]
    assert sorted(pointers) == [
        f"/quote/prices/items/{item}" for item in ("a_cap", "block", "gravel", "pad_stone")
    ]


@pytest.mark.parametrize(
    ("more", "pointer"),
    [
        ({}, ""),
        ({"alternatives": [], "heights_that_fit": False}, ""),
        ({"alternatives": [{}]}, "/alternatives/0"),
        ({"alternatives": [{"wall_system": "terrace_9in"}]}, "/alternatives/0/wall_system"),
        ({"alternatives": [{"terms": "standard"}]}, "/alternatives/0"),
        ({"heights_that_fit": "yes"}, "/heights_that_fit"),
        ({"heights": True}, "/heights"),
    ],
)
def test_a_comparison_of_nothing_is_refused(client: TestClient, more: Json, pointer: str) -> None:
    """There is something to compare, by keys and ids that are known."""
    body = {"quote": shipped_request(), **more}
    response = client.post("/v1/comparisons", json=body)
    problem = assert_problem(response, 422, response.json()["code"])
    assert any(entry["pointer"].startswith(pointer) for entry in problem["errors"])


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_the_wall_of_40_ft(proof: TestClient) -> None:
    """Courses of 8 in, n of them, with 4 in of cap and 6 in buried show n x 8 + 4 - 6 in.

    48 in take seven courses (up to 54 in); six end at 46 in, eight at 62 in. Five per cent of
    these stays below 6 in, so 6 in are buried in each.
    """
    answer = compared(proof, proof_request(terms=TERMS), heights_that_fit=True)
    (wall,) = answer["heights_that_fit"]
    assert (wall["wall"], wall["courses"]) == ("wall-1", 7)
    assert inches(wall["max_exposed_height"]) == 48
    below, above = wall["below"], wall["above"]
    assert (below["courses"], inches(below["max_exposed_height"])) == (6, 46)
    assert (above["courses"], inches(above["max_exposed_height"])) == (8, 62)
    assert (inches(below["change"]), inches(above["change"])) == (-2, 14)
    # The highest finished top is met exactly; walls are n x 8 + 4 in high.
    assert (inches(below["built_top"]), inches(above["built_top"])) == (46, 62)
    assert (inches(below["max_wall_height"]), inches(above["max_wall_height"])) == (52, 68)
    counts = [fit["figures"]["walls"][0]["standard_units"] for fit in (below, above)]
    assert counts == [162, 216]  # 6 and 8 courses of 27
    assert below["figures"]["walls"][0]["cap_units"] == 27


@pytest.mark.no_cover  # others run the same lines
def test_comparison_of_rod_readings_gives_rod_readings(proof: TestClient) -> None:
    """A rod reads 24 in on a top that stands 48 in over the grade, which reads 72 in. 2 in lower
    it reads 26 in, 14 in higher 10 in. Heights and changes of height stay what they are."""
    asked = proof_request(terms=TERMS)
    asked["levels_are"] = "rod"
    asked["walls"] = [
        {
            "plan": [{"kind": "straight", "length": "40 ft"}],
            "profile": [
                {"station": at, "top": "24 in", "front_grade": "72 in"} for at in ("0 ft", "end")
            ],
        }
    ]
    options = [{"section": "proof"}]
    answer = compared(proof, asked, heights_that_fit=True, alternatives=options)
    assert answer["levels_are"] == "rod"
    for option in (answer["quote"], *answer["alternatives"]):
        (figures,) = option["figures"]["walls"]
        assert inches(figures["built_top"]) == 24
        assert inches(figures["max_exposed_height"]) == 48
    (wall,) = answer["heights_that_fit"]
    below, above = wall["below"], wall["above"]
    assert (inches(below["built_top"]), inches(above["built_top"])) == (26, 10)
    assert inches(below["figures"]["walls"][0]["built_top"]) == 26
    assert (inches(below["change"]), inches(above["change"])) == (-2, 14)
    up = compared(proof, proof_request(terms=TERMS), heights_that_fit=True)
    assert up["levels_are"] == "elevation"


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_cost_the_difference_of_two_quotes(proof: TestClient) -> None:
    """What a course less saves is this quote's total less that of the lower wall."""
    asked = proof_request(terms=TERMS)
    (wall,) = compared(proof, asked, heights_that_fit=True)["heights_that_fit"]
    now = Decimal(quoted(proof, asked)["price"]["total"])
    for fit, exposed in ((wall["below"], "46 in"), (wall["above"], "62 in")):
        whole = quoted(proof, proof_request(level_wall(exposed=exposed), terms=TERMS))
        assert fit["figures"]["total"] == whole["price"]["total"]
        assert Decimal(fit["figures"]["difference"]) == Decimal(whole["price"]["total"]) - now
    assert wall["below"]["figures"]["difference"].startswith("-")


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_say_which_thresholds_are_crossed(client: TestClient) -> None:
    """36 in of 6 in units stand 48 in from the pad's bottom; a course more passes 4 ft.

    One course more (eight) shows 42 in: 48 in of wall and 6 in of pad.
    """
    bed = level_wall(exposed="36 in", above=[{"what": "lawn"}])
    asked = {**shipped_request(bed), "wall_system": "garden_6in"}
    (wall,) = compared(client, asked, heights_that_fit=True)["heights_that_fit"]
    above = wall["above"]
    assert (above["courses"], inches(above["max_exposed_height"])) == (8, 42)
    assert [code.partition(":")[0] for code in above["figures"]["cautions_gained"]] == [
        "permit-height"
    ]
    assert above["figures"]["cautions_lost"] == []
    below = wall["below"]
    assert (below["courses"], inches(below["max_exposed_height"])) == (6, 30)
    # 30 in is not over 30 in: no guard is asked for any more; and 30 + 6 + 6 = 42 in of trench are
    # less than the 4 ft from which it needs a ladder.
    assert [code.partition(":")[0] for code in below["figures"]["cautions_lost"]] == [
        "trench-egress",
        "guard-height",
    ]


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_rounded_down_are_the_lowest_with_their_courses(
    proof: TestClient,
) -> None:
    """From a base at -8 in: 48 in less 4 of cap lie above joint 40 (six courses).

    Rounded down, seven courses begin where the top reaches 48 + 4 = 52 in, five at 36 in.
    """
    asked = proof_request(level_wall(level_from="base", top_rounding="down"))
    (wall,) = compared(proof, asked, heights_that_fit=True)["heights_that_fit"]
    assert wall["courses"] == 6
    assert (wall["below"]["courses"], inches(wall["below"]["max_exposed_height"])) == (5, 36)
    assert (wall["above"]["courses"], inches(wall["above"]["max_exposed_height"])) == (7, 52)


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_are_found_for_each_wall(proof: TestClient) -> None:
    """Each wall is changed alone; the figures are of the whole quote with it."""
    walls = [level_wall(name="a"), level_wall("20 ft", "2 ft", name="b")]
    answer = compared(proof, proof_request(*walls), heights_that_fit=True)
    a, b = answer["heights_that_fit"]
    assert (a["wall"], b["wall"]) == ("a", "b")
    # 24 in: joints 20, 12, 4, -4, -12: four courses show up to 30 in, three 22, five 38.
    assert (b["courses"], b["below"]["courses"], b["above"]["courses"]) == (4, 3, 5)
    assert inches(b["below"]["max_exposed_height"]) == 22
    assert inches(b["above"]["max_exposed_height"]) == 38
    assert [wall["courses"] for wall in b["above"]["figures"]["walls"]] == [7, 5]


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_in_metric_stand_at_a_millimeter(client: TestClient) -> None:
    """200 mm units, 80 mm cap, 150 mm buried: n courses show n x 200 + 80 - 150 mm.

    1.2 m take seven courses (1.33 m); six end at 1.13 m, eight at 1.53 m.
    """
    asked = shipped_request(level_wall("10 m", "1.2 m"), units="metric")
    asked |= {"wall_system": "metric_200", "section": "plain_gravity_metric"}
    (wall,) = compared(client, asked, heights_that_fit=True)["heights_that_fit"]
    assert wall["courses"] == 7
    assert wall["below"]["max_exposed_height"] == {"value": "1.13", "unit": "m"}
    assert wall["above"]["max_exposed_height"] == {"value": "1.53", "unit": "m"}
    assert (wall["below"]["courses"], wall["above"]["courses"]) == (6, 8)


@pytest.mark.no_cover  # others run the same lines
def test_heights_that_fit_are_null_where_nothing_can_be_lower(proof: TestClient) -> None:
    """A wall of one course has no height with a course less."""
    asked = proof_request(level_wall(exposed="6 in"))
    (wall,) = compared(proof, asked, heights_that_fit=True)["heights_that_fit"]
    # Joints 2, -6: one course shows up to 8 + 4 - 6 = 6 in.
    assert wall["courses"] == 1
    assert wall["below"] is None
    assert (wall["above"]["courses"], inches(wall["above"]["max_exposed_height"])) == (2, 14)
