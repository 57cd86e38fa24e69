"""What commands find."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

from service import cli, wiring
from service.catalog import Catalog, load_catalog
from tests.given.catalogs import shipped_catalog

# Each command is loaded by whoever calls it first, which may be a test that isn't traced.
for each in iter_modules(cli.__path__):
    import_module(f"{cli.__name__}.{each.name}")


@pytest.fixture(autouse=True)
def _shipped_catalog_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A command that names no further folder finds the catalog that was read for others: reading
    it takes longer than most commands. Commands in processes of their own read it themselves."""

    def load(extra: Sequence[Path] = ()) -> Catalog:
        return load_catalog(extra) if extra else shipped_catalog()

    monkeypatch.setattr(wiring, "load_catalog", load)
