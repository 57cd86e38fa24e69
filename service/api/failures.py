"""Failures of the service: a log line says what kind and where, never the text of the error,
which may quote what a caller sent."""

from __future__ import annotations

import logging

from service.calculators import CalculationFailedError, place_of

_log = logging.getLogger("service.api")


def log_failure(error: BaseException, request_id: str) -> None:
    """Log an error that nobody expected, under the id that its caller is told; of one in a process
    that calculates, what happened there."""
    kind, where = type(error).__name__, place_of(error)
    if isinstance(error, CalculationFailedError):
        kind, where = error.kind, error.where
    fields = {"request_id": request_id, "error_type": kind, "where": where}
    _log.error("request failed", extra=fields)
