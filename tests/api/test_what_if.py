"""What each assumption is worth (rule 23.1): every difference held against two quotes that a
caller makes himself, the second with the other value written out by hand."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.lawn_walls import failed, lawn_request, patched
from tests.given.quote_requests import Json, level_wall, quoted, shipped_request
from tests.given.what_ifs import bare_request, stated_request, without_worth, worth

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

CLAY = {"retained": "clay", "fill": "sand_gravel"}
DRIVE = [{"what": "driveway", "from": "5 ft"}]


def asked(request: Json) -> Json:
    """The request, asking what its assumptions are worth."""
    return {**request, "what_if": True}


def difference(client: TestClient, request: Json, other: Json) -> Decimal:
    """By how much the second quote's total is over the first's."""
    first, second = (Decimal(quoted(client, each)["price"]["total"]) for each in (request, other))
    return second - first


def of_wall(request: Json, **keys: object) -> Json:
    """The request with keys put into its wall."""
    (wall,) = request["walls"]
    return {**request, "walls": [{**wall, **keys}]}


def raised(request: Json, level: str) -> Json:
    """The request with a level behind its wall."""
    profile = [{**entry, "back_grade": level} for entry in request["walls"][0]["profile"]]
    return of_wall(request, profile=profile)


def soil(request: Json, **place: str) -> Json:
    """The request with another soil at a place."""
    return {**request, "soils": {**request["soils"], **place}}


GATE = {"distance": "50 ft", "narrowest_passage": "36 in"}
BY_HAND: dict[str, Callable[[Json], Json]] = {
    "/soils/fill": lambda request: soil(request, fill="sand_gravel"),
    "/soils/foundation": lambda request: soil(request, foundation="clay"),
    "/walls/0/profile/back_grade": lambda request: raised(request, "3.5 ft"),
    "/walls/0/surcharge": lambda request: of_wall(request, above=DRIVE),
    "/walls/0/front_slope": lambda request: of_wall(request, front_slope="4:1"),
    "/walls/0/back_slope": lambda request: of_wall(request, back_slope="4:1"),
    "/walls/0/top_rounding": lambda request: of_wall(request, top_rounding="down"),
    "/walls/0/ends/start": lambda request: of_wall(request, ends={"start": "finished"}),
    "/walls/0/ends/finish": lambda request: of_wall(request, ends={"finish": "finished"}),
    "/conditions/access_ease": lambda request: {**request, "access": GATE},
    "/conditions/digging": lambda request: {**request, "conditions": {"digging": "clay"}},
    "/conditions/ground": lambda request: {**request, "conditions": {"ground": "wet"}},
    "/conditions/beside_building": lambda request: {
        **request,
        "conditions": {"beside_building": "against_building"},
    },
}


@pytest.fixture(scope="module")
def bare(client: TestClient) -> dict[str, Json]:
    """What the assumptions of a request that states little are worth."""
    return worth(quoted(client, asked(bare_request())))


def test_what_if_prices_each_assumption_with_another_plausible_value(bare: dict[str, Json]) -> None:
    """Every kind of assumption with another value in the shipped catalog is there, no other."""
    assert set(bare) == set(BY_HAND)
    assert len({each["changes_total_by"] for each in bare.values()}) > len(BY_HAND) / 2


@pytest.mark.parametrize("field", BY_HAND)
def test_what_if_changes_the_total_by_what_a_second_quote_says(
    client: TestClient, bare: dict[str, Json], field: str
) -> None:
    """To the cent, and whether a check fails there is what that quote's checks say."""
    request, found = bare_request(), bare[field]
    other = BY_HAND[field](request)
    assert Decimal(found["changes_total_by"]) == difference(client, request, other)
    assert found["passes"] is (failed(quoted(client, other)) == [])
    assert "not_quoted" not in found


@pytest.mark.parametrize(
    ("request_", "field", "other"),
    [
        pytest.param(
            bare_request(access={"distance": "20 ft"}),
            "/conditions/access_ease",
            bare_request(access={"distance": "20 ft", "narrowest_passage": "36 in"}),
            id="a way whose gate nobody measured",
        ),
        pytest.param(
            bare_request(soils={"retained": "clay", "fill": "sand_gravel"}),
            "/conditions/digging",
            bare_request(
                soils={"retained": "clay", "fill": "sand_gravel"}, conditions={"digging": "hard"}
            ),
            id="clay that digs hard",
        ),
        pytest.param(
            bare_request(soils={"retained": "sand_gravel"}),
            "/soils/fill",
            bare_request(soils={"retained": "sand_gravel", "fill": "silty_sand"}),
            id="gravel",
        ),
        pytest.param(
            of_wall(bare_request(), above=[{"what": "parking"}]),
            "/walls/0/above/0/from",
            of_wall(bare_request(), above=[{"what": "parking", "from": "6 ft"}]),
            id="a load whose distance nobody said",
        ),
        pytest.param(
            bare_request(levels_are="rod", units="metric"),
            "/walls/0/profile/back_grade",
            raised(bare_request(levels_are="rod", units="metric"), "-3.5 ft"),
            id="a rod reads less where it is higher",
        ),
    ],
)
def test_what_if_takes_the_value_that_fits_what_is_assumed(
    client: TestClient, request_: Json, field: str, other: Json
) -> None:
    """Another value than the one assumed, written as the request writes its levels."""
    found = worth(quoted(client, asked(request_)))[field]
    assert Decimal(found["changes_total_by"]) == difference(client, request_, other)


