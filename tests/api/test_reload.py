"""The reload: all or nothing."""

import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import load_catalog
from service.settings import Settings
from tests.given.further_soils import add_soil
from tests.given.problem_checks import assert_problem
from tests.given.repricings import yard
from tests.given.served import BASE_URL


@pytest.fixture
def client(folder: Path) -> TestClient:
    """An application over the shipped catalog and the further folder."""
    settings = Settings.model_construct(catalog_path=(folder,))
    app = create_app(settings, load_catalog(settings.catalog_path))
    return TestClient(app, base_url=BASE_URL)


@pytest.mark.no_cover  # others run the same lines
def test_reload_takes_in_what_was_added(client: TestClient, folder: Path) -> None:
    """After a reload new entries answer, and the catalog has another version."""
    before = client.get("/health/ready").json()["catalog"]
    add_soil(folder, "yard_loam")
    answer = client.post("/v1/catalog/reload")
    assert answer.status_code == 200
    assert answer.json()["version"] != before["version"]
    assert answer.json()["counts"]["soils"] == before["counts"]["soils"] + 1
    assert client.get("/v1/soils/yard_loam").status_code == 200
    assert client.get("/health/ready").json()["catalog"] == answer.json()


def test_reload_with_faults_changes_nothing(client: TestClient, folder: Path) -> None:
    """With any fault in any file the old catalog stays whole, good new files included."""
    before = client.get("/health/ready").json()
    add_soil(folder, "yard_loam")
    broken = add_soil(folder, "yard_sand")
    broken.write_text(broken.read_text(encoding="utf-8").replace("deg", "degrees"), "utf-8")
    (folder / "soils" / "no_toml.toml").write_text("= nothing", encoding="utf-8")
    problem = assert_problem(client.post("/v1/catalog/reload"), 422, "catalog-invalid")
    named = " ".join(entry["pointer"] for entry in problem["errors"])
    assert "yard_sand.toml" in named
    assert "no_toml.toml" in named
    assert client.get("/health/ready").json() == before
    assert client.get("/v1/soils/yard_loam").status_code == 404
    assert client.get("/v1/soils/yard_clay").status_code == 200


@pytest.mark.no_cover  # others run the same lines
def test_reload_repeats_to_the_same(client: TestClient) -> None:
    """Nothing changed on disk, nothing changes here."""
    first = client.post("/v1/catalog/reload").json()
    assert client.post("/v1/catalog/reload", json={}).json() == first


def test_reload_refuses_other_prices_under_the_same_revision(folder: Path) -> None:
    """A file whose prices change without a new revision is refused, the catalog stays; with the
    next number it is taken."""
    (folder / "price_lists").mkdir()
    (folder / "price_lists" / "yard.toml").write_text(yard(1), "utf-8")
    settings = Settings.model_construct(catalog_path=(folder,))
    app = create_app(settings, load_catalog(settings.catalog_path))
    client = TestClient(app, base_url=BASE_URL)
    (folder / "price_lists" / "yard.toml").write_text(yard(1, "1.1"), "utf-8")
    problem = assert_problem(client.post("/v1/catalog/reload"), 422, "catalog-invalid")
    (fault,) = problem["errors"]
    assert (fault["code"], fault["hint"]) == ("revision-changed", "revision = 2")
    assert fault["pointer"].endswith("yard.toml/revision")
    (folder / "price_lists" / "yard.toml").write_text(yard(2, "1.1"), "utf-8")
    assert client.post("/v1/catalog/reload").status_code == 200


@pytest.mark.no_cover  # others run the same lines
def test_reload_drops_what_was_removed(client: TestClient, folder: Path) -> None:
    """An entry whose file is gone is gone after the reload, not before."""
    shutil.rmtree(folder / "soils")
    assert client.get("/v1/soils/yard_clay").status_code == 200
    assert client.post("/v1/catalog/reload").status_code == 200
    assert client.get("/v1/soils/yard_clay").status_code == 404
