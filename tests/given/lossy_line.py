"""A line to a PostgreSQL server on which the answers to some commits are lost.

The server has committed; whoever asked learns nothing but that the line is cut.
"""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

# The name that PostgreSQL's clients look for in the folder they are given as a host.
NAME = ".s.PGSQL.5432"
COMMIT = b"COMMIT\0"
PIECE = 65536


class LossyLine:
    """Carries connections from a socket in `folder` to that in `server`. Of the commits that pass,
    the answer to each `every`-th is thrown away, and its connection cut."""

    def __init__(self, server: Path, folder: Path, every: int) -> None:
        self.server, self.folder, self.every = server, folder, every
        self.commits = self.lost = 0
        self._lock = threading.Lock()

    @contextmanager
    def carrying(self) -> Iterator[LossyLine]:
        """Carry whatever comes, for as long as the block."""
        with closing(socket.socket(socket.AF_UNIX)) as listening:
            listening.bind(str(self.folder / NAME))
            listening.listen()
            threading.Thread(target=self._accept, args=(listening,), daemon=True).start()
            yield self
            with suppress(OSError):
                listening.shutdown(socket.SHUT_RDWR)

    def _accept(self, listening: socket.socket) -> None:
        with suppress(OSError):  # the end
            while True:
                near, _ = listening.accept()
                threading.Thread(target=self._carry, args=(near,), daemon=True).start()

    def _carry(self, near: socket.socket) -> None:
        """One connection, both ways, until either side or this one ends it."""
        far = socket.socket(socket.AF_UNIX)
        loses = threading.Event()
        with near, far, suppress(OSError):
            far.connect(str(self.server / NAME))
            back = threading.Thread(target=self._answer, args=(far, near, loses), daemon=True)
            back.start()
            while data := near.recv(PIECE):
                if COMMIT in data and self._is_lost():
                    loses.set()
                far.sendall(data)
            far.shutdown(socket.SHUT_WR)
            back.join()

    def _answer(self, far: socket.socket, near: socket.socket, loses: threading.Event) -> None:
        with suppress(OSError):
            while data := far.recv(PIECE):
                if loses.is_set():
                    break
                near.sendall(data)
        for side in (near, far):
            with suppress(OSError):
                side.shutdown(socket.SHUT_RDWR)

    def _is_lost(self) -> bool:
        with self._lock:
            self.commits += 1
            lost = self.commits % self.every == 0
            self.lost += lost
        return lost
