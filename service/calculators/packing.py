"""Objects as bytes, on their way to a process that calculates."""

from __future__ import annotations

import copyreg
import io
import pickle
from collections.abc import Callable
from types import MappingProxyType
from typing import Any


def pack(value: object) -> bytes:
    """An object as bytes; read-only mappings, of which a catalog is full, stay read-only."""
    packed = io.BytesIO()
    packer = pickle.Pickler(packed, protocol=pickle.HIGHEST_PROTOCOL)
    packer.dispatch_table = {**copyreg.dispatch_table, MappingProxyType: _reduce}
    packer.dump(value)
    return packed.getvalue()


def unpack(packed: bytes) -> Any:  # noqa: ANN401  (whatever it was)
    """The object again. For bytes of this service alone: it runs what they name."""
    return pickle.loads(packed)  # noqa: S301  (the parent made them)


def _read_only(entries: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(entries)


def _reduce(mapping: MappingProxyType[Any, Any]) -> tuple[Callable[..., Any], tuple[Any]]:
    return _read_only, (dict(mapping),)
