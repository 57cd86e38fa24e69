"""What stated facts of water bring in by the terms: work and sums, unless the request has them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.site import Site, Water
from service.core.job.site_task import SiteWorkEntry
from service.core.job.terms import Brings, Brought, Extra, Terms
from service.core.rounding import NO_WASTE, whole_pieces
from service.operations.quoting.quote_request import QuoteRequest

_RUN = "run"


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtIn:
    """Entries of site work and sums that were added, for which facts, and whether anything prices
    a stated run."""

    work: tuple[SiteWorkEntry, ...]
    sums: tuple[Extra, ...]
    facts: tuple[Brought, ...]
    run_priced: bool


def bring_in(
    request: QuoteRequest,
    catalog: Catalog,
    terms: Terms | None,
    found: tuple[Water | None, Site | None],
) -> BroughtIn:
    """What the terms bring in for the facts of a request (rule 15.14).

    Raises QuoteFaultsError (`unknown-site-work`) for a task that the catalog doesn't have.
    """
    amounts = _stated(*found)
    rows = [row for row in (terms.brings if terms else ()) if row.fact in amounts]
    _check_tasks(rows, catalog)
    known = (row for entry in catalog.terms.values() for row in entry.core.brings)
    tasks = {entry.task for entry in request.site_work}
    carried = [row.fact for row in (*rows, *known) if tasks & set(row.tasks)]
    carried = [fact for fact in carried if fact in amounts]
    carried += [extra.for_ for extra in request.extras if extra.for_ in amounts]
    held = {*carried, *request.excluded, *(amounts if "drainage" in request.excluded else ())}
    new = [row for row in rows if row.fact not in held]
    work = [entry for row in new for entry in _work(row, amounts[row.fact], catalog)]
    sums = [] if request.materials_only else [each for row in new for each in _sums(row, amounts)]
    facts = tuple(dict.fromkeys([*carried, *(row.fact for row in new)]))
    return BroughtIn(work=tuple(work), sums=tuple(sums), facts=facts, run_priced=_RUN in facts)


def _stated(water: Water | None, site: Site | None) -> dict[Brought, float]:
    """The facts that are stated: a run by its length in m, the others by the piece."""
    facts: dict[Brought, float] = {}
    if water and water.run_m is not None and water.outlet != "none":
        facts["run"] = water.run_m
    if water and water.downspouts_above:
        facts["downspouts"] = float(water.downspouts_above)
    if site and "spring" in site.seen:
        facts["spring"] = 1.0
    return facts


def _work(row: Brings, amount: float, catalog: Catalog) -> Iterator[SiteWorkEntry]:
    """The tasks of a row: those measured by length take the run, those counted each piece once."""
    pieces = 1.0 if row.fact == _RUN else amount
    for name in row.tasks:
        task = catalog.site_work[name].core
        quantity = amount if task.dimension == "length" else pieces
        note = f"brought in by the terms: {row.fact}"
        yield SiteWorkEntry(task=task, quantity=quantity, note=note)


def _sums(row: Brings, amounts: dict[Brought, float]) -> Iterator[Extra]:
    if not row.cost:
        return
    pieces = 1 if row.fact == _RUN else whole_pieces(amounts[row.fact], NO_WASTE)
    reason = f"{pieces} x {row.cost:f} by the terms for {row.fact}"
    yield Extra(
        description=row.description,
        kind=row.kind,
        cost=row.cost * pieces,
        reason=reason,
        what=row.fact,
    )


def _check_tasks(rows: list[Brings], catalog: Catalog) -> None:
    faults = [
        Fault(
            code="unknown-site-work",
            at=("terms", "brings", row.fact, "tasks", number),
            message=f"there is no task of site work {name!r} in the catalog",
            hint=catalog.nearest("site_work", name),
        )
        for row in rows
        for number, name in enumerate(row.tasks)
        if name not in catalog.site_work
    ]
    if faults:
        raise QuoteFaultsError(faults)
