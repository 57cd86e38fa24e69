"""Catalog folders on disk: which files they hold, and what stands in one, safely read."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from pathlib import Path as FilePath
from typing import Any

from service.catalog.kinds import KINDS, Kind
from service.core.errors import Fault, Path
from service.units import found

LARGEST_FILE_BYTES = 256 * 1024
DEEPEST = 16
# What a folder may hold besides the sub-folders of entries.
_BESIDE = ("schema", "__pycache__")
_BESIDE_ENTRIES = ("README.md", "__init__.py", "__pycache__")
# Pictures that entries of a kind name.
_PICTURES = {"companies": (".svg", ".png")}


@dataclass(frozen=True, slots=True)
class CatalogFile:
    """A file of a kind; `name` is how messages call it."""

    kind: Kind
    path: FilePath
    name: str


class FileUnreadableError(Exception):
    """A file can't be taken in; `fault` says why."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(fault.message)


def files_of(folder: FilePath) -> Iterator[CatalogFile | Fault]:
    """Entry files of a catalog folder, in order, and what has no place in it."""
    try:
        root = folder.resolve(strict=True)
        inside = sorted(folder.iterdir())
    except (OSError, RuntimeError, ValueError):
        yield _fault((str(folder),), "folder-missing", "is no folder that can be read")
        return
    for path in inside:
        if path.name in KINDS and path.is_dir():
            yield from _entries(path, KINDS[path.name], root)
        elif path.suffix == ".toml":
            hint = f"one of the folders {', '.join(KINDS)}"
            yield _fault((str(path),), "file-misplaced", "belongs in the folder of its kind", hint)
        elif path.is_dir() and path.name not in _BESIDE and not path.name.startswith("."):
            hint = f"known: {', '.join(KINDS)}"
            yield _fault((str(path),), "folder-unknown", "is no kind of catalog entry", hint)


def _entries(folder: FilePath, kind: Kind, root: FilePath) -> Iterator[CatalogFile | Fault]:
    try:
        inside = sorted(folder.iterdir())
    except OSError:
        yield _fault((str(folder),), "folder-missing", "is no folder that can be read")
        return
    for path in inside:
        if path.name in _BESIDE_ENTRIES or path.name.startswith(".") or path.name.endswith("~"):
            continue
        if path.suffix in _PICTURES.get(kind.folder, ()):
            continue
        if path.suffix != ".toml" or not path.is_file():
            hint = "one .toml file per entry, nothing else"
            yield _fault((str(path),), "file-unknown", "is no entry", hint)
        elif not path.resolve().is_relative_to(root):
            message = "is a link that leaves the catalog folder"
            yield _fault((str(path),), "file-outside", message, "a file of its own")
        else:
            yield CatalogFile(kind, path, str(path))


def read_file(file: CatalogFile) -> tuple[dict[str, Any], tuple[Fault, ...]]:
    """The tables of a file, and values in it that no entry may hold.

    Raises FileUnreadableError when it isn't TOML, is too large or can't be read.
    """
    try:
        with file.path.open("rb") as stream:
            data = stream.read(LARGEST_FILE_BYTES + 1)
        if len(data) > LARGEST_FILE_BYTES:
            raise FileUnreadableError(
                _fault((file.name,), "file-too-large", "is larger than 256 KiB")
            )
        tables = tomllib.loads(data.decode("utf-8"), parse_float=Decimal)
    except OSError as error:
        message = f"can't be read: {error.strerror or 'unknown reason'}"
        raise FileUnreadableError(_fault((file.name,), "file-unreadable", message)) from error
    except UnicodeDecodeError as error:
        message = f"is not UTF-8 text (byte {error.start})"
        raise FileUnreadableError(_fault((file.name,), "not-toml", message)) from error
    except ValueError as error:
        message = f"is not TOML: {_first_line(error)}"
        raise FileUnreadableError(_fault((file.name,), "not-toml", message)) from error
    except RecursionError as error:
        raise FileUnreadableError(_too_deep((file.name,))) from error
    return tables, tuple(_unfit(file.name, tables))


def json_form(value: object) -> Any:  # noqa: ANN401  JSON is any of its types
    """A TOML value as JSON has it: dates as text, decimals as plain text."""
    if isinstance(value, Mapping):
        return {key: json_form(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [json_form(entry) for entry in value]
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if isinstance(value, (date, time)) else value


def with_text_dates(value: object) -> Any:  # noqa: ANN401
    """A TOML value with its dates as text, which documents read."""
    if isinstance(value, Mapping):
        return {key: with_text_dates(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [with_text_dates(entry) for entry in value]
    return value.isoformat() if isinstance(value, (date, time)) else value


def _unfit(name: str, tables: Mapping[str, Any]) -> Iterator[Fault]:
    """Numbers that aren't finite, NUL characters, tables in tables without end.

    Walks with a list, not by recursion: a dotted key may nest thousands of tables.
    """
    waiting: list[tuple[Path, object]] = [((name,), tables)]
    while waiting:
        at, value = waiting.pop(0)
        if isinstance(value, (Mapping, list)):
            if len(at) > DEEPEST:
                yield _too_deep(at[:2])
                return
            waiting += [((*at, key), entry) for key, entry in _below(value)]
        elif isinstance(value, Decimal) and not value.is_finite():
            yield _fault(at, "not-finite", f"{found(value)} is not a finite number")
        if "\0" in str(at[-1]) or (isinstance(value, str) and "\0" in value):
            yield _fault(at, "text-invalid", "holds a NUL character")


def _below(value: Mapping[str, object] | list[object]) -> Iterable[tuple[str | int, object]]:
    return value.items() if isinstance(value, Mapping) else enumerate(value)


def _first_line(error: Exception) -> str:
    line = (str(error).splitlines() or ["unknown reason"])[0][:200]
    return line if line.isprintable() else ascii(line)


def _too_deep(at: Path) -> Fault:
    return _fault(at, "nested-too-deep", "nests tables or lists too deeply")


def _fault(at: Path, code: str, message: str, hint: str | None = None) -> Fault:
    return Fault(code=code, at=at, message=message, hint=hint)
