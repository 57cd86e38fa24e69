"""Logs: one JSON object a line, allowed fields only."""

import io
import json
import logging
import random
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.cli.logs import configure_logs, formatter

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


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


HOSTILE = (
    '\n\r\x00\x0b\x1b[2J\x7f\x85\u2028\u2029\u202e\ud800\udbff"\\\\%s%d%(a)s{0}{x!r}\U0001f9f1'
)


def hostile_text(chance: random.Random) -> str:
    """What breaks lines, terminals, quotes and placeholders, in any order."""
    return "".join(chance.choices(HOSTILE, k=chance.randrange(1, 40)))


def test_logs_are_lines_whatever_is_put_in(root_logger: logging.Logger) -> None:
    """Of 100,000 hostile texts each is one line that is read back the same; what stood beside it
    in fields that are none of a log, in a traceback, or in an argument too many, is in none."""
    configure_logs("info")
    written = io.StringIO()
    (handler,) = root_logger.handlers
    assert isinstance(handler, logging.StreamHandler)
    handler.setStream(written)
    chance = random.Random(4711)  # noqa: S311  the same texts each time
    texts = [hostile_text(chance) for _ in range(100_000)]
    log = logging.getLogger("service.access")
    for number, text in enumerate(texts):
        secret = {"authorization": f"secret-4711{text}", "body": f"secret-4711{text}"}
        log.info("request", extra={"route": text, "ms": number, **secret})
        if number % 1000 == 0:
            log.info("%d", "secret-4711")
            failed = ValueError(f"secret-4711{text}")
            log.error("failed", exc_info=(ValueError, failed, None), stack_info=True)
    lines = [json.loads(line) for line in written.getvalue().split("\n")[:-1]]
    assert len(written.getvalue().splitlines()) == len(lines) == 100_100
    assert [line["route"] for line in lines if "route" in line] == texts
    assert "secret-4711" not in written.getvalue()


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
