"""Which folders make the catalog: installed packages of the entry-point group, the shipped one
among them, and folders that the settings name.

Plug-ins are data. Their entry point names a package folder; it is found through the import
system's path lookup, and none of their code runs.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

from service.core.errors import Fault

GROUP = "service.catalog"


@dataclass(frozen=True, slots=True)
class Discovery:
    """Folders, each once, and faults of plug-ins whose folder can't be found."""

    folders: tuple[Path, ...]
    faults: tuple[Fault, ...]


def discover(extra: Sequence[Path] = ()) -> Discovery:
    """Folders of installed packages in the order of their names, then `extra` as given."""
    folders: list[Path] = []
    faults: list[Fault] = []
    for point in sorted(entry_points(group=GROUP), key=lambda point: (point.value, point.name)):
        found = _folders_of(point)
        if isinstance(found, Fault):
            faults.append(found)
        else:
            folders += found
    return Discovery(_each_once([*folders, *extra]), tuple(faults))


def package_folders(package: str) -> tuple[Path, ...]:
    """Folders on disk of a dotted package name, without importing anything.

    The top-level package is looked up, the rest of the name is joined as folders; a package that
    is spread over several places has several folders.
    """
    top, *rest = package.split(".")
    try:
        spec = importlib.util.find_spec(top)
    except (ImportError, ValueError, AttributeError):
        return ()
    places = spec.submodule_search_locations if spec else None
    folders = [Path(place, *rest) for place in places or ()]
    return tuple(folder for folder in folders if folder.is_dir())


def _folders_of(point: EntryPoint) -> tuple[Path, ...] | Fault:
    name = f"plug-in {_owner(point)}"
    if not point.value.replace(".", "_").isidentifier():
        message = f'entry point "{point.name}" names "{point.value}", which is no package name'
        hint = 'the dotted name of a package folder, such as "my_walls.catalog"'
        return Fault(code="plug-in-broken", at=(name,), message=message, hint=hint)
    folders = package_folders(point.value)
    if not folders:
        message = (
            f'entry point "{point.name}" names the package "{point.value}", which has no folder'
        )
        hint = "install the plug-in again, or remove it"
        return Fault(code="plug-in-broken", at=(name,), message=message, hint=hint)
    return folders


def _owner(point: EntryPoint) -> str:
    return f"{point.dist.name} {point.dist.version}" if point.dist else point.name


def _each_once(folders: Iterable[Path]) -> tuple[Path, ...]:
    """The same folder named twice (installed and in the settings) is read once."""
    seen: dict[Path, Path] = {}
    for folder in folders:
        seen.setdefault(folder.resolve(), folder)
    return tuple(seen.values())
