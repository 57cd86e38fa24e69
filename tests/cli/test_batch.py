"""`batch FILE`: the lines of HTTP on stdout, in order, as they come; exit 1 if one was refused."""

import json
import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import IO

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner, Result

from service.cli.app import app
from tests.given.quote_requests import level_wall, shipped_request

COMMAND = [sys.executable, "-m", "service", "batch"]
ONE = json.dumps(shipped_request(reference="one")).encode()
TWO = json.dumps(shipped_request(level_wall("20 ft"), reference="two")).encode()


def run(*arguments: str | Path, stdin: bytes | None = None) -> Result:
    """The command's outcome in a pipe."""
    return CliRunner().invoke(app, ["batch", *map(str, arguments)], input=stdin)


def test_batch_prints_what_http_answers(tmp_path: Path, client: TestClient) -> None:
    """The lines are those of HTTP; only the request id is empty."""
    body = b"\n".join([ONE, b"", b"{}", b"{", b"x" * 1_100_000, TWO])
    file = tmp_path / "jobs.ndjson"
    file.write_bytes(body)
    headers = {"Content-Type": "application/x-ndjson", "X-Request-ID": "X"}
    answer = client.post("/v1/quotes/batch", content=body, headers=headers).content
    done = run(file)
    assert done.stdout_bytes == answer.replace(b'"instance":"X"', b'"instance":""')
    assert done.exit_code == 1
    assert done.stderr == "3 of 5 requests were refused.\n"
    assert run("-", stdin=body).stdout_bytes == done.stdout_bytes


def test_batch_of_sound_requests_is_quiet() -> None:
    """In a pipe nothing but the lines is printed, and the exit code is 0."""
    done = run("-", stdin=ONE + b"\n\n" + TWO)
    assert (done.exit_code, done.stderr) == (0, "")
    one, two, end = map(json.loads, done.stdout.splitlines())
    assert (one["line"], one["reference"], two["line"], two["reference"]) == (1, "one", 3, "two")
    assert end == {"end": True, "lines": 2, "failed": 0}


@pytest.mark.parametrize("name", ["nowhere.ndjson", "."])
def test_batch_of_a_file_that_is_none_is_wrong_usage(tmp_path: Path, name: str) -> None:
    """A file that can't be opened is named on stderr, with exit code 2."""
    done = run(tmp_path / name)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "can't be read" in done.stderr


def test_batch_tells_when_reading_breaks_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stream that breaks has `aborted` in its last line and exit code 1."""

    def broken(*_arguments: object) -> object:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("service.cli.batch._lines", broken)
    done = run("-", stdin=ONE)
    assert done.exit_code == 1
    assert json.loads(done.stdout)["aborted"]["code"] == "internal-error"
    assert done.stderr == "The batch broke off: Input/output error\n"


def _pipe(stream: IO[bytes] | None) -> IO[bytes]:
    assert stream is not None
    return stream


def test_batch_answers_while_lines_still_arrive() -> None:
    """The answer to a line is there before the next line is written."""
    with subprocess.Popen([*COMMAND, "-"], stdin=-1, stdout=-1) as running:
        stdin, stdout = _pipe(running.stdin), _pipe(running.stdout)
        for reference, request in (("one", ONE), ("two", TWO)):
            stdin.write(request + b"\n")
            stdin.flush()
            assert json.loads(stdout.readline())["reference"] == reference
        stdin.close()
        assert json.loads(stdout.readline())["end"] is True
    assert running.returncode == 0


def test_batch_ends_when_nobody_reads_on() -> None:
    """A reader who has seen enough ends the command without a traceback."""
    with subprocess.Popen([*COMMAND, "-"], stdin=-1, stdout=-1, stderr=-1) as running:
        stdin, stdout = _pipe(running.stdin), _pipe(running.stdout)
        stdin.write(ONE + b"\n")
        stdin.flush()
        stdout.readline()
        stdout.close()
        _, said = running.communicate((TWO + b"\n") * 20, timeout=30)
    assert (running.returncode, said) == (1, b"")


def test_batch_shows_progress_on_a_terminal(tmp_path: Path) -> None:
    """Where stderr is a terminal it shows how many were answered; stdout holds the lines alone."""
    file = tmp_path / "jobs.ndjson"
    file.write_bytes(ONE + b"\n{}\n")
    ours, theirs = pty.openpty()
    try:
        environment = {**os.environ, "TERM": "xterm", "COLUMNS": "100"}
        done = subprocess.run(
            [*COMMAND, str(file)], stdout=-1, stderr=theirs, check=False, env=environment
        )
        shown = os.read(ours, 65_536)
    finally:
        os.close(ours)
        os.close(theirs)
    assert b"2 answered, 1 refused" in shown
    assert [json.loads(line).get("line") for line in done.stdout.splitlines()] == [1, 2, None]
