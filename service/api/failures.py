"""Failures of the service: a log line says what kind and where, never the text of the error,
which may quote what a caller sent; of the database what is amiss with it."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from types import MappingProxyType

from service.calculators import CalculationFailedError, place_of
from service.storage import (
    StorageBehindError,
    StorageBusyError,
    StorageError,
    StorageForeignError,
    StorageFullError,
    StorageMovedError,
    StorageReadOnlyError,
)

_STORAGE: Mapping[type, str] = MappingProxyType(
    {
        StorageError: "storage-unavailable",
        StorageFullError: "storage-full",
        StorageBusyError: "storage-busy",
        StorageReadOnlyError: "storage-read-only",
        StorageMovedError: "storage-moved",
        StorageBehindError: "storage-behind",
        StorageForeignError: "storage-damaged",
    }
)
_log = logging.getLogger("service.api")


def log_failure(error: BaseException, request_id: str) -> None:
    """Log an error that nobody expected, under the id that its caller is told; of one in a process
    that calculates, what happened there."""
    kind, where = type(error).__name__, place_of(error)
    if isinstance(error, CalculationFailedError):
        kind, where = error.kind, error.where
    fields = {"request_id": request_id, "error_type": kind, "where": where}
    _log.error("request failed", extra=fields)


def log_storage_error(error: StorageError) -> str:
    """Log what is amiss with the database; its code."""
    code = next(_STORAGE[kind] for kind in type(error).__mro__ if kind in _STORAGE)
    _log.warning("the database: %s", error, extra={"code": code})
    return code