def test_what_if_changes_one_wall_alone(client: TestClient) -> None:
    """Each wall has its own assumptions, and what changes is the wall that is named."""
    walls = [level_wall("20 ft", "2 ft"), level_wall("36 ft", "3 ft")]
    request = shipped_request(*walls, terms="standard")
    found = worth(quoted(client, asked(request)))
    for index in (0, 1):
        other = deepcopy(request)
        other["walls"][index]["ends"] = {"finish": "finished"}
        said = found[f"/walls/{index}/ends/finish"]["changes_total_by"]
        assert Decimal(said) == difference(client, request, other)
    assert "/walls/2/ends/finish" not in found


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("levels_are", ["elevation", "rod"])
def test_what_if_patches_ask_for_what_was_quoted(
    client: TestClient, units: str, levels_are: str
) -> None:
    """Each patch (RFC 6902), applied to the request, quotes to the total that was told."""
    request = lawn_request("clay", units=units, levels_are=levels_are, what_if=False)
    found = worth(quoted(client, asked(request)))
    assert found
    for each in found.values():
        if "not_quoted" not in each:
            other = patched(request, each["patch"])
            assert Decimal(each["changes_total_by"]) == difference(client, request, other)


@pytest.mark.parametrize(
    "request_",
    [bare_request(), lawn_request("clay", what_if=False), lawn_request("loam", "2 ft")],
    ids=["bare", "fails", "passes"],
)
def test_what_if_leaves_the_rest_of_the_answer_alone(client: TestClient, request_: Json) -> None:
    """No check, caution or need of a variant stands in the answer: without the added keys it is
    what it is without `what_if`."""
    plain = quoted(client, {**request_, "what_if": False})
    assert "if_instead" not in json.dumps(plain)
    assert without_worth(quoted(client, asked(request_))) == without_worth(plain)


def test_what_if_changes_nothing_that_is_stated(client: TestClient) -> None:
    """A request that says it all has nothing to be asked instead."""
    assert worth(quoted(client, asked(stated_request()))) == {}


def test_what_if_says_in_words_what_can_not_be_quoted(client: TestClient) -> None:
    """Ground that rises as steeply as it did before never meets it: that quote is refused, and
    its reason stands in place of money."""
    request = of_wall(bare_request(), existing_slope="4:1")
    found = worth(quoted(client, asked(request)))["/walls/0/back_slope"]
    refused = client.post("/v1/quotes", json=of_wall(request, back_slope="4:1")).json()
    assert found["not_quoted"] in refused["errors"][0]["message"]
    assert "does not meet existing ground" in found["not_quoted"]
    assert not {"changes_total_by", "passes"} & found.keys()


def test_what_if_is_the_same_each_time(client: TestClient) -> None:
    """The same request gives the same bytes, and its digest is of them."""
    first, second = (client.post("/v1/quotes", json=asked(bare_request())) for _ in range(2))
    assert first.content == second.content
    assert first.json()["digest"] != quoted(client, bare_request())["digest"]


def test_what_if_too_large_is_refused_with_both_figures(client: TestClient) -> None:
    """Forty walls are a quote, and some 300 quotes with it are not."""
    request = shipped_request(*[level_wall("20 ft", "2 ft")] * 40)
    assert client.post("/v1/quotes", json=request).status_code == 200
    problem = client.post("/v1/quotes", json=asked(request))
    (error,) = problem.json()["errors"]
    assert problem.status_code == 422
    assert (error["code"], error["pointer"]) == ("what-if-too-large", "/what_if")
    assert "over the bound of 4 s" in error["message"]


def test_a_batch_answers_what_if_line_by_line(client: TestClient) -> None:
    """A line that asks is answered as alone, and the one beside it as ever."""
    requests = [asked(bare_request()), bare_request()]
    lines = "\n".join(map(json.dumps, requests)).encode()
    headers = {"content-type": "application/x-ndjson"}
    told = client.post("/v1/quotes/batch", content=lines, headers=headers).text.splitlines()
    answers = [json.loads(line)["quote"] for line in told[:2]]
    assert answers == [quoted(client, request) for request in requests]
    assert [bool(worth(answer)) for answer in answers] == [True, False]


def test_a_comparison_has_its_money_in_any_case(client: TestClient) -> None:
    """`heights_that_fit` has totals and differences with and without `what_if`: the same bytes."""
    body: Json = {"heights_that_fit": True, "alternatives": [{"section": "deep_pad"}]}
    plain, told = (
        client.post("/v1/comparisons", json={**body, "quote": quote})
        for quote in (bare_request(), asked(bare_request()))
    )
    assert told.content == plain.content
    (heights,) = plain.json()["heights_that_fit"]
    assert heights["above"]["figures"]["difference"]


@pytest.mark.parametrize("what_if", [True, False])
def test_a_saved_quote_keeps_no_what_if(keeper: Any, *, what_if: bool) -> None:  # noqa: ANN401
    """What would go stale is refused where a quote is kept; `false` is what is meant anyway."""
    request = {**bare_request(), "what_if": what_if}
    answer = keeper.client.post("/v1/saved-quotes", json={"quote": request})
    assert answer.status_code == (422 if what_if else 201), answer.text
    if what_if:
        (error,) = answer.json()["errors"]
        assert (error["code"], error["pointer"]) == ("what-if-not-kept", "/quote/what_if")


def test_what_if_inside_screening_is_sent_to_its_place(client: TestClient) -> None:
    """It is asked of the whole quote, not of its checks alone."""
    problem = client.post("/v1/quotes", json=bare_request(screening={"what_if": True})).json()
    (error,) = problem["errors"]
    assert error["pointer"] == "/screening/what_if"
    assert error["hint"] == 'what_if stands in the quote request: "what_if": true'
