"""Engineering settled before a quote goes out: what a request may say of it."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from tests.given.quote_requests import Json, answered, caution_codes, level_wall, shipped_request
from tests.operations.quoting.test_safety_cautions import dug_wall

EXTRA = {
    "description": "Plans by an engineer",
    "kind": "subcontract",
    "cost": "1200.00",
    "for": "engineering",
}
BECAUSE = "the building department waived it on 4 May"


def weak(**more: object) -> Json:
    """4 ft on clay under a lawn: by the first look ratios are below 1."""
    return {
        **shipped_request(dug_wall(48)),
        "soils": {"retained": "clay"},
        "materials_only": True,
        **more,
    }


def strong(**more: object) -> Json:
    """18 in before gravel, level: no check fails, and no ratio is below 1."""
    return {
        **shipped_request(level_wall(exposed="18 in")),
        "soils": {"retained": "sand_gravel"},
        **more,
    }


def faults(request: Json, catalog: Catalog) -> list[tuple[str, str]]:
    """Codes and places of what is refused."""
    with pytest.raises(QuoteFaultsError) as caught:
        answered(request, catalog)
    return [(each.code, "/".join(map(str, each.at))) for each in caught.value.faults]


def needed(answer: Json) -> Mapping[str, str]:
    """What is needed and not priced, by what brings it in."""
    return {each["what"]: each["by"] for each in answer["price"]["needed_not_priced"]}


def test_engineering_by_owner_stands_in_the_answer(catalog: Catalog) -> None:
    """The owner settles it: echoed, and named to the customer as not included."""
    request = {**weak(), "materials_only": False, "soils": {"retained": "silty_sand"}}
    answer = answered({**request, "engineering": {"settled": "by_owner"}}, catalog)
    assert answer["engineering"] == {"settled": "by_owner"}
    assert needed(answer)["engineering"] == "/engineering"
    assert needed(answered(request, catalog))["engineering"].startswith(
        "/terms/allowances/engineer-"
    )
    assert "engineering" not in answered(request, catalog)


def test_engineering_in_the_price_needs_a_line(catalog: Catalog) -> None:
    """An extra for it, or a sum of the terms for a caution that is given; a sum for one that isn't
    is no line."""
    stated = {"engineering": {"settled": "in_price"}}
    high = {**shipped_request(level_wall(exposed="5 ft")), **stated}
    low = {**shipped_request(level_wall(exposed="2 ft")), **stated}
    with_sums = {"terms": "with_allowances"}
    refused = [("engineering-not-priced", "engineering/settled")]
    assert faults(high, catalog) == refused
    assert answered({**high, "extras": [EXTRA]}, catalog)["engineering"] == {"settled": "in_price"}
    assert answered({**high, **with_sums}, catalog)["engineering"] == {"settled": "in_price"}
    assert faults({**low, **with_sums}, catalog) == refused
    other = {**EXTRA, "for": "permit"}
    assert faults({**high, "extras": [other]}, catalog) == refused


def test_engineering_not_needed_says_why(catalog: Catalog) -> None:
    """Without `because` it is refused, with it it stands in the answer and is no need any more."""
    bare = strong(engineering={"settled": "not_needed"})
    assert faults(bare, catalog) == [("engineering-unexplained", "engineering/because")]
    stated = {"settled": "not_needed", "because": BECAUSE}
    answer = answered(strong(engineering=stated), catalog)
    assert answer["engineering"] == stated


def test_engineering_not_needed_leaves_permit_and_guard_to_be_told(catalog: Catalog) -> None:
    """3 ft 6 in under a lawn calls for permit, engineering and guard. Engineering that isn't needed
    takes itself off the list, and nothing else."""
    request = {
        **shipped_request({**level_wall(exposed="3 ft 6 in"), "above": [{"what": "lawn"}]}),
        "soils": {"retained": "sand_gravel"},
    }
    stated = {"settled": "not_needed", "because": BECAUSE}
    open_ = needed(answered(request, catalog))
    assert {"permit", "engineering", "guard"} <= set(open_)
    waived = needed(answered({**request, "engineering": stated}, catalog))
    assert set(waived) == set(open_) - {"engineering"}


def test_engineering_is_needed_where_a_ratio_is_below_one(catalog: Catalog) -> None:
    """A wall that moves by these figures is not waived, and the ratio is named."""
    stated = {"settled": "not_needed", "because": BECAUSE}
    with pytest.raises(QuoteFaultsError) as caught:
        answered({**weak(), "engineering": stated}, catalog)
    assert {each.code for each in caught.value.faults} == {"engineering-needed"}
    messages = [each.message for each in caught.value.faults]
    assert any("sliding on the base has the ratio 0.60, below 1" in each for each in messages)
    failing = {
        **shipped_request({**level_wall(exposed="3 ft"), "above": [{"what": "lawn"}]}),
        "soils": {"retained": "sand_gravel"},
    }
    checks = answered(failing, catalog)["checks"]
    assert all(
        float(c["value"]) >= 1
        for c in checks
        if c["status"] == "fail" and c["check"] != "eccentricity"
    )
    assert answered({**failing, "engineering": stated}, catalog)["engineering"] == stated


def test_engineering_is_needed_where_the_place_asks_for_a_design(catalog: Catalog) -> None:
    """Over 36 in one shipped place asks for sealed plans: there `not_needed` is refused, with the
    code of the rule, and where nothing is asked it stands."""
    stated = {"settled": "not_needed", "because": BECAUSE}
    request = {**shipped_request(level_wall(exposed="34 in")), "engineering": stated}
    assert answered(request, catalog)["engineering"] == stated
    strict = {**request, "jurisdiction": "strict_example"}
    assert faults(strict, catalog) == [("engineering-needed", "engineering/settled")]
    assert "engineer-height-here" in caution_codes(
        answered({**strict, "engineering": {"settled": "by_owner"}}, catalog)
    )
