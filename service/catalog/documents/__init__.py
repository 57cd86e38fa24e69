"""What catalog files may hold: one document per kind, and the bodies that requests share.

Each document is strict, publishes its JSON Schema and turns itself into a core object.
"""

from service.catalog.documents.currency import CurrencyCode, minor_places
from service.catalog.documents.entry import EntryDocument, HeadedDocument, Source
from service.catalog.documents.jurisdiction import JurisdictionDocument
from service.catalog.documents.material import MaterialDocument
from service.catalog.documents.price_list import (
    ItemPriceBody,
    PricedPer,
    PriceListBody,
    PriceListDocument,
)
from service.catalog.documents.production_rates import ProductionRatesDocument, RatesBody
from service.catalog.documents.section import SectionDocument
from service.catalog.documents.site_work import SiteWorkDocument
from service.catalog.documents.soil import SoilDocument
from service.catalog.documents.terms import TermsBody, TermsDocument
from service.catalog.documents.wall_system import WallSystemDocument

__all__ = [
    "CurrencyCode",
    "EntryDocument",
    "HeadedDocument",
    "ItemPriceBody",
    "JurisdictionDocument",
    "MaterialDocument",
    "PriceListBody",
    "PriceListDocument",
    "PricedPer",
    "ProductionRatesDocument",
    "RatesBody",
    "SectionDocument",
    "SiteWorkDocument",
    "SoilDocument",
    "Source",
    "TermsBody",
    "TermsDocument",
    "WallSystemDocument",
    "minor_places",
]
