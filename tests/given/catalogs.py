"""Catalogs that tests read, each loaded once."""

from functools import cache

import pytest

from service.catalog import Catalog, load_catalog
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import PROOF_FILES
from tests.given.repricings import catalog_at


@cache
def shipped_catalog() -> Catalog:
    """The shipped catalog; for what has no fixtures."""
    return load_catalog(())


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    """The shipped catalog."""
    return shipped_catalog()


@pytest.fixture(scope="session")
def proof_catalog(tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    """The shipped catalog and the small one whose quotes are worked by hand."""
    return load_catalog([write_folder(tmp_path_factory.mktemp("proof"), PROOF_FILES)])


@pytest.fixture(scope="session")
def spring(tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    """The small catalog with its price list at revision 1."""
    return catalog_at(tmp_path_factory.mktemp("yard"), 1)


@pytest.fixture(scope="session")
def summer(tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    """Revision 2: every cost is 10 % higher."""
    return catalog_at(tmp_path_factory.mktemp("yard"), 2, "1.1")
