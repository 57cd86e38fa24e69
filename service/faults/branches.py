"""Of the errors that pydantic found, those that are told: one branch of each union, no echoes."""

from __future__ import annotations

from pydantic_core import ErrorDetails

from service.core.errors import Path
from service.faults.places import Place
from service.faults.words import NEEDED

_OTHER_TYPE = 1_000_000
Placed = tuple[Place, ErrorDetails]


def worth_telling(placed: list[Placed]) -> list[Placed]:
    """Errors with one branch left of each untagged union, and without their echoes."""
    return _without_echoes(_one_branch_each(placed))


def _one_branch_each(
    placed: list[Placed],
) -> list[Placed]:
    """Errors with one branch left of each untagged union."""
    unions: dict[Path, dict[str | int, list[Placed]]] = {}
    for place, detail in placed:
        if place.union is not None and place.branch is not None:
            unions.setdefault(place.union, {}).setdefault(place.branch, []).append((place, detail))
    best = {
        path: min(branches, key=lambda b: _farness(path, branches[b]))
        for path, branches in unions.items()
    }
    return [
        (place, detail)
        for place, detail in placed
        if place.union is None or best[place.union] == place.branch
    ]


def _farness(union: Path, errors: list[Placed]) -> int:
    """How far a branch is from what came in: keys that don't fit, else whether its type does."""
    types = {detail["type"] for _, detail in errors}
    if types <= {*NEEDED, "literal_error", "wrong-type"} and all(
        place.at == union for place, _ in errors
    ):
        return _OTHER_TYPE
    at_fault = any(place.at == union for place, _ in errors)
    return at_fault + 2 * sum(
        detail["type"] in {"missing", "extra_forbidden"} for _, detail in errors
    )


def _without_echoes(placed: list[Placed]) -> list[Placed]:
    """Errors without lists that are too short only because pydantic left out entries at fault."""
    above = {place.at[:end] for place, _ in placed for end in range(len(place.at))}
    return [
        (place, detail)
        for place, detail in placed
        if detail["type"] != "too_short" or place.at not in above
    ]
