"""Walls one above the other, as a place counts their heights: together, or each alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.core.job.fact import Fact, Facts
from service.core.job.spec import Tier
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M

Chain = tuple[str, ...]  # names from the lowest wall up


def combined_heights(
    tiers: Sequence[Tier],
    walls_m: Mapping[str, float],
    within: float | None,
    measured_m: Mapping[str, float],
) -> Mapping[str, tuple[float, Chain]]:
    """Height and chain of every wall that has walls above it counted with it, in m.

    A tier counts where its offset is less than `within` heights of the taller of its two walls,
    `walls_m` (math.inf: always; None: never). Heights as the place measures them, `measured_m`,
    are added up along the highest chain of such tiers: two walls side by side above a third are
    not added to each other. Tiers go in no circle.
    """
    if within is None:
        return {}
    counted = [
        tier
        for tier in tiers
        if tier.offset_m < within * max(walls_m[tier.lower], walls_m[tier.upper]) - CLOSE_M
    ]
    found: dict[str, tuple[float, Chain]] = {}

    def highest(name: str) -> tuple[float, Chain]:
        if name not in found:
            above = [highest(tier.upper) for tier in counted if tier.lower == name]
            height, chain = max(above, default=(0.0, ()))
            found[name] = (measured_m[name] + height, (name, *chain))
        return found[name]

    return {name: highest(name) for name in sorted({tier.lower for tier in counted})}


def tier_facts(
    tiers: Sequence[Tier],
    layouts: Sequence[WallLayout],
    within: float | None,
    measured_m: Mapping[str, float],
    units: UnitSet,
) -> Mapping[str, Facts]:
    """Facts by lower wall: what stands above it, and the heights that count together, as the
    place measures them."""
    walls_m = {layout.name: layout.max_wall_height_m for layout in layouts}
    combined = combined_heights(tiers, walls_m, within, measured_m)
    return {
        name: {
            "tiers": Fact(value=1.0, words=_tier_words(name, tiers, units)),
            **(_combined(*combined[name], measured_m, units) if name in combined else {}),
        }
        for name in sorted({tier.lower for tier in tiers})
    }


def _tier_words(lower: str, tiers: Sequence[Tier], units: UnitSet) -> str:
    above = (tier for tier in tiers if tier.lower == lower)
    return " ".join(
        f"{each.upper} stands {units.show(each.offset_m, 'length')} behind the face of {lower}."
        for each in above
    )


def _combined(
    height_m: float, chain: Chain, heights_m: Mapping[str, float], units: UnitSet
) -> Facts:
    """The combined height and how it adds up."""
    parts = " + ".join(f"{name} {units.show(heights_m[name], 'length')}" for name in chain)
    words = f"Together {units.show(height_m, 'length')}: {parts}."
    return {"combined_height": Fact(value=height_m, words=words)}
