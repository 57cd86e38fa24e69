"""The table of operations: every row, found by its address."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from starlette.routing import compile_path

from service.api.bodies import MAX_BODY_BYTES
from service.api.operation import Form, Operation

# Under this name the front tells what is served at the address of a request.
PLACE = "service.place"
_LONGEST_PATH = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """An address, and what is served there by method. A body may have `most_bytes`."""

    path: str
    form: Form
    most_bytes: int
    operations: Mapping[str, Operation]


class Table:
    """All operations, in the order in which an address is looked for.

    Raises ValueError for two operations of one id or in one place, and for an address whose
    methods answer in different forms.
    """

    def __init__(self, operations: Iterable[Operation] = ()) -> None:
        self._operations = tuple(operations)
        ids = [operation.id for operation in self._operations]
        if len(set(ids)) < len(ids):
            raise ValueError("two operations have one id")
        self._places = _places(self._operations)
        self._plain = {place.path: place for place in self._places if "{" not in place.path}
        self._open = [
            (compile_path(place.path)[0], place) for place in self._places if "{" in place.path
        ]

    def __iter__(self) -> Iterator[Operation]:
        return iter(self._operations)

    def nearest(self, path: str) -> str | None:
        """The address in the document that is most like a path under which nothing stands."""
        known = {place.path for place in self._places if _told(place)}
        asked = path[:_LONGEST_PATH].rstrip("/")
        filled = {_like(place, asked): place for place in known}
        near = difflib.get_close_matches(asked, filled, 1)
        return filled[near[0]] if near else None

    def find(self, path: str) -> Place | None:
        """What is served at an address; None where nothing is."""
        if (plain := self._plain.get(path)) is not None:
            return plain
        return next((place for pattern, place in self._open if pattern.match(path)), None)


def _told(place: Place) -> bool:
    return any(operation.tag for operation in place.operations.values())


def _like(path: str, asked: str) -> str:
    """An address with its open parts as a path has them."""
    given = asked.split("/")
    parts = enumerate(path.split("/"))
    return "/".join(given[i] if "{" in part and i < len(given) else part for i, part in parts)


def _places(operations: Iterable[Operation]) -> list[Place]:
    at: dict[str, list[Operation]] = {}
    for operation in operations:
        at.setdefault(operation.path, []).append(operation)
    return [_place(path, here) for path, here in at.items()]


def _place(path: str, here: list[Operation]) -> Place:
    by_method: dict[str, Operation] = {operation.method: operation for operation in here}
    if len(by_method) < len(here) or len({operation.form for operation in here}) > 1:
        raise ValueError(f"{path}: its operations stand against each other")
    bounds = [operation.body.most_bytes for operation in here if operation.body is not None]
    return Place(
        path=path,
        form=here[0].form,
        most_bytes=max(bounds, default=MAX_BODY_BYTES),
        operations=MappingProxyType(by_method),
    )
