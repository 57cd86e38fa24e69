"""What is installed is what is in the folders."""

import re
import shutil
import subprocess
import sys
import tomllib
from importlib.metadata import entry_points
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parent.parent
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
FOLDERS: dict[str, str] = PROJECT["tool"]["setuptools"]["package-dir"]


def packages_on_disk() -> list[str]:
    """Return the packages that the folders hold: each root, and each folder with code."""
    found = set(FOLDERS)
    for package, folder in FOLDERS.items():
        for file in (ROOT / folder).rglob("*.py"):
            found.add(".".join((package, *file.parent.relative_to(ROOT / folder).parts)))
    return sorted(found)


def files_to_install() -> list[str]:
    """Return the path, in a wheel, of every file of the installed folders."""
    return sorted(
        Path(package, file.relative_to(ROOT / folder)).as_posix()
        for package, folder in FOLDERS.items()
        for file in (ROOT / folder).rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a wheel built from a copy of the checkout, so that nothing is left in it."""
    copy = tmp_path_factory.mktemp("checkout")
    for name in (*FOLDERS.values(), ".licenses"):
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, copy / name)
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", "dist"]
    built = subprocess.run(command, cwd=copy, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stdout + built.stderr
    return next((copy / "dist").glob("*.whl"))


def test_packages_are_the_folders_on_disk() -> None:
    """The list of packages in pyproject.toml names each folder with code, and no other."""
    assert sorted(PROJECT["tool"]["setuptools"]["packages"]) == packages_on_disk()


def test_wheel_carries_every_file(wheel: Path) -> None:
    """Catalog, migrations and OpenAPI folders travel with the code, whole."""
    carried = [name for name in ZipFile(wheel).namelist() if ".dist-info/" not in name]
    assert sorted(carried) == files_to_install()


def test_wheel_carries_the_license(wheel: Path) -> None:
    """The license named in the metadata is in the wheel, with its text."""
    names = ZipFile(wheel).namelist()
    assert [name for name in names if name.endswith("LICENSE")]
    metadata = next(name for name in names if name.endswith(".dist-info/METADATA"))
    assert "License-Expression: Apache-2.0" in ZipFile(wheel).read(metadata).decode("utf-8")


def test_wheel_shows_the_catalog_folder(wheel: Path, tmp_path: Path) -> None:
    """Installed from a wheel, the catalog's folder is found without importing anything."""
    ZipFile(wheel).extractall(tmp_path)
    code = (
        "import sys; from importlib.util import find_spec; sys.path.insert(0, sys.argv[1]);"
        "print(*find_spec('service_catalog').submodule_search_locations)"
    )
    command = [sys.executable, "-I", "-S", "-c", code, str(tmp_path)]
    answer = subprocess.run(command, capture_output=True, text=True, check=True)
    assert Path(answer.stdout.strip()) == tmp_path / "service_catalog"


@pytest.mark.parametrize(("package", "folder"), sorted(FOLDERS.items()))
def test_packages_are_found_in_a_checkout(package: str, folder: str) -> None:
    """Installed for development, each package is the folder of the checkout."""
    spec = find_spec(package)
    assert spec is not None
    assert str(ROOT / folder) in list(spec.submodule_search_locations or ())


def test_shipped_catalog_enters_by_the_plug_in_door() -> None:
    """The shipped catalog is one entry among those of the plug-in group."""
    names = {entry.name: entry.value for entry in entry_points(group="service.catalog")}
    assert names["shipped"] == "service_catalog"


def test_hooks_fetch_nothing() -> None:
    """Commit hooks use the project's own tools: no remote repository is named."""
    text = (ROOT / ".pre-commit-config.yaml").read_text(encoding="utf-8")
    assert set(re.findall(r"repo: (\S+)", text)) == {"local"}
