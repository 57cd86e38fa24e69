"""A job with changes as the patch (RFC 6902) that makes its request ask for them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.core.job.job import Job
from service.core.job.spec import ProfileEntry
from service.core.measure import UnitSet, in_unit, number
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.wall_request import ProfileEntryRequest

PatchStep = dict[str, Any]
"""One operation of a JSON Patch: `op` is `add`, which also replaces what is there."""


def patch_of(request: QuoteRequest, asked: Job, changed: Job) -> tuple[PatchStep, ...]:
    """What has to change in a request for its job to become another: levels, fill, layers and
    wall system."""
    return tuple(_steps(request, asked, changed))


def _steps(request: QuoteRequest, asked: Job, changed: Job) -> Iterator[PatchStep]:
    if changed.system != asked.system:
        yield add("/wall_system", changed.system.id)
    if changed.soils.fill != asked.soils.fill and changed.soils.fill:
        yield add("/soils/fill", changed.soils.fill.id)
    if changed.reinforcing != asked.reinforcing:
        if "screening" in request.model_fields_set:
            yield add("/screening/reinforcement", changed.reinforcing)
        else:
            yield add("/screening", {"reinforcement": changed.reinforcing})
    for index, wall in enumerate(changed.walls):
        written = request.walls[index].profile
        for place, (old, new) in enumerate(
            zip(asked.walls[index].profile, wall.profile, strict=True)
        ):
            at = f"/walls/{index}/profile/{place}"
            for key, value in _levels(written[place], old, new, rod=request.are_rods()):
                yield add(f"{at}/{key}", length_of(value, asked.units))


def _levels(
    written: ProfileEntryRequest, old: ProfileEntry, new: ProfileEntry, *, rod: bool
) -> Iterator[tuple[str, float]]:
    """Keys of an entry that change, in m as they are written: a rod reads less where it is higher,
    and a back grade that was left out follows the top."""
    sense = -1.0 if rod else 1.0
    if new.top_m != old.top_m:
        if written.top is None:
            yield "exposed", new.top_m - new.front_grade_m
        else:
            yield "top", sense * new.top_m
    follows = written.back_grade is None and new.back_grade_m == new.top_m
    if new.back_grade_m != old.back_grade_m and not follows:
        yield "back_grade", sense * new.back_grade_m


def length_of(value_m: float, units: UnitSet) -> str:
    """A length in m as a request of these units writes it."""
    unit = units.unit_for("length")
    return f"{number(in_unit(value_m, unit))} {unit}"


def add(path: str, value: Any) -> PatchStep:  # noqa: ANN401  as JSON has it
    """A step that puts a value there."""
    return {"op": "add", "path": path, "value": value}
