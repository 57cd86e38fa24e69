"""One catalog for the processes of a service that answer side by side.

It lies in a file that they share. Whoever reloads writes it anew, and every other process looks
before each request whether it has changed: who is told of a reload finds the new catalog wherever
the next request arrives.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from service.calculators import pack, unpack
from service.catalog import Catalog


class SharedCatalog:
    """The file with the catalog; its folder belongs to the processes alone."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._seen: tuple[int, int] | None = None

    def put(self, catalog: Catalog) -> None:
        """Put a catalog in the place of the one before, whole."""
        number, written = tempfile.mkstemp(dir=self._path.parent)
        with os.fdopen(number, "wb") as file:
            file.write(pack(catalog))
        Path(written).replace(self._path)

    def newer(self) -> Catalog | None:
        """The catalog, where it is another one than at the last look."""
        state = self._path.stat()
        found = (state.st_ino, state.st_mtime_ns)
        if found == self._seen:
            return None
        catalog: Catalog = unpack(self._path.read_bytes())
        self._seen = found
        return catalog
