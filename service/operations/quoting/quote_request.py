"""A quote request: what a caller may send, and how it becomes a Job."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import Annotated, Literal, get_args

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator
from pydantic import ValidatorFunctionWrapHandler as Handler
from pydantic_core import InitErrorDetails

from service.catalog import (
    Catalog,
    TermsBody,
)
from service.catalog.documents.price_list import MOST_REVISION
from service.core.closed_list import row_each
from service.core.errors import QuoteFaultsError
from service.core.job.terms import Excluded, Extra, Kind, Needed
from service.fields import (
    Id,
    IsoDate,
    ListOf,
    MoneyText,
    NonNegativeLength,
    PositiveLength,
    ShortText,
    StrictModel,
    by_shape,
    refused,
)
from service.operations.prices.stored_prices import NamedList, StoredPrices
from service.operations.quoting.access_request import AccessRequest
from service.operations.quoting.engineering_request import EngineeringRequest
from service.operations.quoting.grading_request import MOST_AREAS, GradingRequest, default_area_name
from service.operations.quoting.keys_elsewhere import say_what_is_known
from service.operations.quoting.known_ids import (
    JurisdictionId,
    SectionId,
    SoilId,
    TermsId,
    WallSystemId,
    is_id,
)
from service.operations.quoting.prices_request import PricesRequest
from service.operations.quoting.rates_request import MachinesOff, RatesOrId
from service.operations.quoting.screening_request import ScreeningRequest
from service.operations.quoting.site_request import SiteRequest, WaterRequest
from service.operations.quoting.site_work_request import MOST_ENTRIES, SiteWorkRequest
from service.operations.quoting.tier_request import MOST_TIERS, TierRequest, check_tiers
from service.operations.quoting.wall_request import WallRequest
from service.operations.quoting.wrapper import WRAPPER, check_wrapper
from service.operations.ruled import M, merged, read_document

MOST_WALLS = 50


class SoilsRequest(StrictModel):
    """Soils by their place; the other two default to the retained soil."""

    retained: SoilId | None = None
    foundation: SoilId | None = None
    fill: SoilId | None = None


class TopsoilRequest(StrictModel):
    """Topsoil is stripped over all ground that is cut or filled, kept apart, and put back."""

    strip: PositiveLength
    replace: NonNegativeLength


class ExtraRequest(StrictModel):
    """A cost that is added as it stands."""

    description: ShortText
    kind: Kind
    cost: MoneyText
    for_: Needed | None = Field(
        None, alias="for", description="The need that it covers, where it covers one."
    )


TermsOrId = Annotated[
    Annotated[TermsId, Tag("text")] | Annotated[TermsBody, Tag("object")], Discriminator(by_shape)
]

LevelsAre = Literal["elevation", "rod"]
_ROD: Mapping[LevelsAre, bool] = row_each(get_args(LevelsAre), {"elevation": False, "rod": True})


class QuoteRequest(StrictModel):
    """Walls, the catalog entries they are built with, prices and terms."""

    title: ShortText | None = None
    reference: ShortText | None = None
    units: Literal["us", "metric"] = Field(description="The unit set of the answer.")
    issued_on: IsoDate | None = Field(None, description="Date on the quote; there is no clock.")
    levels_are: LevelsAre = Field(
        "elevation", description="With `rod` every level is a rod reading: larger is lower."
    )
    materials_only: bool = Field(False, description="Quote material alone, and say so.")
    wall_system: WallSystemId
    section: SectionId
    soils: SoilsRequest = Field(default_factory=SoilsRequest)
    jurisdiction: JurisdictionId = "plain"
    screening: ScreeningRequest = Field(default_factory=ScreeningRequest)
    what_if: bool = Field(
        False,
        description="Say what another plausible value of each assumption would change of the "
        "total, and price what would pass where a check fails. Not of a quote that is kept.",
    )
    topsoil: TopsoilRequest | None = None
    grading: ListOf[GradingRequest] = Field((), strict=False, max_length=MOST_AREAS)
    site_work: ListOf[SiteWorkRequest] = Field((), strict=False, max_length=MOST_ENTRIES)
    access: AccessRequest | None = None
    machines_off: MachinesOff = ()
    water: WaterRequest | None = None
    site: SiteRequest | None = None
    walls: ListOf[WallRequest] = Field(strict=False, min_length=1, max_length=MOST_WALLS)
    engineering: EngineeringRequest | None = None
    tiers: ListOf[TierRequest] = Field(
        (), strict=False, max_length=MOST_TIERS, description="Walls one above the other."
    )
    rates: RatesOrId | None = None
    conditions: dict[Id, Id] = Field(default_factory=dict, max_length=20)
    prices: PricesRequest
    extras: ListOf[ExtraRequest] = Field((), strict=False, max_length=100)
    terms: TermsOrId | None = None
    excluded: tuple[Excluded, ...] = Field(
        (),
        strict=False,
        max_length=len(get_args(Needed)) + 1,
        description="What is left out on purpose: named as not included.",
    )

    @field_validator("walls", mode="wrap")
    @classmethod
    def _names_differ(cls, value: object, handler: Handler) -> tuple[WallRequest, ...]:
        """No two walls have one name; a wall without one is called by its place."""
        twice = list(_twice(value, default_name, "wall"))
        walls: tuple[WallRequest, ...] = merged(lambda: handler(value), twice)
        return walls

    @field_validator("tiers")
    @classmethod
    def _tiers_are_walls(
        cls, value: tuple[TierRequest, ...], info: ValidationInfo
    ) -> tuple[TierRequest, ...]:
        """Tiers name walls of the request, each pair once, and never go in a circle."""
        walls: tuple[WallRequest, ...] | None = info.data.get("walls")
        if walls is not None:
            check_tiers(value, names_of(walls))
        return value

    @field_validator("grading", mode="wrap")
    @classmethod
    def _areas_differ(cls, value: object, handler: Handler) -> tuple[GradingRequest, ...]:
        """No two areas have one name either."""
        twice = list(_twice(value, default_area_name, "area"))
        areas: tuple[GradingRequest, ...] = merged(lambda: handler(value), twice)
        return areas

    def wall_names(self) -> tuple[str, ...]:
        """Names of the walls, given or by place."""
        return names_of(self.walls)

    def are_rods(self) -> bool:
        """Whether levels are rod readings."""
        return _ROD[self.levels_are]


def names_of(walls: Sequence[WallRequest]) -> tuple[str, ...]:
    """Names of walls, given or by place."""
    return tuple(wall.name or default_name(i) for i, wall in enumerate(walls))


def default_name(index: int) -> str:
    """What a wall without a name is called."""
    return f"wall-{index + 1}"


def _twice(value: object, called: Callable[[int], str], what: str) -> Iterator[InitErrorDetails]:
    """Names that stand twice in a list, as it came."""
    seen: dict[str, int] = {}
    listed: Sequence[object] = value if isinstance(value, list) else ()
    for index, entry in enumerate(listed):
        name = entry.get("name", called(index)) if isinstance(entry, Mapping) else None
        if not isinstance(name, str):
            continue
        if name in seen:
            message = f"{what}s {seen[name] + 1} and {index + 1} are both called {name[:80]!r}"
            fault = refused("wall-name-twice", message, f"a name of its own for each {what}")
            yield InitErrorDetails(type=fault, loc=(index, "name"), input=None)
        seen.setdefault(name, index)


def read_request(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> QuoteRequest:
    """Read a quote request. Raises QuoteFaultsError with every fault of one pass."""
    return read_named(QuoteRequest, document, catalog, stored)


def read_named(
    model: type[M], document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> M:
    """Read a request that holds walls; keys whose meaning is known are refused by name."""
    check_wrapper(document, wrapped=WRAPPER in model.model_fields)
    try:
        return read_document(model, document, catalog, prices=stored)
    except QuoteFaultsError as error:
        raise QuoteFaultsError(map(say_what_is_known, error.faults)) from None


def names_stored_list(document: object, catalog: Catalog) -> bool:
    """Whether a request names a price list that is not in the catalog, so that only the database
    can tell; the request need not be sound."""
    return stored_list_named(document, catalog) is not None


def stored_list_named(document: object, catalog: Catalog) -> NamedList | None:
    """The price list that only the database can tell of, if a request names one. Of a revision
    that is none the newest is named: the request is refused in any case."""
    quote = document.get("quote", document) if isinstance(document, Mapping) else None
    prices = quote.get("prices") if isinstance(quote, Mapping) else None
    named = prices.get("price_list") if isinstance(prices, Mapping) else None
    if not isinstance(named, str) or named in catalog.price_lists or not is_id(named):
        return None
    revision = prices.get("revision") if isinstance(prices, Mapping) else None
    is_number = type(revision) is int and 1 <= revision <= MOST_REVISION
    return NamedList(list_id=named, revision=revision if is_number else None)


def extras_to_core(extras: Collection[ExtraRequest]) -> tuple[Extra, ...]:
    """The core's extras."""
    return tuple(
        Extra(description=extra.description, kind=extra.kind, cost=extra.cost, what=extra.for_)
        for extra in extras
    )
