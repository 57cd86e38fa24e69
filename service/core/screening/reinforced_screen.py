"""A wall with layers of reinforcement: the mass as a whole, and layer by layer.

A preliminary look on the published methods of one basis, to price layers; never a design. The
mass is the units and the soil over the length of the layers, with the soil that slopes above it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import partial
from typing import assert_never

from service.core.job.basis import CheckName
from service.core.screening.check import Check, Finding, governs, judge, meets, not_checked
from service.core.screening.check_row import CheckRow, LayerFormula, MassFormula, NotMade
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.gravity_screen import TOO_STEEP
from service.core.screening.mass_checks import mass_case, mass_in_words
from service.core.screening.reinforced_case import Reinforced, line_loads

LAYERED_ROWS = tuple(row for row in CHECK_TABLE.values() if row.layered)
BY_LENGTH = tuple(
    row.name
    for row in LAYERED_ROWS
    if isinstance(row.layered, MassFormula)
    or (isinstance(row.layered, LayerFormula) and row.layered.mended_by == "length")
)
BY_SPACING = tuple(
    row.name
    for row in LAYERED_ROWS
    if isinstance(row.layered, LayerFormula) and row.layered.mended_by == "spacing"
)
_NO_LAYERS = "layers in soil behind the wall"


def screen_reinforced(
    cases: Sequence[Reinforced], wall: str, assumed: Mapping[CheckName, tuple[str, ...]]
) -> tuple[Check, ...]:
    """Checks of a wall with layers, each from its governing section (and layer)."""
    return tuple(_check(row, cases, wall, assumed.get(row.name, ())) for row in LAYERED_ROWS)


def passes(case: Reinforced, names: Sequence[CheckName]) -> bool:
    """Whether a section passes these checks, as far as the basis has figures and the catalog
    data for them."""
    return all(
        meets(CHECK_TABLE[name], value, required)
        for name in names
        if (required := case.ground.basis.required(name, reinforced=True))
        for value in figures(name, case)
    )


def figures(name: CheckName, case: Reinforced) -> tuple[float, ...]:
    """What one section gives for one check, layer by layer where it is made so; () where data are
    missing. Each is worked out once."""
    known = case.figures
    if (found := known.get(name)) is None:
        known[name] = found = _figures(CHECK_TABLE[name], case)
    return found


def _figures(row: CheckRow, case: Reinforced) -> tuple[float, ...]:
    if _missing(row, case):
        return ()
    try:
        match row.layered:
            case MassFormula(figure=figure):
                return (figure(mass_case(case)),)
            case LayerFormula() as formula:
                return _by_layer(formula, case)
            case NotMade() | None:
                return ()
            case other:
                assert_never(other)
    except PressureLimitError:
        return (row.worst_value,)


def _by_layer(formula: LayerFormula, case: Reinforced) -> tuple[float, ...]:
    """What holds each layer in soil over what pulls on it. Raises PressureLimitError."""
    return tuple(
        formula.holds(case, elevation) / pull if pull > 0 else math.inf
        for elevation, pull in zip(case.elevations_m, case.pulls_n_m, strict=True)
    )


def _check(
    row: CheckRow, cases: Sequence[Reinforced], wall: str, assumed: tuple[str, ...]
) -> Check:
    ground = cases[0].ground
    required = ground.basis.required(row.name, reinforced=True)
    source = required.source if required else ground.basis.source
    if required is None:
        lacks = f"a limit: the basis {ground.basis.id} has none for {row.name} of a reinforced wall"
        return not_checked(row, wall, [lacks], source, "reinforced")
    if not any(figures(row.name, case) for case in cases):
        lacks = _missing(row, cases[0]) or _NO_LAYERS
        return not_checked(row, wall, [lacks], source, "reinforced")
    return judge(_governing(row, cases), required, wall, "reinforced", assumed)


def _governing(row: CheckRow, cases: Sequence[Reinforced]) -> Finding:
    """The worst figure of all sections and layers, with its words."""
    found = [
        (value, case, layer)
        for case in cases
        for layer, value in enumerate(figures(row.name, case))
    ]
    stands = [(value, case.section.station_m) for value, case, _ in found]
    value, case, layer = found[governs(row, stands)]
    return Finding(
        check=row,
        station_m=case.section.station_m,
        value=value,
        told=partial(_how, row, case, layer),
        missing=_left_open(row, case),
    )


def _left_open(row: CheckRow, case: Reinforced) -> tuple[str, ...]:
    """What a pass of a mass leaves unchecked."""
    formula = row.layered
    return formula.left_open(case.ground) if isinstance(formula, MassFormula) else ()


def _how(row: CheckRow, case: Reinforced, layer: int) -> tuple[str, ...]:
    """The arithmetic of a check at a section, or at a layer of it, counted from 0."""
    try:
        match row.layered:
            case MassFormula():
                return mass_in_words(mass_case(case))
            case LayerFormula(words=words):
                return _pull_in_words(case, layer), words(case, case.elevations_m[layer])
            case NotMade() | None:
                return ()
            case other:
                assert_never(other)
    except PressureLimitError:
        return (TOO_STEEP,)


def _pull_in_words(case: Reinforced, layer: int) -> str:
    """What a layer carries, and how that pulls on it."""
    show, line = case.ground.units.show, line_loads(case)
    return (
        f"layer {show(case.elevations_m[layer], 'length')} over the base holds "
        f"{show(case.carried[layer].height_m, 'length')} of height: {line(case.pulls_n_m[layer])}"
    )


def _missing(row: CheckRow, case: Reinforced) -> str | None:
    """What a check lacks before any figure of it can be made."""
    match row.layered:
        case NotMade(lacks=lacks):
            return lacks
        case LayerFormula() as formula:
            return formula.missing(case)
        case MassFormula() | None:
            return None
        case other:
            assert_never(other)
