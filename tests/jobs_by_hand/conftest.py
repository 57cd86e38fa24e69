"""The client that posts the jobs; each job's page of hand arithmetic stands in its own module."""

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from tests.given.served import client_over


@pytest.fixture(scope="package")
def client(catalog: Catalog) -> Iterator[TestClient]:
    """A client of a service over the shipped catalog."""
    with client_over(catalog) as client:
        yield client
