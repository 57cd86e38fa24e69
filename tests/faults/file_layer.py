"""The file layer under SQLite, looked at and made to fail: what is written, synced, cut, deleted.

SQLite's own interface for this is a VFS (its page *The SQLite OS Interface or "VFS"*). Here the
system's one is copied in the process, and four of its calls go through Python first: they are
noted, and may be refused. What SQLite locks and shares in memory stays as it is.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal

import pytest

Kind = Literal["write", "sync", "truncate", "delete", "told"]
# SQLite's result codes (its page *Result and Extended Result Codes*).
FULL: Final = 13
ERRORS: Final = {"write": 778, "sync": 1034, "truncate": 1546, "delete": 2570}

_INT, _LONG, _ANY = ctypes.c_int, ctypes.c_int64, ctypes.c_void_p
_OPEN = ctypes.CFUNCTYPE(_INT, _ANY, _ANY, _ANY, _INT, _ANY)
_DELETE = ctypes.CFUNCTYPE(_INT, _ANY, _ANY, _INT)
_WRITE = ctypes.CFUNCTYPE(_INT, _ANY, _ANY, _INT, _LONG)
_TRUNCATE = ctypes.CFUNCTYPE(_INT, _ANY, _LONG)
_SYNC = ctypes.CFUNCTYPE(_INT, _ANY, _INT)


class _Vfs(ctypes.Structure):
    _fields_ = (
        ("version", _INT),
        ("file_size", _INT),
        ("longest_path", _INT),
        ("next", _ANY),
        ("name", ctypes.c_char_p),
        ("data", _ANY),
        ("open", _OPEN),
        ("delete", _DELETE),
        ("others", _ANY * 13),
    )


class _Methods(ctypes.Structure):
    _fields_ = (
        ("version", _INT),
        ("close", _ANY),
        ("read", _ANY),
        ("write", _WRITE),
        ("truncate", _TRUNCATE),
        ("sync", _SYNC),
        ("others", _ANY * 13),
    )


@dataclass(frozen=True, slots=True)
class Step:
    """One call to a file, or a word to the caller: `data` is what was written or said, `at` where
    it begins, or the size that is left, or 1 where the folder is synced after a file is deleted."""

    kind: Kind
    name: str = ""
    at: int = 0
    data: bytes = b""


@dataclass(slots=True)
class FileLayer:
    """What SQLite did to the files of a folder. `refuse` is asked before each step: 0 lets it
    pass, another code of SQLite's is its outcome, and nothing is done."""

    folder: Path
    steps: list[Step] = field(default_factory=list)
    refuse: Callable[[Step], int] = lambda _step: 0

    def told(self, word: str) -> None:
        """Note what a caller was told just now."""
        self.steps.append(Step("told", data=word.encode("utf-8")))

    def answer(self, kind: Kind, path: Path, at: int = 0, data: bytes = b"") -> int:
        """Whether a step passes; then it is noted."""
        if path.parent != self.folder:
            return 0
        step = Step(kind, path.name, at, data)
        if code := self.refuse(step):
            return code
        self.steps.append(step)
        return 0


class _Wrapped:
    """The system's VFS with four calls replaced; made once, as open files keep on using it."""

    def __init__(self) -> None:
        self.layer = FileLayer(Path())
        self.library = ctypes.CDLL(ctypes.util.find_library("sqlite3"))
        self.library.sqlite3_vfs_find.restype = _ANY
        self.system = self.library.sqlite3_vfs_find(None)
        self.before = _Vfs.from_address(self.system)
        self.vfs = _Vfs.from_buffer_copy(self.before)
        self.vfs.next, self.vfs.name = None, b"noted"
        self.vfs.open, self.vfs.delete = _OPEN(self.open), _DELETE(self.delete)
        self.paths: dict[int, Path] = {}
        self.methods: dict[int, tuple[_Methods, _Methods]] = {}
        self.of_file: dict[int, _Methods] = {}

    def use(self, *, ours: bool) -> None:
        """Make this VFS, or the system's one, that of connections to come."""
        vfs = ctypes.byref(self.vfs) if ours else _ANY(self.system)
        assert self.library.sqlite3_vfs_register(vfs, 1) == 0

    def open(self, _vfs: int, name: int | None, file: int, flags: int, out: int | None) -> int:
        code: int = self.before.open(self.system, name, file, flags, out)
        address = ctypes.cast(file, ctypes.POINTER(_ANY))
        if code == 0 and name and address[0]:
            self.paths[file] = _path(name)
            system, noted = self._methods(address[0])
            self.of_file[file] = system
            address[0] = ctypes.addressof(noted)
        return code

    def _methods(self, address: int) -> tuple[_Methods, _Methods]:
        if address not in self.methods:
            system = _Methods.from_address(address)
            noted = _Methods.from_buffer_copy(system)
            noted.write, noted.sync = _WRITE(self.write), _SYNC(self.sync)
            noted.truncate = _TRUNCATE(self.truncate)
            self.methods[address] = (system, noted)
        return self.methods[address]

    def write(self, file: int, data: int, size: int, at: int) -> int:
        code = self.layer.answer("write", self.paths[file], at, ctypes.string_at(data, size))
        return code or self.of_file[file].write(file, data, size, at)

    def sync(self, file: int, flags: int) -> int:
        code = self.layer.answer("sync", self.paths[file])
        return code or self.of_file[file].sync(file, flags)

    def truncate(self, file: int, size: int) -> int:
        code = self.layer.answer("truncate", self.paths[file], size)
        return code or self.of_file[file].truncate(file, size)

    def delete(self, _vfs: int, name: int, folder: int) -> int:
        code = self.layer.answer("delete", _path(name), int(folder > 0))
        return code or self.before.delete(self.system, name, folder)


def _path(name: int) -> Path:
    return Path(ctypes.string_at(name).decode("utf-8"))


_MADE: list[_Wrapped] = []


@contextmanager
def noted_files(folder: Path) -> Iterator[FileLayer]:
    """Connections of this process that are opened in the block go through a layer of its own.

    Skips where Python's SQLite is not the shared library of the system.
    """
    if not _MADE:
        _MADE.append(_Wrapped())
    wrapped = _MADE[0]
    wrapped.layer = FileLayer(folder)
    wrapped.use(ours=True)
    try:
        _try(wrapped.layer, folder / "try.sqlite")
        yield wrapped.layer
    finally:
        wrapped.layer.refuse = lambda _step: 0
        wrapped.use(ours=False)


def _try(layer: FileLayer, file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE tried (a)")
    if not layer.steps:
        pytest.skip("Python's SQLite is built in and not the system's library: nothing is noted")
    layer.steps.clear()
    file.unlink()
