"""Logs: one JSON object a line, allowed fields only."""

import json
import logging
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.cli.logs import configure_logs, formatter


def line(message: str, **extra: object) -> str:
    """The line that a record becomes."""
    record = logging.makeLogRecord(
        {"name": "service.api", "levelno": logging.INFO, "levelname": "INFO", "msg": message}
        | extra
    )
    return formatter().format(record)


def test_formatter_keeps_allowed_fields_alone() -> None:
    """What is not on the list stays out, whoever put it into the record."""
    text = line("request", request_id="a1", status=200, body="secret-4711", customer="secret-4711")
    fields = json.loads(text)
    assert list(fields) == ["timestamp", "level", "logger", "event", "request_id", "status"]
    assert "secret-4711" not in text


def test_formatter_leaves_tracebacks_out() -> None:
    """A traceback quotes values, so it stays out."""
    try:
        raise ValueError("secret-4711")
    except ValueError as error:
        info = (type(error), error, error.__traceback__)
    assert "secret-4711" not in line("failed", exc_info=info, exc_text="secret-4711")


@given(st.text())
def test_formatter_writes_one_line(text: str) -> None:
    """Whatever a field holds, a record is one line of ASCII that is read back the same."""
    written = line("request", route=text)
    assert written.isascii()
    assert len(written.splitlines()) == 1
    assert json.loads(written)["route"] == text


@pytest.fixture
def root_logger() -> Iterator[logging.Logger]:
    """The root logger, put back as it was."""
    root = logging.getLogger()
    handlers, level, raising = root.handlers[:], root.level, logging.raiseExceptions
    yield root
    root.handlers[:] = handlers
    root.setLevel(level)
    logging.raiseExceptions = raising


def test_configure_logs_writes_to_stderr(
    root_logger: logging.Logger, capsys: pytest.CaptureFixture[str]
) -> None:
    """Records of the level and above go to stderr; a broken record says nothing."""
    configure_logs("warning")
    root_logger.info("quiet")
    root_logger.warning("loud")
    root_logger.warning("%d", "secret-4711")
    captured = capsys.readouterr()
    assert captured.out == ""
    assert [json.loads(text)["event"] for text in captured.err.splitlines()] == ["loud"]
