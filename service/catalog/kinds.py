"""The kinds of catalog entries: one row each. A new kind is a document, a row here and a typed
line in `registry.Catalog`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from service.catalog.documents import (
    CompanyDocument,
    HeadedDocument,
    JurisdictionDocument,
    LoadDocument,
    MaterialDocument,
    PriceListDocument,
    ProductionRatesDocument,
    ScreeningBasisDocument,
    SectionDocument,
    SiteWorkDocument,
    SoilDocument,
    TermsDocument,
    WallSystemDocument,
    WebsiteDocument,
    WhatIfDocument,
    YardstickDocument,
)


@dataclass(frozen=True, slots=True)
class Kind:
    """A sub-folder of the catalog, what one of its entries is called, and its document."""

    folder: str
    name: str
    document: type[HeadedDocument]


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        kind.folder: kind
        for kind in (
            Kind("wall_systems", "wall_system", WallSystemDocument),
            Kind("sections", "section", SectionDocument),
            Kind("soils", "soil", SoilDocument),
            Kind("materials", "material", MaterialDocument),
            Kind("production_rates", "production_rates", ProductionRatesDocument),
            Kind("site_work", "site_work", SiteWorkDocument),
            Kind("terms", "terms", TermsDocument),
            Kind("loads", "load", LoadDocument),
            Kind("jurisdictions", "jurisdiction", JurisdictionDocument),
            Kind("screening_bases", "screening_basis", ScreeningBasisDocument),
            Kind("price_lists", "price_list", PriceListDocument),
            Kind("what_ifs", "what_if", WhatIfDocument),
            Kind("companies", "company", CompanyDocument),
            Kind("websites", "website", WebsiteDocument),
            Kind("yardsticks", "yardstick", YardstickDocument),
        )
    }
)
