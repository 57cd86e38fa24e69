"""Requests that leave much to be assumed, and what an answer says each assumption is worth."""

from __future__ import annotations

from typing import Any

from tests.given.lawn_walls import lawn_request
from tests.given.quote_requests import Json, level_wall, shipped_request

ADDED = ("if_instead", "patch", "changes_total_by", "passes", "not_quoted")


def bare_request(**more: Any) -> Json:  # noqa: ANN401  as JSON has it
    """30 ft of wall in a bank of silty sand: levels and soil are stated, nothing else."""
    wall = level_wall("30 ft", "2 ft 6 in", existing_slope="2:1")
    for entry in wall["profile"]:
        entry["existing_grade"] = "0 ft"
    asked: Json = {"soils": {"retained": "silty_sand"}, "rates": "small_crew", "terms": "standard"}
    return shipped_request(wall, **(asked | more))


def stated_request() -> Json:
    """A request that leaves nothing to be assumed that has another plausible value."""
    request = lawn_request(
        conditions={"digging": "firm", "ground": "firm", "beside_building": "open"},
        access={"distance": "20 ft", "narrowest_passage": "8 ft"},
    )
    (wall,) = request["walls"]
    wall |= {"top_rounding": "up", "ends": {"start": "open", "finish": "open"}}
    for entry in wall["profile"]:
        entry["back_grade"] = "3 ft"
    return request


def worth(answer: Json) -> dict[str, Json]:
    """Assumptions that have another value, by their field."""
    return {each["field"]: each for each in answer["assumptions"] if "if_instead" in each}


def without_worth(answer: Json) -> Json:
    """An answer as it is without `what_if`, but for its digest; would_pass names the cheapest
    where money is known, and is left out."""
    bare = {key: value for key, value in answer.items() if key != "digest"}
    changes = ("would_pass", "other_walls")
    screening = {key: value for key, value in answer["screening"].items() if key not in changes}
    plain = [{k: v for k, v in each.items() if k not in ADDED} for each in answer["assumptions"]]
    return {**bare, "screening": screening, "assumptions": plain}
