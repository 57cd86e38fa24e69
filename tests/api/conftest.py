"""The application over the shipped catalog, and a client that speaks to it as to a loopback one."""

from collections.abc import Iterator
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from service.api.app import api_document, create_app
from service.catalog import Catalog, load_catalog
from service.settings import Settings
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import PROOF_FILES

pytest.register_assert_rewrite("tests.given.problem_checks", "tests.given.quote_checks")

BASE_URL = "http://127.0.0.1:8000"


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    """The shipped catalog."""
    return load_catalog(())


@pytest.fixture(scope="session")
def app(catalog: Catalog) -> FastAPI:
    """The application with default settings."""
    return create_app(Settings.model_construct(), catalog)


@pytest.fixture(scope="session")
def client(app: FastAPI) -> Iterator[TestClient]:
    """A client on this machine."""
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


@pytest.fixture(scope="session")
def proof_catalog(tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    """The shipped catalog and the small one whose quotes are worked by hand."""
    return load_catalog([write_folder(tmp_path_factory.mktemp("proof"), PROOF_FILES)])


@pytest.fixture(scope="session")
def proof(proof_catalog: Catalog) -> Iterator[TestClient]:
    """A client of an application over that catalog."""
    app = create_app(Settings.model_construct(), proof_catalog)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


@pytest.fixture(scope="session")
def document() -> dict[str, Any]:
    """The OpenAPI document."""
    return api_document()
