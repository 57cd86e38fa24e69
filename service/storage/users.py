"""Who is at a database now: it is closed after them, not under them."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from service.storage.errors import StorageGoneError


class Users:
    """Counts who uses a database, in any thread, until it is closed."""

    def __init__(self) -> None:
        self._inside = 0
        self._closed = False
        self._left = threading.Condition()

    @contextmanager
    def one(self) -> Iterator[None]:
        """One more for as long as the block. Raises StorageGoneError once it is closed."""
        with self._left:
            if self._closed:
                raise StorageGoneError("the database was closed")
            self._inside += 1
        try:
            yield
        finally:
            with self._left:
                self._inside -= 1
                self._left.notify_all()

    def close(self, seconds: float) -> None:
        """Let nobody in any more, and wait so long at most until all have left."""
        with self._left:
            self._closed = True
            self._left.wait_for(lambda: self._inside == 0, seconds)
