"""Places in a request as its JSON has it: found, and filled where nothing stands.

A place is a JSON pointer (RFC 6901) of plain keys, in which `*` is any place of a list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

ANY = "*"
Indexes = tuple[int, ...]


def parts_of(place: str) -> list[str]:
    """The keys and places of lists on the way."""
    return place.removeprefix("/").split("/")


def indexes_of(document: object, place: str) -> Iterator[Indexes]:
    """What stands for each `*` of a place, for all that a document has; beyond the last `*`
    nothing needs to be there."""
    head, star, _ = place.rpartition(ANY)
    yield from _indexes(document, [*parts_of(head)[:-1], ANY] if star else [], ())


def _indexes(node: object, parts: Sequence[str], found: Indexes) -> Iterator[Indexes]:
    if not parts:
        yield found
    elif parts[0] == ANY:
        for index, entry in enumerate(node if isinstance(node, list) else ()):
            yield from _indexes(entry, parts[1:], (*found, index))
    elif (below := _below(node, parts[0])) is not None:
        yield from _indexes(below, parts[1:], found)


def filled(place: str, indexes: Indexes) -> str:
    """The place with its first `*` as indexes."""
    for index in indexes:
        place = place.replace(ANY, str(index), 1)
    return place


def stands(document: object, place: str) -> bool:
    """Whether anything is at a place."""
    node: object = document
    for part in parts_of(place):
        node = _below(node, part)
    return node is not None


def filling(document: object, place: str, value: object) -> tuple[str, Any]:
    """Path and value of what has to be added (RFC 6902): an object on the way that is missing
    comes with it."""
    parts = parts_of(place)
    node: object = document
    for count, part in enumerate(parts[:-1]):
        node = _below(node, part)
        if node is None:
            for key in reversed(parts[count + 1 :]):
                value = {key: value}
            return f"/{'/'.join(parts[: count + 1])}", value
    return place, value


def with_added(document: object, path: str, value: object) -> Any:  # noqa: ANN401  as JSON has it
    """The document with a value at a path; the document itself stays as it is."""
    return _with(document, parts_of(path), value)


def _with(node: Any, parts: Sequence[str], value: object) -> Any:  # noqa: ANN401
    if not parts:
        return value
    first, *rest = parts
    if isinstance(node, list):
        index = int(first)
        return [*node[:index], _with(node[index], rest, value), *node[index + 1 :]]
    return {**node, first: _with(node.get(first), rest, value)}


def _below(node: object, part: str) -> object:
    """What stands one step on; None for nothing."""
    if isinstance(node, Mapping):
        return node.get(part)
    if isinstance(node, list) and part.isdecimal() and int(part) < len(node):
        return node[int(part)]
    return None
