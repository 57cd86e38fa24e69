"""Everything one quote is made from but its prices: the walls, the catalog entries they use,
terms. Only the price step gets a price list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from service.core.job.access import Access
from service.core.job.basis import Basis
from service.core.job.fact import Assumption
from service.core.job.graded import Grading
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.job.rates import Rates
from service.core.job.section import Section
from service.core.job.site import Site, Water
from service.core.job.site_task import SiteWorkEntry
from service.core.job.soil import Soil
from service.core.job.spec import Tier, WallSpec
from service.core.job.terms import Brought, Engineering, Excluded, Extra, Terms
from service.core.job.topsoil import Topsoil
from service.core.job.wall_system import WallSystem
from service.core.measure import UnitSet


@dataclass(frozen=True, slots=True, kw_only=True)
class Soils:
    """Soils the caller named; the others default to `retained`, if that is given."""

    retained: Soil | None = None
    foundation: Soil | None = None
    fill: Soil | None = None


Reinforcing = Literal["none", "compare", "where_needed", "all"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The request in core terms. `rates` None: no labor is quoted; `terms` None: the price is
    the cost. `prices_not_effective`: the quote is dated before its price list holds.
    `materials_only` leaves labor and earthwork out. `grading` are areas graded beside the walls,
    `truck` carries soil off and in, `access` is the way to the walls. `basis` is the rule book of
    screening, `reinforcing` says what happens where a plain stack fails, `issued_month` is the
    month of the quote's date, 1 to 12. `machines_off` are machines of the rates
    that are not to be used. `excluded` is left out on purpose; `brought` are the facts
    whose work the terms brought in, and `run_priced` says whether anything prices a stated run.
    `engineering` says how the engineer's work is settled, None: not yet.
    `assumptions` are the defaults that the request left to the service.
    """

    units: UnitSet
    walls: tuple[WallSpec, ...]
    system: WallSystem
    section: Section
    materials: Mapping[str, Material]
    jurisdiction: Jurisdiction
    basis: Basis
    soils: Soils = field(default_factory=Soils)
    rates: Rates | None = None
    conditions: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    terms: Terms | None = None
    extras: tuple[Extra, ...] = ()
    prices_not_effective: bool = False
    materials_only: bool = False
    topsoil: Topsoil | None = None
    grading: tuple[Grading, ...] = ()
    site_work: tuple[SiteWorkEntry, ...] = ()
    water: Water | None = None
    site: Site | None = None
    truck: Truck | None = None
    access: Access | None = None
    machines_off: tuple[str, ...] = ()
    engineering: Engineering | None = None
    tiers: tuple[Tier, ...] = ()
    reinforcing: Reinforcing = "none"
    issued_month: int | None = None
    excluded: tuple[Excluded, ...] = ()
    brought: tuple[Brought, ...] = ()
    run_priced: bool = False
    assumptions: tuple[Assumption, ...] = ()
