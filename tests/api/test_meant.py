"""Shares and names that can't be meant are refused with what was; what changes nothing is said."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import Json, level_wall, quoted, shipped_request


def faults(client: TestClient, request: Json) -> list[Json]:
    """The faults of a request that is refused."""
    response = client.post("/v1/quotes", json=request)
    assert response.status_code == 422, response.text
    found: list[Json] = response.json()["errors"]
    return found


def unused(answer: Json) -> set[str]:
    """Fields that change nothing in this quote."""
    return {each["field"] for each in answer["assumptions"] if each["value"] == "unused"}


SHARES: list[tuple[Json, str, str]] = [
    ({"overhead": "20"}, "/terms/overhead", 'did you mean "0.20"?'),
    ({"overhead": {"share": "12.5"}}, "/terms/overhead/share", 'did you mean "0.125"?'),
    ({"contingency": "5"}, "/terms/contingency", 'did you mean "0.05"?'),
    ({"tax": {"rate": "7"}}, "/terms/tax/rate", 'did you mean "0.07"?'),
    ({"tax": {"rate": "100"}}, "/terms/tax/rate", 'did you mean "1.00"?'),
    ({"profit": {"markup": "20"}}, "/terms/profit/markup", 'did you mean "0.20"?'),
    ({"overhead": "4.999999"}, "/terms/overhead", "from 0 to 1 (0.20 is 20 %)"),
    ({"contingency": "1.000001"}, "/terms/contingency", "from 0 to 1 (0.20 is 20 %)"),
    ({"overhead": "101"}, "/terms/overhead", "from 0 to 1 (0.20 is 20 %)"),
    ({"profit": {"markup": "3.01"}}, "/terms/profit/markup", "from 0 to 3 (0.20 is 20 %)"),
]


@pytest.mark.parametrize(("terms", "pointer", "hint"), SHARES)
def test_quote_refuses_a_share_that_nobody_means(
    client: TestClient, terms: Json, pointer: str, hint: str
) -> None:
    """Above 1 (a markup: 3) it is refused; from 5 on the hint is a hundredth of what was found."""
    if "profit" not in terms:
        terms = {**terms, "profit": {"markup": "0.20"}}
    (fault,) = faults(client, shipped_request(terms=terms))
    assert (fault["code"], fault["pointer"], fault["hint"]) == ("share-not-meant", pointer, hint)


@pytest.mark.parametrize(
    ("terms", "hint"),
    [
        ({"overhead": "10%"}, 'did you mean "0.10"?'),
        ({"overhead": {"share": "12.5 %"}}, 'did you mean "0.125"?'),
        ({"profit": {"markup": "250%"}}, 'did you mean "2.50"?'),
        ({"contingency": "4%"}, 'did you mean "0.04"?'),
        ({"contingency": "101%"}, 'from 0 to 1 (0.20 is 20 %); write it like "0.20"'),
    ],
)
def test_quote_answers_per_cent_with_the_share(client: TestClient, terms: Json, hint: str) -> None:
    """What is written in per cent is refused with the share that it is, within the bounds."""
    (fault,) = faults(client, shipped_request(terms={"profit": {"markup": "0.20"}, **terms}))
    assert (fault["code"], fault["hint"]) == ("decimal-invalid", hint)


def test_quote_takes_a_share_of_exactly_1(client: TestClient) -> None:
    """The bounds are taken: overhead of 1 is the direct cost, a markup of 3 three times both."""
    terms: Json = {"overhead": "1", "tax": {"rate": "1", "on": []}, "profit": {"markup": "3"}}
    price = quoted(client, shipped_request(terms=terms))["price"]
    assert price["overhead"] == price["direct_cost"]
    assert float(price["profit"]) == pytest.approx(6 * float(price["direct_cost"]), abs=0.01)


@pytest.mark.parametrize(
    ("profit", "warned"),
    [({"markup": "1"}, False), ({"markup": "1.01"}, True), ({"margin": "0.60"}, False)],
)
def test_quote_cautions_of_a_markup_above_the_cost(
    client: TestClient, profit: Json, warned: bool
) -> None:
    """A markup above 1 may be meant, and is a caution that says it; a margin never is."""
    cautions = quoted(client, shipped_request(terms={"profit": profit}))["cautions"]
    texts = [each["text"] for each in cautions if each["code"] == "markup-above-cost"]
    assert bool(texts) is warned
    assert all(text.endswith("The markup is 101 %.") for text in texts)


SLOW = {"digging": "hard"}
FEE: Json = {"cost": "90.00", "description": "A sum"}
SETTING: Json = {
    "id": "set",
    "title": "Set units",
    "crew": "crew",
    "measured_by": "standard_units",
    "hours": "0.1",
    "per": "each",
}
NAMES: list[tuple[str, Any, str, str, str]] = [
    (
        "prices",
        {
            "price_list": "demo_2026",
            "overrides": {"terrace_8inn": {"unit_cost": "7", "per": "each"}},
        },
        "unknown-override",
        "/prices/overrides/terrace_8inn",
        "terrace_8in",
    ),
    (
        "terms",
        {"allowances": {"permit-heigth": FEE}},
        "unknown-allowance",
        "/terms/allowances/permit-heigth",
        "permit-height",
    ),
    (
        "conditions",
        {"acess_ease": "by_hand"},
        "unknown-condition",
        "/conditions/acess_ease",
        "access_ease",
    ),
    (
        "machines_off",
        ["skid_steer", "skidsteer"],
        "unknown-machine",
        "/machines_off/1",
        "skid_steer",
    ),
]


@pytest.mark.parametrize(("key", "value", "code", "pointer", "near"), NAMES)
def test_quote_refuses_a_name_that_nobody_knows(
    client: TestClient, key: str, value: object, code: str, pointer: str, near: str
) -> None:
    """An override, an allowance, a condition or a machine that is nowhere: with the nearest."""
    request = {**shipped_request(rates="small_crew"), key: value}
    (fault,) = faults(client, request)
    assert (fault["code"], fault["pointer"]) == (code, pointer)
    assert fault["hint"] == f'did you mean "{near}"?'


def test_quote_lists_the_machines_that_there_are(client: TestClient) -> None:
    """A machine that is like none of the rates' brings their names and no hint that misleads."""
    request = shipped_request(rates="small_crew", machines_off=["helicopter"])
    (fault,) = faults(client, request)
    assert fault["message"].startswith("no rates have the machine 'helicopter'; there are ")
    assert {"skid_steer", "plate"} <= set(fault["message"].partition("are ")[2].split(", "))
    assert fault.get("hint") is None


