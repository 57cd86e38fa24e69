"""What catalog files may hold: one document per kind, and the bodies that requests share.

Each document is strict, publishes its JSON Schema and turns itself into a core object.
"""

from service.catalog.documents.company import Company, CompanyDocument
from service.catalog.documents.currency import (
    CurrencyCode,
    currencies_of,
    is_currency,
    minor_places,
)
from service.catalog.documents.entry import EntryDocument, HeadedDocument, Source
from service.catalog.documents.jurisdiction import JurisdictionDocument
from service.catalog.documents.load import LoadDocument
from service.catalog.documents.material import MaterialDocument
from service.catalog.documents.price_list import (
    DeliveryBody,
    ItemPriceBody,
    PricedPer,
    PriceListBody,
    PriceListDocument,
    RevisionBody,
)
from service.catalog.documents.production_rates import ProductionRatesDocument, RatesBody
from service.catalog.documents.screening_basis import ScreeningBasisDocument
from service.catalog.documents.section import SectionDocument
from service.catalog.documents.site_work import SiteWorkDocument
from service.catalog.documents.soil import SoilDocument
from service.catalog.documents.terms import TermsBody, TermsDocument
from service.catalog.documents.wall_system import WallSystemDocument
from service.catalog.documents.website import Website, WebsiteDocument
from service.catalog.documents.what_if import WhatIf, WhatIfDocument
from service.catalog.documents.yardstick import YardstickDocument

__all__ = [
    "Company",
    "CompanyDocument",
    "CurrencyCode",
    "DeliveryBody",
    "EntryDocument",
    "HeadedDocument",
    "ItemPriceBody",
    "JurisdictionDocument",
    "LoadDocument",
    "MaterialDocument",
    "PriceListBody",
    "PriceListDocument",
    "PricedPer",
    "ProductionRatesDocument",
    "RatesBody",
    "RevisionBody",
    "ScreeningBasisDocument",
    "SectionDocument",
    "SiteWorkDocument",
    "SoilDocument",
    "Source",
    "TermsBody",
    "TermsDocument",
    "WallSystemDocument",
    "Website",
    "WebsiteDocument",
    "WhatIf",
    "WhatIfDocument",
    "YardstickDocument",
    "currencies_of",
    "is_currency",
    "minor_places",
]
