"""The catalog: wall systems, sections, soils, prices and the rest, read from TOML files."""

from service.catalog.documents import (
    CurrencyCode,
    DeliveryBody,
    ItemPriceBody,
    PricedPer,
    PriceListBody,
    RatesBody,
    RevisionBody,
    TermsBody,
    currencies_of,
    is_currency,
    minor_places,
)
from service.catalog.errors import CatalogInvalidError, line_of
from service.catalog.loader import load_catalog, read_catalog
from service.catalog.registry import Catalog, CoreEntry, Entry
from service.catalog.schemas import document_schema

__all__ = [
    "Catalog",
    "CatalogInvalidError",
    "CoreEntry",
    "CurrencyCode",
    "DeliveryBody",
    "Entry",
    "ItemPriceBody",
    "PriceListBody",
    "PricedPer",
    "RatesBody",
    "RevisionBody",
    "TermsBody",
    "currencies_of",
    "document_schema",
    "is_currency",
    "line_of",
    "load_catalog",
    "minor_places",
    "read_catalog",
]
