"""What conditions of production rates follow from, from text to the core."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from pydantic import ValidationError

from service.catalog.documents.production_rates import RatesBody
from service.core.job.factor import ByAccess, ByHeight, ByPlan, BySeen, BySoil, Derivation
from service.faults import faults_from
from tests.given.walls import ft, inch

Table = dict[str, Any]

CREW = {"title": "Crew", "item": "h", "size": 2, "paid_hours_per_day": "8", "worked_share": "1"}
LOADER = {"title": "Loader", "owned": {"item": "loader_hour"}}
BY_ACCESS = {
    "machines": ["loader"],
    "machine": "easy",
    "wheeled": "hard",
    "carried": "worst",
    "wheeled_from": "28 in",
}
BY_PLAN = {
    "curved": "hard",
    "curved_share": "0.25",
    "cornered": "worst",
    "corner_each": "15 ft",
}
BY_HEIGHT = [{"up_to": "4 ft", "choice": "easy"}, {"choice": "hard"}]


def body(**conditions: Table) -> Table:
    """Rates with a loader and conditions of the choices easy, hard and worst."""
    choices = {"easy": "1", "hard": "1.2", "worst": "1.5"}
    plain = {"title": "Condition", "neutral": "easy", "choices": choices}
    return {
        "crews": {"crew": CREW},
        "machines": {"loader": LOADER},
        "conditions": {name: {**plain, **table} for name, table in conditions.items()},
    }


def derivation(table: Table) -> Derivation | None:
    """What the core's condition follows from."""
    return RatesBody.model_validate(body(ease=table)).to_core().conditions["ease"].derivation


def faults(document: Table) -> dict[str, str]:
    """Places of the faults, with their codes."""
    with pytest.raises(ValidationError) as caught:
        RatesBody.model_validate(document)
    found = faults_from(caught.value, RatesBody)
    return {"/".join(str(part) for part in fault.at): fault.code for fault in found}


def test_rates_body_to_core_reads_what_a_condition_follows_from() -> None:
    """The way, the plan, the height of courses, the soil, what was seen, or nothing."""
    assert derivation({}) is None
    assert derivation({"by_soil": True}) == BySoil()
    assert derivation({"by_access": BY_ACCESS}) == ByAccess(
        machines=("loader",),
        machine="easy",
        wheeled="hard",
        carried="worst",
        wheeled_m=inch(28),
    )
    assert derivation({"by_seen": {"signs": {"hard": ["spring", "runoff"]}}}) == BySeen(
        signs={"hard": ("spring", "runoff")}
    )
    assert derivation({"by_plan": BY_PLAN}) == ByPlan(
        curved="hard",
        curved_share=Decimal("0.25"),
        cornered="worst",
        corner_each_m=ft(15),
    )


def test_rates_body_to_core_reads_bands_of_height() -> None:
    """Bands keep their order; the last one has no limit."""
    found = derivation({"by_height": BY_HEIGHT})
    assert isinstance(found, ByHeight)
    assert [(band.choice, band.up_to_m) for band in found.bands] == [
        ("easy", pytest.approx(ft(4))),
        ("hard", None),
    ]


@pytest.mark.parametrize(
    ("table", "place", "code"),
    [
        ({"by_access": {**BY_ACCESS, "wheeled": "so_so"}}, "by_access/wheeled", "choice-unknown"),
        ({"by_plan": {**BY_PLAN, "curved": "so_so"}}, "by_plan/curved", "choice-unknown"),
        ({"by_plan": {**BY_PLAN, "curved_share": "0"}}, "by_plan/curved_share", "out-of-range"),
        (
            {"by_height": [{"up_to": "4 ft", "choice": "so_so"}, {"choice": "hard"}]},
            "by_height/0/choice",
            "choice-unknown",
        ),
        ({"by_seen": {"signs": {"so_so": ["spring"]}}}, "by_seen/signs", "choice-unknown"),
        ({"by_seen": {"signs": {"hard": ["dew"]}}}, "by_seen/signs/hard/0", "unknown-choice"),
        ({"by_height": BY_HEIGHT[:1]}, "by_height", "heights-not-rising"),
        ({"by_height": BY_HEIGHT[::-1]}, "by_height", "heights-not-rising"),
        ({"by_height": [BY_HEIGHT[0], *BY_HEIGHT]}, "by_height", "heights-not-rising"),
        ({"by_soil": True, "by_height": BY_HEIGHT}, "by_plan", "derived-twice"),
        ({"by_access": BY_ACCESS, "by_plan": BY_PLAN}, "by_plan", "derived-twice"),
    ],
)
def test_rates_body_refuses_what_no_choice_can_follow_from(
    table: Table, place: str, code: str
) -> None:
    """Choices are known, heights rise up to one without a limit, and one thing decides."""
    assert faults(body(ease=table)) == {f"conditions/ease/{place}": code}


def test_rates_body_takes_one_condition_by_height() -> None:
    """Units of a course are set at one factor by height, so one condition goes by it."""
    two = body(ease={"by_height": BY_HEIGHT}, lift={"by_height": BY_HEIGHT})
    assert faults(two) == {"conditions/lift/by_height": "derived-twice"}


def test_rates_body_refuses_machines_of_the_way_that_are_not_there() -> None:
    """A condition goes by machines of its file, also where the file has none."""
    unknown = body(ease={"by_access": {**BY_ACCESS, "machines": ["loader", "crane"]}})
    assert faults(unknown) == {"machines/crane": "machine-unknown"}
    none = {**body(ease={"by_access": BY_ACCESS})}
    none.pop("machines")
    assert faults(none) == {"machines/loader": "machine-unknown"}
