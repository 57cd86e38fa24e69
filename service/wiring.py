"""From settings to what they name: the catalog and the database. Used by cli, jobs and api."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from service.catalog import Catalog, load_catalog
from service.settings import Settings

if TYPE_CHECKING:
    from service.sending.sealed import SecretBox
    from service.storage import Store


def settings_catalog(settings: Settings) -> Catalog:
    """The catalog of the shipped folder, plug-ins and the folders that the settings name.

    Raises CatalogInvalidError.
    """
    return load_catalog(settings.catalog_path)


def open_store(settings: Settings) -> Store:
    """The database that the settings name, as it is. Raises StorageUrlError."""
    from service.storage import Store  # noqa: PLC0415  its library is loaded with it

    return Store.open(
        settings.store_url(),
        unsafe=settings.database_unsafe,
        zone=ZoneInfo(settings.time_zone),
        event_days=settings.event_days,
    )


def existing_store(settings: Settings) -> Store | None:
    """The database, if there is one at head: makes none. Raises StorageError."""
    store = open_store(settings)
    return store if store.exists() and store.at_head() else None


def secret_box(settings: Settings, store: Store) -> SecretBox:
    """What seals the secrets that a database keeps, with the key in a file of its own."""
    from service.sending.sealed import SecretBox  # noqa: PLC0415  its library is loaded with it

    return SecretBox(settings.secrets_file(store.file()))
