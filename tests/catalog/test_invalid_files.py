"""Files with mistakes, each beside what is said about it. A file dropped here adds a test;
its codes stand in `test_invalid_codes.py`."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from service.catalog import CatalogInvalidError, read_catalog
from service.catalog.kinds import KINDS

INVALID = Path(__file__).parent / "invalid"
FILES = sorted(INVALID.rglob("*.toml"))


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("file", FILES, ids=[f"{f.parent.name}-{f.stem}" for f in FILES])
def test_read_catalog_says_what_is_wrong(file: Path, tmp_path: Path) -> None:
    """Each mistake is told with its file, its key, what was found and what would be right."""
    folder = tmp_path / file.parent.name
    folder.mkdir()
    shutil.copy(file, folder)
    with pytest.raises(CatalogInvalidError) as caught:
        read_catalog([tmp_path])
    expected = file.with_suffix(".expected.txt").read_text(encoding="utf-8")
    assert f"{caught.value}\n".replace(f"{folder}/", "") == expected


def test_invalid_files_have_twins() -> None:
    """Each invalid file has its expected message, each message its file, each kind an example."""
    twins = sorted(path.with_suffix("").with_suffix("") for path in INVALID.rglob("*.expected.txt"))
    assert twins == [file.with_suffix("") for file in FILES]
    assert {file.parent.name for file in FILES} == set(KINDS)
