"""A part of a request inside a catalog file: it is read where a request is made of it."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from service.fields import JsonObject, Reader, refused
from service.units import found

_EXAMPLE = {"back_slope": "3:1"}


@dataclass(frozen=True, slots=True)
class PartOfRequest(Reader):
    """A table as a request has it: texts, whole numbers, true and false, lists and tables."""

    def read(self, value: object) -> dict[str, Any]:
        """The table as it stands."""
        if not isinstance(value, Mapping):
            message = f"{found(value)} is no table"
            raise refused("wrong-type", message, 'such as { back_slope = "3:1" }')
        for each in _below(value):
            if not isinstance(each, str | int):
                message = f"{found(each)} is no text, whole number, true or false"
                raise refused("wrong-type", message, 'figures are text: "12.5"')
        return copy.deepcopy(dict(value))

    def write(self, value: Mapping[str, Any]) -> str:
        """The table, for messages."""
        return str(dict(value))

    def schema(self) -> JsonObject:
        """Any table."""
        return {
            "type": "object",
            "description": "A request part: its keys, as a request has them.",
            "examples": [_EXAMPLE],
        }


def _below(value: object) -> Iterator[object]:
    """The values of a table that are neither tables nor lists."""
    if isinstance(value, Mapping):
        for each in value.values():
            yield from _below(each)
    elif isinstance(value, list):
        for each in value:
            yield from _below(each)
    else:
        yield value


RequestPart = Annotated[Mapping[str, Any], PartOfRequest()]
