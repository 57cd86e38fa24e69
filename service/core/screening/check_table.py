"""All checks, one row each: words, limit, what it rests on, formulas, what is missing, caution.

A new check is a new row; without one the service doesn't start.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from service.core.job.basis import CHECKS, CheckName
from service.core.job.jurisdiction import Trigger
from service.core.screening import beside_checks, layer_checks, mass_checks, stack_checks
from service.core.screening.check import Build
from service.core.screening.check_row import (
    CheckRow,
    LayerFormula,
    MassFormula,
    NotMade,
    StackFormula,
)
from service.core.screening.tier_screen import screen_tiers

_LOADS = ("surcharge", "back_slope", "profile/back_grade")
_FOUNDATION, _FILL = "/soils/foundation", "/soils/fill"
_FAILS: Mapping[Build, Trigger] = MappingProxyType(
    {"gravity": "gravity_fails", "reinforced": "reinforcement_fails"}
)


def _one(trigger: Trigger) -> Mapping[Build, Trigger]:
    return MappingProxyType({"gravity": trigger})


_ROWS = (
    CheckRow(
        name="base_sliding",
        words="sliding on the base",
        limit="min",
        rests_on=(*_LOADS, _FOUNDATION),
        cautions=_FAILS,
        stack=StackFormula(figure=stack_checks.sliding, words=stack_checks.sliding_words),
        layered=MassFormula(figure=mass_checks.sliding),
        beside=None,
    ),
    CheckRow(
        name="overturning",
        words="overturning",
        limit="min",
        rests_on=_LOADS,
        cautions=_FAILS,
        stack=StackFormula(figure=stack_checks.overturning, words=stack_checks.overturning_words),
        layered=MassFormula(figure=mass_checks.overturning),
        beside=None,
    ),
    CheckRow(
        name="eccentricity",
        words="eccentricity",
        limit="max",
        rests_on=_LOADS,
        cautions=_FAILS,
        stack=StackFormula(figure=stack_checks.eccentricity, words=stack_checks.eccentricity_words),
        layered=MassFormula(figure=mass_checks.eccentricity),
        beside=None,
    ),
    CheckRow(
        name="bearing",
        words="bearing",
        limit="min",
        rests_on=(*_LOADS, "front_slope", _FOUNDATION),
        cautions=_FAILS,
        stack=StackFormula(
            figure=stack_checks.bearing,
            words=stack_checks.bearing_words,
            left_open=stack_checks.falling_ground,
        ),
        layered=MassFormula(figure=mass_checks.bearing, left_open=stack_checks.falling_ground),
        beside=None,
    ),
    CheckRow(
        name="interface_shear",
        words="shear between courses",
        limit="min",
        rests_on=_LOADS,
        cautions=_FAILS,
        stack=StackFormula(
            figure=stack_checks.interface_shear,
            words=stack_checks.interface_shear_words,
            missing=stack_checks.untested_joints,
        ),
        layered=NotMade(lacks="shear between courses from layer to layer: part of a design"),
        beside=None,
    ),
    CheckRow(
        name="hinge_height",
        words="hinge height",
        limit="min",
        rests_on=(),
        cautions=_FAILS,
        stack=StackFormula(
            figure=stack_checks.hinge_height,
            words=stack_checks.hinge_height_words,
            applies=stack_checks.leans_enough,
        ),
        layered=None,
        beside=None,
    ),
    CheckRow(
        name="layer_tension",
        words="tension of a layer",
        limit="min",
        rests_on=(*_LOADS, _FILL),
        cautions=_FAILS,
        stack=None,
        layered=LayerFormula(
            holds=layer_checks.tension, words=layer_checks.tension_words, mended_by="spacing"
        ),
        beside=None,
    ),
    CheckRow(
        name="pullout",
        words="pullout of a layer",
        limit="min",
        rests_on=(*_LOADS, _FILL),
        cautions=_FAILS,
        stack=None,
        layered=LayerFormula(
            holds=layer_checks.pullout,
            words=layer_checks.pullout_words,
            mended_by="length",
            missing=layer_checks.no_interaction,
        ),
        beside=None,
    ),
    CheckRow(
        name="connection",
        words="connection of a layer",
        limit="min",
        rests_on=(*_LOADS, _FILL),
        cautions=_FAILS,
        stack=None,
        layered=LayerFormula(
            holds=layer_checks.connection,
            words=layer_checks.connection_words,
            mended_by="spacing",
            missing=layer_checks.untested_connection,
        ),
        beside=None,
    ),
    CheckRow(
        name="tier_independence",
        words="distance of tiers",
        limit="min",
        rests_on=(),
        cautions=_one("tiers_not_independent"),
        stack=None,
        layered=None,
        beside=screen_tiers,
    ),
    CheckRow(
        name="overall_slope",
        words="the slope as a whole",
        limit="min",
        rests_on=(),
        cautions=_one("overall_slope"),
        stack=None,
        layered=None,
        beside=beside_checks.overall_slope,
    ),
    CheckRow(
        name="water_pressure",
        words="water behind the wall",
        limit="min",
        rests_on=(),
        cautions=_one("outlet_none"),
        stack=None,
        layered=None,
        beside=beside_checks.water_pressure,
    ),
)


def rows_by_name(rows: tuple[CheckRow, ...]) -> Mapping[CheckName, CheckRow]:
    """Rows by name, in the order of the names. Raises ValueError unless there is one of each."""
    names = tuple(row.name for row in rows)
    if names != CHECKS:
        raise ValueError(f"rows of checks are {names}, names are {CHECKS}")
    return MappingProxyType({row.name: row for row in rows})


CHECK_TABLE = rows_by_name(_ROWS)