def test_quote_names_faults_of_names_together(client: TestClient) -> None:
    """Slips of each kind are one answer with a fault for each, of material alone too."""
    wrong = {key: value for key, value, *_ in NAMES}
    request = {**shipped_request(rates="small_crew", materials_only=True), **wrong}
    assert {fault["code"] for fault in faults(client, request)} == {
        code for _, _, code, *_ in NAMES
    }


def test_quote_names_what_is_known_and_unused(client: TestClient) -> None:
    """What changes nothing here is an assumption `unused`; what is used is not."""
    price: Json = {"unit_cost": "7.00", "per": "each"}
    request = shipped_request(
        rates="small_crew",
        terms={"allowances": {"easement": FEE}},
        conditions={"access_ease": "by_hand", "digging": "hard"},
    )
    request["prices"]["overrides"] = {"terrace_8in": price, "soil_grid": price}
    found = unused(quoted(client, request))
    assert found == {
        "/prices/overrides/soil_grid",
        "/terms/allowances/easement",
        "/conditions/digging",
    }


def test_quote_names_a_condition_that_no_work_goes_by(client: TestClient) -> None:
    """Of material alone nobody works: a condition that the catalog knows is unused."""
    request = shipped_request(rates="small_crew", materials_only=True, conditions=SLOW)
    assert "/conditions/digging" in unused(quoted(client, request))


def test_quote_names_a_machine_that_these_rates_do_not_have(client: TestClient) -> None:
    """A machine of the catalog's rates that those of the request lack is unused; one that they
    have is left out, whether or not it had anything to do."""
    rates = {
        "crews": {
            "crew": {
                "title": "Crew",
                "item": "crew_hour",
                "size": 2,
                "paid_hours_per_day": "8",
                "worked_share": "1",
            }
        },
        "tasks": [SETTING],
        "machines": {"barrow": {"title": "Barrow", "owned": {"item": "plate_hour"}}},
    }
    request = shipped_request(rates=rates, machines_off=["barrow", "skid_steer"])
    assert unused(quoted(client, request)) == {"/machines_off/1"}


def test_quote_names_sums_of_a_file_of_terms_too(client: TestClient) -> None:
    """What the shipped terms set aside for cautions that this wall doesn't raise is not in it."""
    request = shipped_request(level_wall(), terms="standard")
    codes = ("outlet-storm-drain", "street-used", "private-lines", "line-distance")
    assert unused(quoted(client, request)) == {f"/terms/allowances/{code}" for code in codes}


def test_quote_leaves_out_the_neutral_choice(client: TestClient) -> None:
    """A neutral choice changes nothing, used or not."""
    request = shipped_request(rates="small_crew", conditions={"digging": "firm"})
    assert unused(quoted(client, request)) == set()
