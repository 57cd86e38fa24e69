"""A wall with layers of reinforcement: the mass as a whole, and layer by layer.

A preliminary look on the published methods of one basis, to price layers; never a design. The
mass is the units and the soil over the length of the layers, with the soil that slopes above it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from service.core.job.basis import CheckName
from service.core.screening.check import Check, Finding, judge, not_checked, worst
from service.core.screening.earth_pressure import PressureLimitError
from service.core.screening.gravity_screen import TOO_STEEP, Ground
from service.core.screening.layer_screen import LAYER_CHECKS, has_data, layer_findings
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_mass import MASS_CHECKS, mass_finding


def screen_reinforced(
    cases: Sequence[Reinforced], wall: str, assumed: Mapping[CheckName, tuple[str, ...]]
) -> tuple[Check, ...]:
    """Checks of a wall with layers, each from its governing section (and layer)."""
    names: tuple[CheckName, ...] = (*MASS_CHECKS, "interface_shear", *LAYER_CHECKS)
    return tuple(_check(name, cases, wall, assumed.get(name, ())) for name in names)


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
    try:
        if name in MASS_CHECKS:
            yield mass_finding(name, case)
        elif name in LAYER_CHECKS and has_data(name, case):
            yield from layer_findings(name, case)
    except PressureLimitError:
        value = math.inf if name == "eccentricity" else 0.0
        yield Finding(check=name, station_m=case.section.station_m, value=value, how=(TOO_STEEP,))


def _check(
    name: CheckName, cases: Sequence[Reinforced], wall: str, assumed: tuple[str, ...]
) -> Check:
    ground = cases[0].ground
    required = ground.basis.required(name, reinforced=True)
    source = required.source if required else ground.basis.source
    if required is None:
        lacks = f"a limit: the basis {ground.basis.id} has none for {name} of a reinforced wall"
        return not_checked(name, wall, [lacks], source, "reinforced")
    found = [finding for case in cases for finding in findings(name, case)]
    if not found:
        return not_checked(name, wall, [_missing(name, ground)], source, "reinforced")
    return judge(worst(found), required, wall, "reinforced", assumed)


def _missing(name: CheckName, ground: Ground) -> str:
    if name == "connection":
        return f"tested strength of the joint between the sheet and {ground.system.id}"
    if name == "pullout" and ground.basis.layers.friction_share is None:
        return "interaction of the sheet with the soil"
    if name == "interface_shear":
        return "shear between courses from layer to layer: part of a design"
    return "layers in soil behind the wall"
