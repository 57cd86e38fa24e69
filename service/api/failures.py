"""Failures of the service: a log line says what kind and where, never the text of the error,
which may quote what a caller sent."""

from __future__ import annotations

import logging
import traceback

_log = logging.getLogger("service.api")


def log_failure(error: BaseException, request_id: str) -> None:
    """Log an error that nobody expected, under the id that its caller is told."""
    fields = {"request_id": request_id, "error_type": type(error).__name__, "where": _place(error)}
    _log.error("request failed", extra=fields)


def _place(error: BaseException) -> str:
    """Where an error came from: the last frames, innermost last."""
    frames = traceback.extract_tb(error.__traceback__)[-4:]
    return " > ".join(f"{frame.name}:{frame.lineno}" for frame in frames)
