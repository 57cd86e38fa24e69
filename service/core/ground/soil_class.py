"""The class by which a cut in a soil is sloped."""

from __future__ import annotations

from service.core.job.site import Site
from service.core.job.soil import ExcavationClass, Soil

# What was dug and filled before stands at best as class B: 29 CFR 1926 Subpart P, Appendix A.
DISTURBED_CLASS: ExcavationClass = "B"


def excavation_class(soil: Soil, site: Site | None) -> ExcavationClass:
    """The soil's own class, and never A where the ground is fill."""
    filled = site is not None and "fill" in site.seen
    return DISTURBED_CLASS if filled and soil.excavation_class == "A" else soil.excavation_class
