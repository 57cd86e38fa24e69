"""The catalog as it is shipped, without what else is installed."""

import pytest

from service.catalog import Catalog
from service.catalog.loader import read_catalog
from service.catalog.schemas import shipped_folder


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    """The shipped catalog alone."""
    return read_catalog([shipped_folder()])
