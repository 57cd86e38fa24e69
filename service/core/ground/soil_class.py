"""The class by which a cut in a soil is sloped."""

from __future__ import annotations

from service.core.job.site import Site
from service.core.job.soil import ExcavationClass, Soil


def excavation_class(soil: Soil, site: Site | None, disturbed: ExcavationClass) -> ExcavationClass:
    """The soil's own class, and no better than `disturbed` where the ground is fill: A stands
    steeper than B, B steeper than C."""
    if site is None or "fill" not in site.seen:
        return soil.excavation_class
    return max(soil.excavation_class, disturbed)
