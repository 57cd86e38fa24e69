"""Where catalog folders come from: installed packages, found without running them, and settings."""

from __future__ import annotations

import shutil
import subprocess
import sys
from importlib.metadata import PathDistribution
from pathlib import Path

import pytest

from service.catalog import CatalogInvalidError, load_catalog
from service.catalog.discovery import discover, package_folders
from service.catalog.schemas import shipped_folder
from tests.given.catalog_files import write_folder

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "tests" / "plugin_example"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of installed packages with the example plug-in in it, built from a copy."""
    copy = shutil.copytree(EXAMPLE, tmp_path_factory.mktemp("source") / "plugin_example")
    target = tmp_path_factory.mktemp("site")
    options = ["--no-build-isolation", "--no-deps", "--no-index", "--no-compile", "--quiet"]
    command = [sys.executable, "-m", "pip", "install", *options, "--target", str(target), str(copy)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return target


def write_plug_in(site: Path, value: str) -> Path:
    """An installed distribution with an entry point and nothing behind it."""
    return write_folder(
        site,
        {
            "broken_walls-2.0.dist-info/METADATA": (
                "Metadata-Version: 2.1\nName: broken-walls\nVersion: 2.0\n"
            ),
            "broken_walls-2.0.dist-info/entry_points.txt": f"[service.catalog]\nmine = {value}\n",
        },
    )


def test_discover_finds_the_shipped_catalog() -> None:
    """The shipped catalog enters by the same door as a plug-in: as the package service_catalog."""
    assert package_folders("service_catalog") == (shipped_folder(),)
    assert discover().folders == (shipped_folder(),)
    assert shipped_folder().resolve() == ROOT / "catalog"


def test_load_catalog_reads_an_installed_plug_in(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An installed package adds its entries to the shipped ones, and none of its code runs."""
    monkeypatch.syspath_prepend(str(site))
    catalog = load_catalog()
    assert catalog.wall_systems["plugin_6in"].core.standard.item == "plugin_6in"
    pack = catalog.materials["plugin_6in"].core.pack
    assert pack is not None
    assert (pack.word, pack.content_si) == ("pallet", 48)
    assert "terrace_8in" in catalog.wall_systems
    assert "invented_walls" not in sys.modules


def test_discover_follows_the_installed_files(site: Path) -> None:
    """The plug-in's wheel carries its files and its entry point."""
    distribution = PathDistribution(site / "invented_walls-1.0.dist-info")
    points = [(point.group, point.value) for point in distribution.entry_points]
    assert points == [("service.catalog", "invented_walls.catalog")]
    installed = sorted(path.name for path in site.rglob("*.toml"))
    assert installed == sorted(path.name for path in (EXAMPLE / "invented_walls").rglob("*.toml"))


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("gone_walls.catalog", 'names the package "gone_walls.catalog", which has no folder'),
        ("json.nowhere", 'names the package "json.nowhere", which has no folder'),
        ("my-walls", 'names "my-walls", which is no package name'),
        ("walls:folder", 'names "walls:folder", which is no package name'),
    ],
)
def test_load_catalog_names_a_broken_plug_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, value: str, said: str
) -> None:
    """A plug-in that can't be read is named, with its version and what to do."""
    monkeypatch.syspath_prepend(str(write_plug_in(tmp_path, value)))
    with pytest.raises(CatalogInvalidError) as caught:
        load_catalog()
    assert f'plug-in broken-walls 2.0: entry point "mine" {said} (' in str(caught.value)
    assert [(fault.code, fault.at) for fault in caught.value.faults] == [
        ("plug-in-broken", ("plug-in broken-walls 2.0",))
    ]


def test_discover_reads_a_folder_once(tmp_path: Path) -> None:
    """A folder that comes by two ways is read once: its ids are not taken twice."""
    link = tmp_path / "link"
    link.symlink_to(shipped_folder())
    assert discover([shipped_folder(), link]).folders == (shipped_folder(),)
    assert load_catalog([link]).version == load_catalog().version


def test_discover_keeps_the_settings_folders_last(tmp_path: Path) -> None:
    """Folders of the settings come after installed ones, in the order they are named."""
    one, two = tmp_path / "one", tmp_path / "two"
    assert discover([two, one]).folders == (shipped_folder(), two, one)
