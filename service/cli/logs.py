"""Logs of a running service: one JSON object a line, on stderr, fields by an allow list.

Whatever a library puts into a record besides these fields, tracebacks included, stays out, so
that nothing a caller sent can reach the log. `ensure_ascii` keeps a line one line.
"""

from __future__ import annotations

import json
import logging
import sys

import structlog

FIELDS = ("request_id", "method", "route", "status", "caller", "ms", "error_type", "where")


def configure_logs(level: str) -> None:
    """Send all records of `level` and above to stderr as JSON lines."""
    logging.raiseExceptions = False  # else a broken record prints itself, arguments included
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(formatter())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(level.upper())
    # It tells of every look at the tables.
    logging.getLogger("alembic").setLevel(logging.WARNING)


def formatter() -> logging.Formatter:
    """Records as JSON lines."""
    return structlog.stdlib.ProcessorFormatter(
        foreign_pre_chain=[
            structlog.stdlib.add_log_level,
            structlog.stdlib.add_logger_name,
            structlog.stdlib.ExtraAdder(allow=FIELDS),
            structlog.processors.TimeStamper(fmt="iso", utc=True),
        ],
        processors=[_allowed, structlog.processors.JSONRenderer(serializer=_line)],
        keep_exc_info=False,
        keep_stack_info=False,
    )


def _allowed(
    _logger: object,
    _name: str,
    event: structlog.typing.EventDict,
) -> structlog.typing.EventDict:
    """Only the fields of the list, in its order."""
    names = ("timestamp", "level", "logger", "event", *FIELDS)
    return {name: event[name] for name in names if event.get(name) is not None}


def _line(event: object, **_options: object) -> str:
    return json.dumps(event, ensure_ascii=True, default=str)
