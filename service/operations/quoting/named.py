"""Names that a request changes something by: items of overrides, conditions, cautions of sums.

One that nobody knows is a slip and refused; one that is known elsewhere changes nothing here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass

from service.catalog import Catalog
from service.core.errors import Fault, Path, QuoteFaultsError
from service.core.job.fact import Assumption
from service.core.job.price_list import PriceList
from service.core.job.rates import Rates
from service.core.job.terms import Terms
from service.core.near_words import NearWords
from service.core.takeoff.earth_lines import HAUL_OFF, IMPORT_FILL
from service.core.unused import unused
from service.operations.quoting.quote_request import QuoteRequest

# A hint is found by looking at each known name; of very long lists only so many.
_COMPARED = 2000
_PAIRS = 3000
# So many machines stand in a message.
_NAMED = 50


def check_names(
    request: QuoteRequest,
    catalog: Catalog,
    found: tuple[Rates | None, Terms | None, PriceList | None],
) -> None:
    """Raises QuoteFaultsError with every override, condition, machine and allowance that neither
    the catalog nor the quote's own rates and prices know, each with the nearest name."""
    rates, terms, prices = found
    new = [item for item in prices.overrides if item not in prices.items] if prices else []
    sums = [each.caution for each in terms.allowances] if terms else ()
    items = _items(catalog, (rates, prices)) if prices and new else frozenset()
    conditions = _conditions(catalog, rates) if request.conditions else frozenset()
    machines = _machines(catalog, rates) if request.machines_off else frozenset()
    cautions = _cautions(catalog) if sums else frozenset()
    faults = [
        *_unknown("unknown-override", ("prices", "overrides"), new, items),
        *_unknown("unknown-condition", ("conditions",), request.conditions, conditions),
        *_unknown_machines(request.machines_off, machines),
        *_unknown("unknown-allowance", ("terms", "allowances"), sums, cautions),
    ]
    if faults:
        raise QuoteFaultsError(faults)


def split_conditions(
    conditions: Mapping[str, str], rates: Rates | None
) -> tuple[dict[str, str], tuple[Assumption, ...]]:
    """The conditions that the rates have, and a word on each of the others."""
    known = rates.conditions if rates else {}
    why = "the rates of this quote have no such condition"
    idle = tuple(unused(f"/conditions/{name}", why) for name in conditions if name not in known)
    return {name: choice for name, choice in conditions.items() if name in known}, idle


def split_machines(
    names: Sequence[str], rates: Rates | None
) -> tuple[tuple[str, ...], tuple[Assumption, ...]]:
    """The machines that the rates have, and a word on each of the others."""
    known = rates.machines if rates else {}
    why = "the rates of this quote have no such machine"
    idle = (unused(f"/machines_off/{i}", why) for i, name in enumerate(names) if name not in known)
    return tuple(name for name in names if name in known), tuple(idle)


def _unknown(
    code: str, at: Path, names: Collection[str], known: Collection[str]
) -> Iterator[Fault]:
    """A fault for each name that isn't known."""
    near, words = NearWords(_PAIRS, likeness=0.0), tuple(sorted(known)[:_COMPARED])
    for name in names:
        if name in known:
            continue
        meant = near.nearest(name, words)
        yield Fault(
            code=code,
            at=(*at, name),
            message=f"neither the catalog nor the prices of this quote know {name!r}",
            hint=f'did you mean "{meant}"?' if meant else None,
        )


def _unknown_machines(names: Sequence[str], known: Collection[str]) -> Iterator[Fault]:
    """A fault for each place of the list whose machine no rates have, with those that there are."""
    near, there_are = NearWords(), tuple(sorted(known)[:_NAMED])
    for place, name in enumerate(names):
        if name in known:
            continue
        meant = near.nearest(name, there_are)
        yield Fault(
            code="unknown-machine",
            at=("machines_off", place),
            message=f"no rates have the machine {name!r}; there are {', '.join(there_are)}",
            hint=f'did you mean "{meant}"?' if meant else None,
        )


def _conditions(catalog: Catalog, rates: Rates | None) -> frozenset[str]:
    named = (entry.core.conditions for entry in catalog.production_rates.values())
    return frozenset(rates.conditions if rates else ()).union(*named)


def _machines(catalog: Catalog, rates: Rates | None) -> frozenset[str]:
    named = (entry.core.machines for entry in catalog.production_rates.values())
    return frozenset(rates.machines if rates else ()).union(*named)


def _cautions(catalog: Catalog) -> frozenset[str]:
    places = catalog.jurisdictions.values()
    return frozenset(rule.code for place in places for rule in place.core.cautions)


def _items(catalog: Catalog, found: tuple[Rates | None, PriceList]) -> frozenset[str]:
    """Every item that the catalog, the rates or the prices of the quote name."""
    rates, prices = found
    kinds = (catalog.wall_systems, catalog.sections, catalog.production_rates, catalog.site_work)
    files = [entry.core for kind in kinds for entry in kind.values()]
    listed = (entry.core.items for entry in catalog.price_lists.values())
    held = frozenset((*catalog.materials, *prices.items, HAUL_OFF, IMPORT_FILL))
    return held.union(*listed, *map(_named_in, (*files, rates)))


def _named_in(value: object) -> Iterator[str]:
    """Texts under `item` and fields that end so, at any depth of a file's content."""
    if isinstance(value, Mapping):
        for inner in value.values():
            yield from _named_in(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from _named_in(inner)
    elif is_dataclass(value):
        for field in fields(value):
            inner = getattr(value, field.name)
            if isinstance(inner, str) and field.name.endswith("item"):
                yield inner
            yield from _named_in(inner)
