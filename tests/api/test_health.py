"""Health: the process lives; the service can answer, and from which catalog."""

from starlette.testclient import TestClient

from service.catalog import Catalog


def test_live_answers_without_looking_at_anything(client: TestClient) -> None:
    """As long as the process runs it is live."""
    response = client.get("/health/live")
    assert (response.status_code, response.json()) == (200, {"status": "live"})
    assert response.headers["content-type"] == "application/json"


def test_ready_names_the_catalog(client: TestClient, catalog: Catalog) -> None:
    """Ready reports the version of the catalog and how much of each kind was loaded."""
    answer = client.get("/health/ready").json()
    assert answer["status"] == "ready"
    assert answer["catalog"]["version"] == catalog.version
    assert answer["catalog"]["counts"]["wall_systems"] == len(catalog.wall_systems)
