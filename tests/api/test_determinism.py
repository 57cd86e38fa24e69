"""The same request gives the same bytes: again, over HTTP, and in processes set up differently."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.given.cells import cells, elsewhere
from tests.given.counts import count_of
from tests.given.quote_requests import Json, level_wall, shipped_request, straight

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work
SETTINGS = cells(count_of("CELLS", 3))


def full_request() -> Json:
    """Two walls with a curve, a corner, a step, labor, terms, extras; names beyond ASCII."""
    corner = {"kind": "corner", "side": "outside", "angle": "90 deg"}
    curve = {"kind": "curve", "side": "outside", "radius": "20 ft", "angle": "45 deg"}
    plan = [straight("24 ft"), curve, straight("5 ft"), corner, straight("10 ft")]
    sloped: Json = {
        "name": "Einfahrt, größere Mauer",
        "plan": plan,
        "profile": [
            {"station": "0 ft", "top": "4 ft", "front_grade": "0 ft"},
            {"station": "end", "top": "4 ft", "front_grade": "2 ft"},
        ],
        "ends": {"start": "against_structure", "finish": "finished"},
        "surcharge": "50 psf",
    }
    return shipped_request(
        sloped,
        level_wall("33 ft", "3 ft", name="oben"),
        title="Ufer – ⅔",
        issued_on="2026-05-04",
        rates="small_crew",
        conditions={"layout": "curved", "access_ease": "wheelbarrow"},
        terms="standard",
        extras=[{"description": "Permit", "kind": "fee", "cost": "120.00"}],
        prices={
            "price_list": "demo_2026",
            "overrides": {"terrace_8in": {"unit_cost": "7.10", "per": "each", "note": "€"}},
        },
    )


def printed(path: Path, settings: dict[str, str]) -> bytes:
    """What `quote --json` prints in a process of its own."""
    done = elsewhere(settings, "service", "quote", str(path), "--json")
    assert done.returncode == 0, done.stderr.decode("utf-8", "replace")
    return done.stdout


@pytest.fixture(scope="module")
def request_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The full request in a file."""
    path = tmp_path_factory.mktemp("request") / "request.json"
    path.write_bytes(json.dumps(full_request(), ensure_ascii=False).encode("utf-8"))
    return path


def test_the_same_request_twice_gives_the_same_bytes(client: TestClient) -> None:
    """A second answer is the first one, byte for byte."""
    first = client.post("/v1/quotes", json=full_request())
    second = client.post("/v1/quotes", json=full_request())
    assert first.status_code == 200, first.text
    assert first.content == second.content


def test_the_order_of_keys_in_a_request_changes_nothing(client: TestClient) -> None:
    """JSON objects have no order."""
    turned = json.loads(
        json.dumps(full_request()), object_pairs_hook=lambda pairs: dict(reversed(pairs))
    )
    first = client.post("/v1/quotes", json=full_request())
    assert client.post("/v1/quotes", json=turned).content == first.content


def test_processes_set_up_differently_give_the_bytes_of_http(
    client: TestClient, request_file: Path
) -> None:
    """Neither hash seed, time zone nor locale shows in an answer, nor how it was asked for."""
    over_http = client.post("/v1/quotes", json=full_request()).content
    answers = [printed(request_file, settings).rstrip(b"\n") for settings in SETTINGS]
    assert answers == [over_http] * len(SETTINGS)


def test_comparisons_give_the_same_bytes(client: TestClient) -> None:
    """Options and heights are found the same way each time."""
    body = {
        "quote": full_request(),
        "alternatives": [{"section": "deep_pad"}, {"wall_system": "garden_6in"}],
        "heights_that_fit": True,
    }
    first = client.post("/v1/comparisons", json=body)
    assert first.status_code == 200, first.text
    assert client.post("/v1/comparisons", json=body).content == first.content
