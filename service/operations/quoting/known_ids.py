"""Ids of catalog entries in a request, checked while it is read, so that an unknown one is
reported beside every other fault. The catalog travels in the validation context."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
    WrapValidator,
)
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.fields import ID_PATTERN, FaultCount, id_text, refused
from service.operations.prices.stored_prices import StoredPrices
from service.operations.ruled import own
from service.units import found

# Words of one document that are held against all entries of a kind: about half a millisecond each.
MOST_COMPARED: Final = 20

_ID = re.compile(ID_PATTERN, re.ASCII)
UNKNOWN: Mapping[str, tuple[str, str]] = {
    "wall_systems": ("unknown-wall-system", "wall system"),
    "sections": ("unknown-section", "section"),
    "soils": ("unknown-soil", "soil"),
    "loads": ("unknown-load", "load"),
    "jurisdictions": ("unknown-jurisdiction", "jurisdiction"),
    "production_rates": ("unknown-production-rates", "set of production rates"),
    "site_work": ("unknown-site-work", "task of site work"),
    "terms": ("unknown-terms", "set of terms"),
    "price_lists": ("unknown-price-list", "price list"),
}


# Where what the catalog doesn't have goes.
_ELSEWHERE = {"site_work": "what the catalog has no task for goes into `extras`, with its price"}


def is_id(text: str) -> bool:
    """Whether a text can be an id."""
    return _ID.fullmatch(text) is not None


class KnownId:
    """Validator: the id of an entry of one kind (`wall_systems`, `sections` ...)."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def __call__(
        self, value: object, read: ValidatorFunctionWrapHandler, info: ValidationInfo
    ) -> str:
        """The id, if the catalog has it; else `unknown-<kind>`, or `id-invalid` for what can't be
        one, with the nearest one."""
        catalog = catalog_of(info)
        if isinstance(value, str) and not _ID.fullmatch(value):
            near = _nearest(info, self.kind, value)
            if near:
                raise refused("id-invalid", f"{found(value)} is not an id", f"did you mean {near}?")
        id_: str = read(value)
        if id_ in getattr(catalog, self.kind):
            return id_
        raise unknown(info, self.kind, id_)


def known_price_list(value: str, info: ValidationInfo) -> str:
    """The id of a price list of the catalog or, where they are at hand, of the database."""
    catalog, stored = catalog_of(info), (info.context or {}).get("prices")
    if value in catalog.price_lists:
        return value
    if not isinstance(stored, StoredPrices):
        raise unknown(info, "price_lists", value)
    if stored.latest(value) is None:
        message = f"there is no price list {value!r} in the catalog or the database"
        hint = stored.nearest(catalog, value)
        raise own("unknown-price-list", {"message": message, "hint": hint, "at": ()})
    return value


def unknown(info: ValidationInfo, kind: str, value: str) -> PydanticCustomError:
    """The fault for an id that the catalog doesn't have."""
    code, words = UNKNOWN[kind]
    context = {
        "message": f"there is no {words} {value!r} in the catalog",
        "hint": _nearest(info, kind, value) or _ELSEWHERE.get(kind),
        "at": (),
    }
    return own(code, context)


def _nearest(info: ValidationInfo, kind: str, value: str) -> str | None:
    """The entries that may be meant, for the first such words of a document."""
    count: FaultCount = (info.context or {}).get("faults") or FaultCount()
    count.compared += 1
    return catalog_of(info).nearest(kind, value) if count.compared <= MOST_COMPARED else None


def catalog_of(info: ValidationInfo) -> Catalog:
    """The catalog against which a request is read."""
    context: Mapping[str, Any] = info.context or {}
    catalog: Catalog = context["catalog"]
    return catalog


WallSystemId = Annotated[str, id_text("terrace_8in"), WrapValidator(KnownId("wall_systems"))]
SectionId = Annotated[str, id_text("plain_gravity"), WrapValidator(KnownId("sections"))]
SoilId = Annotated[str, id_text("loam"), WrapValidator(KnownId("soils"))]
LoadId = Annotated[str, id_text("driveway"), WrapValidator(KnownId("loads"))]
JurisdictionId = Annotated[str, id_text("plain"), WrapValidator(KnownId("jurisdictions"))]
RatesId = Annotated[str, id_text("small_crew"), WrapValidator(KnownId("production_rates"))]
SiteTaskId = Annotated[str, id_text("strip_sod"), WrapValidator(KnownId("site_work"))]
TermsId = Annotated[str, id_text("standard"), WrapValidator(KnownId("terms"))]
PriceListId = Annotated[str, id_text("demo_2026"), AfterValidator(known_price_list)]
