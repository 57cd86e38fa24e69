"""The rule books of the checks, written by hand, not read from the catalog.

Source: references of the association (early edition Table 4-1; third edition from memory) and of
FHWA-NHI-10-024 (Tables 2-1, 4-2, 4-5, 4-7, sections 3.4, 4.4.3, 4.4.7, 6.2.1).
"""

from __future__ import annotations

import math

from service.core.job.basis import (
    CHECKS,
    Basis,
    BesideRules,
    CheckName,
    LayerRules,
    LoadFactors,
    Required,
    TierRules,
)
from tests.given.walls import ft, inch


def required(**figures: str) -> dict[CheckName, Required]:
    """What checks must reach, as written."""
    assert figures.keys() <= set(CHECKS)
    return {
        name: Required(value=float(figures[name]), text=figures[name], source="by hand")
        for name in CHECKS
        if name in figures
    }


BESIDE = BesideRules(load_reach=2.0, steep=1 / 3)
ASSOCIATION = Basis(
    id="association",
    version="1",
    title="Safety factors",
    source="by hand",
    gravity=required(
        base_sliding="1.5", overturning="1.5", bearing="2", interface_shear="1.5", hinge_height="1"
    ),
    reinforced=required(
        base_sliding="1.5",
        overturning="2",
        bearing="2",
        interface_shear="1.5",
        layer_tension="1.5",
        pullout="1.5",
        connection="1.5",
    ),
    layers=LayerRules(
        shortest_share=0.6,
        shortest_share_sloping=0.6,
        shortest_m=ft(4),
        anchorage_m=ft(1),
        spacing_m=inch(24),
        spacing_depths=2.0,
        length_step_m=inch(6),
        longest_share=2.0,
        no_data_factor=7.0,
        soil_between_m=inch(3),
    ),
    tiers=TierRules(independent_share=2.0, source="by hand"),
    wall_friction_share=2 / 3,
    beside=BESIDE,
    hinge_over_rad=0.0,
    plumb_under_rad=0.0,
)
FHWA = Basis(
    id="fhwa",
    version="1",
    title="Load and resistance factors",
    source="by hand",
    gravity=required(
        base_sliding="1", eccentricity="0.25", bearing="1", interface_shear="1", hinge_height="1"
    ),
    reinforced=required(
        base_sliding="1",
        eccentricity="0.25",
        bearing="1",
        interface_shear="1",
        layer_tension="1",
        pullout="1",
        connection="1",
    ),
    factors=LoadFactors(
        weight_low=1.0,
        weight_high=1.35,
        soil=1.5,
        live=1.75,
        sliding=1.0,
        bearing=0.65,
        tension=0.9,
        pullout=0.9,
    ),
    layers=LayerRules(
        shortest_share=0.7,
        shortest_share_sloping=0.8,
        shortest_m=ft(8),
        anchorage_m=ft(3),
        spacing_m=inch(32),
        spacing_depths=2.0,
        top_depths=1.5,
        length_step_m=inch(6),
        longest_share=2.0,
        no_data_factor=7.0,
        friction_share=0.67,
        scale=0.8,
        soil_between_m=inch(3),
    ),
    tiers=TierRules(independent_share=2.0, source="by hand"),
    wall_friction_share=2 / 3,
    beside=BESIDE,
    hinge_over_rad=math.radians(8),
    plumb_under_rad=math.radians(10),
)
