"""Pallets that nothing on the site lifts whole: people take them apart."""

from __future__ import annotations

from service.core.job.rates import Rates
from service.core.labor.fit import SiteLimits, misfit
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_SHARE


def why_broken(rates: Rates, limits: SiteLimits, units: UnitSet) -> str | None:
    """Why pallets are taken apart: the heaviest outweighs what the strongest machine lifts that
    passes and isn't left out. None where it is lifted, or nobody said what a pallet weighs."""
    if limits.pallet_kg is None:
        return None
    pallet = units.show(limits.pallet_kg, "mass")
    lifting = [
        (machine.rated_load_kg, machine.title)
        for machine in rates.machines.values()
        if machine.rated_load_kg is not None and misfit(machine, None, limits, units) is None
    ]
    if not lifting:
        which = "that is used" if limits.left_out else "that passes"
        return f"a pallet weighs {pallet}, and no machine {which} lifts one"
    lifted, title = max(lifting)
    if limits.pallet_kg <= lifted * (1 + CLOSE_SHARE):
        return None
    return f"a pallet weighs {pallet}, and {title} lifts {units.show(lifted, 'mass')}"
