"""What machines lift and carry against what they are given to."""

from __future__ import annotations

from collections.abc import Iterator

from service.catalog.comparisons.finding import Finding
from service.catalog.documents import ProductionRatesDocument
from service.catalog.documents.machine import MachineTable
from service.catalog.documents.task import CycleTable
from service.catalog.registry import Catalog
from service.core.errors import Fault, Path
from service.core.measure import US


def lifting_findings(catalog: Catalog) -> Iterator[Finding]:
    """Machines that lift their own weight, loads and pallets that are heavier than what is
    lifted."""
    soil = max((entry.core.loose_kg_m3 for entry in catalog.soils.values()), default=None)
    pallet = _heaviest_pallet(catalog)
    for entry in catalog.production_rates.values():
        rates = ProductionRatesDocument.model_validate(dict(entry.document))
        yield from _own_weight(entry.file, rates)
        if soil is not None:
            yield from _loads(entry.file, rates, soil)
        if pallet is not None:
            yield from _pallets(entry.file, rates, *pallet)


def _own_weight(file: str, rates: ProductionRatesDocument) -> Iterator[Finding]:
    for name, machine in rates.machines.items():
        lifted, weight = machine.rated_load, machine.weight
        if lifted is not None and weight is not None and lifted >= weight:
            message = f"is {_lb(lifted)}, and the machine weighs {_lb(weight)}"
            hint = "what it lifts without tipping over, far less than it weighs"
            fault = _fault("lift-over-weight", (file, "machines", name), message, hint)
            yield Finding(fault, impossible=True)


def _loads(file: str, rates: ProductionRatesDocument, soil_kg_m3: float) -> Iterator[Finding]:
    """A bucket full of the heaviest soil of the catalog, loose."""
    for task in rates.machine_tasks:
        machine = rates.machines[task.machine]
        if task.cycle is None or machine.rated_load is None:
            continue
        load = _load_m3(task.cycle) * soil_kg_m3
        if load > machine.rated_load * (1 + 1e-9):
            message = (
                f"{task.id}: a load of the heaviest soil weighs {_lb(load)}, {machine.title} "
                f"may carry {_lb(machine.rated_load)}"
            )
            at = (file, "machines", task.machine)
            yield Finding(_fault("load-over-lift", at, message, "a smaller load or more lift"))


def _pallets(
    file: str, rates: ProductionRatesDocument, item: str, pallet_kg: float
) -> Iterator[Finding]:
    """Pallets heavier than what the strongest machine lifts, and no hours to take them apart."""
    lifting = [machine for machine in rates.machines.values() if machine.rated_load is not None]
    if not lifting or any(task.breaks_pallets for task in rates.tasks):
        return
    strongest = max(lifting, key=_lift)
    if pallet_kg > _lift(strongest) * (1 + 1e-9):
        message = (
            f"{strongest.title} may lift {_lb(_lift(strongest))}, and a pallet of {item} weighs "
            f"{_lb(pallet_kg)}"
        )
        hint = "a task with breaks_pallets = true, a machine that lifts it, or smaller pallets"
        yield Finding(_fault("pallet-over-lift", (file, "machines"), message, hint))


def _lift(machine: MachineTable) -> float:
    return machine.rated_load or 0.0


def _heaviest_pallet(catalog: Catalog) -> tuple[str, float] | None:
    pallets = [
        (unit.item, unit.pallet_kg)
        for entry in catalog.wall_systems.values()
        for unit in (entry.core.standard, entry.core.corner, entry.core.cap)
        if unit is not None and unit.pallet_kg is not None
    ]
    return max(pallets, key=lambda pallet: pallet[1], default=None)


def _load_m3(cycle: CycleTable) -> float:
    return cycle.load * float(cycle.fill)


def _lb(mass_kg: float) -> str:
    return f"{US.show(mass_kg, 'mass')} ({mass_kg:.0f} kg)"


def _fault(code: str, at: Path, message: str, hint: str) -> Fault:
    return Fault(code=code, at=at, message=message, hint=hint)
