"""A wall with layers of reinforcement: the mass as a whole, and layer by layer.

A preliminary look on the published methods of one basis, to price layers; never a design. The
mass is the units and the soil over the length of the layers, with the soil that slopes above it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import assert_never

from service.core.job.basis import CheckName
from service.core.screening.check import Check, Finding, Named, judge, not_checked, worst
from service.core.screening.check_row import CheckRow, LayerFormula, MassFormula, NotMade
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.formulas.layer_statics import tributaries
from service.core.screening.gravity_screen import TOO_STEEP
from service.core.screening.layer_checks import pull_n_m
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
    return not any(
        judge(found, required, "", "reinforced", ()).failed
        for name in names
        if (required := case.ground.basis.required(name, reinforced=True))
        for found in findings(name, case)
    )


def findings(name: CheckName, case: Reinforced) -> Iterator[Finding]:
    """What one section gives for one check; nothing where data are missing."""
    row = CHECK_TABLE[name]
    if _missing(row, case):
        return
    try:
        match row.layered:
            case MassFormula() as formula:
                yield _mass_finding(row, formula, case)
            case LayerFormula() as formula:
                yield from _layer_findings(row, formula, case)
            case NotMade() | None:
                return
            case other:
                assert_never(other)
    except PressureLimitError:
        yield Finding(
            check=row,
            station_m=case.section.station_m,
            value=row.worst_value,
            how=(TOO_STEEP,),
        )


def _mass_finding(row: Named, formula: MassFormula, case: Reinforced) -> Finding:
    mass = mass_case(case)
    return Finding(
        check=row,
        station_m=case.section.station_m,
        value=formula.figure(mass),
        how=mass_in_words(mass),
        missing=formula.left_open(case.ground),
    )


def _layer_findings(row: Named, formula: LayerFormula, case: Reinforced) -> Iterator[Finding]:
    """What each layer in soil gives. Raises PressureLimitError."""
    elevations, show, line = case.elevations_m, case.ground.units.show, line_loads(case)
    for elevation, carried in zip(
        elevations, tributaries(elevations, case.section.soil_m), strict=True
    ):
        pull = pull_n_m(case, carried)
        held, how = formula.holds(case, elevation)
        words = (
            f"layer {show(elevation, 'length')} over the base holds "
            f"{show(carried.height_m, 'length')} of height: {line(pull)}"
        )
        value = held / pull if pull > 0 else math.inf
        station = case.section.station_m
        yield Finding(check=row, station_m=station, value=value, how=(words, how))


def _check(
    row: CheckRow, cases: Sequence[Reinforced], wall: str, assumed: tuple[str, ...]
) -> Check:
    ground = cases[0].ground
    required = ground.basis.required(row.name, reinforced=True)
    source = required.source if required else ground.basis.source
    if required is None:
        lacks = f"a limit: the basis {ground.basis.id} has none for {row.name} of a reinforced wall"
        return not_checked(row, wall, [lacks], source, "reinforced")
    found = [finding for case in cases for finding in findings(row.name, case)]
    if not found:
        lacks = _missing(row, cases[0]) or _NO_LAYERS
        return not_checked(row, wall, [lacks], source, "reinforced")
    return judge(worst(found), required, wall, "reinforced", assumed)


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
