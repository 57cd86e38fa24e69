"""What the answer itself calls for and the total doesn't hold: the customer's list (rule 15.15).

Each entry names the field or table that would bring it in. What was left out on purpose is named
too, as just that.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

from service.core.closed_list import row_each
from service.core.ground.balance import Earthwork
from service.core.job.job import Job
from service.core.job.phase import Phase
from service.core.job.price_list import PriceList
from service.core.job.terms import Excluded, Needed
from service.core.price.cost_line import find_price
from service.core.takeoff.quantities import QuantityLine

_WORDS: Mapping[Excluded, str] = row_each(
    get_args(Excluded),
    {
        "permit": "the permit, and what comes with it",
        "engineering": "the engineer's work",
        "guard": "a guard at the top of the wall",
        "freight": "freight of the goods",
        "pallets": "deposits on pallets",
        "downspouts": "leading the downspouts above past the wall",
        "spring": "catching the spring and leading it away",
        "surface": "a new surface where the work has been: seed, sod or paving",
        "run": "the run from the drain to its outlet",
        "drainage": "drainage beyond what the wall itself holds",
    },
)
# What cautions of a place call for, by how their codes begin.
_CALLED_BY: Mapping[Needed, str] = {
    "permit": "permit-",
    "engineering": "engineer-",
    "guard": "guard-",
}
_SURFACE_PHASES: tuple[Phase, ...] = ("grade", "topsoil_and_sod")
LISTED: tuple[Needed, ...] = get_args(Needed)
# What goes by the goods and by who brings them.
OF_GOODS: tuple[Needed, ...] = ("freight", "pallets")
EXCLUDED = "/excluded"


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededItem:
    """Something that is needed and not in the total; `by` is what would bring it in."""

    what: Excluded
    by: str
    text: str


def needed_not_priced(
    job: Job,
    cautions: Sequence[str],
    earthwork: Earthwork | None,
    bought: Sequence[QuantityLine],
    prices: PriceList,
) -> tuple[NeededItem, ...]:
    """What the job calls for and nothing prices, then what was excluded, each once;
    `cautions` are the codes of those that hold."""
    called: dict[Needed, str] = dict(_by_goods(bought, prices))
    if not job.materials_only:
        called |= {**dict(_by_cautions(job, cautions)), **dict(_by_facts(job, earthwork))}
    words = {**_WORDS, **_words_of_goods(bought, prices)}
    held = {extra.what for extra in job.extras} | set(job.excluded)
    open_ = [what for what in LISTED if what in called and what not in held]
    return (
        *(
            NeededItem(what=what, by=called[what], text=f"Not included: {words[what]}.")
            for what in open_
        ),
        *(_excluded(what) for what in job.excluded),
    )


def goods_not_priced(
    bought: Sequence[QuantityLine], prices: PriceList, left_out: Collection[str | None]
) -> tuple[NeededItem, ...]:
    """Freight and deposits alone, as another price list leaves them open; `left_out` is what an
    extra covers or nobody wants."""
    words = {**_WORDS, **_words_of_goods(bought, prices)}
    return tuple(
        NeededItem(what=what, by=by, text=f"Not included: {words[what]}.")
        for what, by in _by_goods(bought, prices)
        if what not in left_out
    )


def run_is_open(job: Job) -> bool:
    """Whether a run of the drain is stated that nothing prices, and nobody left out on purpose."""
    stated = job.water is not None and job.water.run_m is not None and job.water.outlet != "none"
    return stated and not job.run_priced and not {"run", "drainage"} & set(job.excluded)


def _excluded(what: Excluded) -> NeededItem:
    text = f"Left out on purpose, not included: {_WORDS[what]}."
    return NeededItem(what=what, by=EXCLUDED, text=text)


def _by_cautions(job: Job, cautions: Sequence[str]) -> Iterator[tuple[Needed, str]]:
    """Permit, engineering and guard, where no sum of the terms is set aside for the caution."""
    sums = {each.caution for each in job.terms.allowances} if job.terms else set()
    settled = job.engineering.settled if job.engineering else None
    for what, begins in _CALLED_BY.items():
        if what == "engineering" and settled == "not_needed":
            continue
        codes = [code for code in cautions if code.startswith(begins)]
        if codes and not sums & set(codes):
            by_owner = what == "engineering" and settled == "by_owner"
            yield what, "/engineering" if by_owner else f"/terms/allowances/{codes[0]}"


def _by_facts(job: Job, earthwork: Earthwork | None) -> Iterator[tuple[Needed, str]]:
    """Downspouts and a spring that were stated, and ground that is dug and not covered again."""
    sums = {each.caution for each in job.terms.allowances} if job.terms else set()
    stated = {
        "downspouts": bool(job.water and job.water.downspouts_above),
        "spring": bool(job.site and "spring" in job.site.seen),
    }
    codes = {"downspouts": "downspouts-above", "spring": "seen-spring"}
    facts: tuple[Needed, ...] = ("downspouts", "spring")
    for what in facts:
        if stated[what] and what not in job.brought and codes[what] not in sums:
            yield what, f"/terms/brings/{what}"
    covered = any(entry.task.phase in _SURFACE_PHASES for entry in job.site_work)
    if earthwork is not None and not covered:
        yield "surface", "/site_work"


def _by_goods(bought: Sequence[QuantityLine], prices: PriceList) -> Iterator[tuple[Needed, str]]:
    """Freight, and deposits on pallets, of suppliers without delivery terms."""
    loose = _not_delivered(bought, prices)
    if loose:
        yield "freight", "price list: delivery"
    if any(_on_pallets(line) for line in loose):
        yield "pallets", "price list: delivery, pallet_deposit"


def _words_of_goods(bought: Sequence[QuantityLine], prices: PriceList) -> Mapping[Excluded, str]:
    """What isn't delivered, by name, where other goods are; else the words for all goods."""
    loose = _not_delivered(bought, prices)
    if len(loose) == len(_goods(bought)):
        return {}
    stacked = [line for line in loose if _on_pallets(line)]
    return {
        "freight": f"freight of {_named(loose)}",
        "pallets": f"deposits on the pallets of {_named(stacked)}",
    }


def _not_delivered(bought: Sequence[QuantityLine], prices: PriceList) -> Sequence[QuantityLine]:
    return [line for line in _goods(bought) if _supplier(line, prices) not in prices.delivery]


def _goods(bought: Sequence[QuantityLine]) -> Sequence[QuantityLine]:
    """Material that somebody has to bring; soil by the truck is priced as brought, and what is kept
    in stock is there."""
    material = [line for line in bought if line.kind == "material" and not line.stock]
    return [line for line in material if line.haulage is None]


def _on_pallets(line: QuantityLine) -> bool:
    return line.packs is not None and line.packs[1] == "pallet"


def _named(lines: Sequence[QuantityLine]) -> str:
    return "; ".join(line.description for line in lines)


def _supplier(line: QuantityLine, prices: PriceList) -> str | None:
    found = find_price(line.item, prices)
    return found.price.supplier if found else None
