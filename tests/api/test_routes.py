"""Every route, whatever it does: methods it doesn't have, paths that are none."""

import pytest
from starlette.testclient import TestClient

from service.api.app import OPERATIONS
from tests.given.problem_checks import assert_problem

pytestmark = pytest.mark.no_cover  # others run the same lines

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "BREW")


def _paths() -> dict[str, set[str]]:
    """Every path with an id put in, and its methods."""
    paths: dict[str, set[str]] = {}
    for operation in OPERATIONS:
        path = operation.path.replace("{code}", "not-found").replace("{revision}", "latest")
        path = path.replace("{other}", "latest").replace("{file:path}", "favicon.png")
        path = path.replace("{id}", "demo_2026" if "price-lists" in path else "clay")
        paths.setdefault(path, set()).add(operation.method)
    return paths


def test_every_route_refuses_methods_it_does_not_have(client: TestClient) -> None:
    """Another method is 405, and `Allow` names those there are, HEAD wherever GET is."""
    paths = _paths()
    assert "/v1/soils" in paths
    for path, methods in paths.items():
        allowed = methods | ({"HEAD"} if "GET" in methods else set())
        for method in METHODS:
            if method in allowed:
                continue
            response = client.request(method, path)
            if method == "HEAD":
                assert response.status_code == 405
            else:
                assert_problem(response, 405, "method-not-allowed")
            assert response.headers["allow"] == ", ".join(sorted(allowed)), path


@pytest.mark.parametrize(
    "path",
    [
        "/v1",
        "/v1/",
        "/v1/soils/",
        "/v1/soils/clay/",
        "/v1/soils/a/b",
        "/v2/soils",
        "/v1/Soils",
        "/docs/",
        "/problems/no-such-code",
        "/static-offline-docs/../app.py",
        "/static-offline-docs/%2e%2e/core.py",
        "/static-offline-docs/nothing.js",
        "/%ff",
        "/%00",
        "//evil.example/",
    ],
)
def test_unknown_paths_are_not_found(client: TestClient, path: str) -> None:
    """What is no path of the service is 404, never a redirect."""
    response = client.get(f"http://127.0.0.1:8000{path}")
    assert_problem(response, 404, "not-found")
