"""Catalogs that operations are tried on."""

import pytest

from service.catalog import Catalog
from tests.given.screened import sets_catalog


@pytest.fixture(scope="session")
def sets() -> Catalog:
    """The shipped catalog and the stacks, soils and sheets of the constructed sets."""
    return sets_catalog()
