"""What tests of the API share beside tests/given/: the application, its document, kept quotes."""

from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from service.api.app import api_document
from service.catalog import Catalog
from service.storage import Store
from tests.given.further_soils import add_soil
from tests.given.saved_quotes import Keeper
from tests.given.served import application


@pytest.fixture(scope="session")
def app(catalog: Catalog) -> FastAPI:
    """The application with default settings."""
    return application(catalog)


@pytest.fixture(scope="session")
def document() -> dict[str, Any]:
    """The OpenAPI document."""
    return api_document()


@pytest.fixture
def keeper(proof_catalog: Catalog, store: Store) -> Keeper:
    """A client over an empty store, on each database in turn."""
    return Keeper(proof_catalog, store)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A further catalog folder with one soil."""
    (tmp_path / "soils").mkdir()
    add_soil(tmp_path, "yard_clay")
    return tmp_path
