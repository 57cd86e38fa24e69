"""`serve`: loopback only until there are keys, the strict parser, an orderly end."""

import contextlib
import http.client
import json
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest
import uvicorn
from typer.testing import CliRunner

from service.api.app import create_app
from service.cli.app import app
from service.cli.server import run, server_config
from service.settings import Settings
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.catalogs import shipped_catalog
from tests.given.service_process import running_service, running_workers

ADDRESS = re.compile(r"Answering at http://127\.0\.0\.1:([0-9]+) ")


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.20", "office.lan", ""])  # noqa: S104
def test_serve_refuses_any_address_but_loopback(host: str) -> None:
    """Without keys nobody else may reach the service: usage error, with the reason."""
    result = CliRunner().invoke(app, ["serve", "--host", host])
    assert result.exit_code == 2
    assert "no keys" in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize(("host", "own"), [("0.0.0.0", "127.0.0.1"), ("::", "[::1]")])  # noqa: S104
def test_serve_tells_an_address_that_browsers_open(
    host: str, own: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All addresses of a machine are none to look at: there it is the machine's own."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    store = Store.open(url)
    store.migrate()
    new_key(store, "admin")
    store.close()
    monkeypatch.setenv("SERVICE_DATABASE_URL", url)
    monkeypatch.setattr("service.cli.serve.run", lambda _server: None)
    result = CliRunner().invoke(app, ["serve", "--host", host, "--port", "8123", "--workers", "1"])
    assert f"Look at it: http://{own}:8123/ " in result.stderr


def test_threads_let_the_event_loop_go_on_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a server runs, a thread that reads something large gives way after a millisecond."""
    usual, found = sys.getswitchinterval(), [0.0] * 0
    monkeypatch.setattr("service.cli.server.gc.freeze", lambda: None)

    class Told:
        def run(self, _sockets: object) -> None:
            found.append(sys.getswitchinterval())

    try:
        run(cast("uvicorn.Server", Told()))
    finally:
        sys.setswitchinterval(usual)
    assert found == [pytest.approx(0.001)]


def test_serve_refuses_a_wrong_setting(monkeypatch: pytest.MonkeyPatch) -> None:
    """A setting that can't be meant ends the command with its name."""
    monkeypatch.setenv("SERVICE_LOG_LEVEL", "loud")
    result = CliRunner().invoke(app, ["serve"])
    assert result.exit_code == 2
    assert "SERVICE_LOG_LEVEL" in result.stderr


def test_serve_refuses_a_broken_catalog(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A catalog with faults is not served: every fault on stderr, exit code 1."""
    (tmp_path / "soils").mkdir()
    (tmp_path / "soils" / "mud.toml").write_text("= 1", encoding="utf-8")
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(tmp_path))
    monkeypatch.setenv("SERVICE_NO_SUCH_SETTING", "1")
    result = CliRunner().invoke(app, ["serve"])
    assert result.exit_code == 1
    assert "mud.toml" in result.stderr
    assert "SERVICE_NO_SUCH_SETTING is not a setting" in result.stderr


def test_server_config_is_strict() -> None:
    """Small heads, the pure parser, no trust in what a caller says about its own address."""
    settings = Settings.model_construct(graceful_seconds=7)
    config = server_config(create_app(settings, shipped_catalog()), "127.0.0.1", 8000, settings)
    assert config.h11_max_incomplete_event_size == 16384
    assert (config.proxy_headers, config.server_header, config.access_log) == (False, False, False)
    assert (config.timeout_graceful_shutdown, config.timeout_keep_alive) == (7, 15)


@pytest.fixture(scope="module")
def process() -> Iterator[tuple[subprocess.Popen[str], int]]:
    """The service as its own process on a free port."""
    with running_service(SERVICE_ACCESS_LOG="true") as running:
        yield running


def _raw(port: int, data: bytes) -> bytes:
    """What the service answers to bytes, until it closes or has nothing more to say."""
    with socket.create_connection(("127.0.0.1", port), timeout=5) as connection:
        answer = b""
        connection.settimeout(1)
        with contextlib.suppress(TimeoutError, ConnectionError):
            connection.sendall(data)
            while chunk := connection.recv(65536):
                answer += chunk
        return answer


@pytest.mark.no_cover  # others run the same lines
def test_serve_answers_and_ends_in_order(process: tuple[subprocess.Popen[str], int]) -> None:
    """A real process answers, refuses hostile heads, and ends when asked to."""
    running, port = process
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    connection.request("GET", "/health/ready")
    assert json.loads(connection.getresponse().read())["status"] == "ready"
    connection.request("HEAD", "/v1/soils")
    assert connection.getresponse().read() == b""
    # A caller who sends 2 MB and reads afterwards gets the answer, and may go on.
    connection.request(
        "POST", "/v1/catalog/reload", b" " * 2_000_000, {"Content-Type": "application/json"}
    )
    refused = connection.getresponse()
    assert (refused.status, json.loads(refused.read())["code"]) == (413, "body-too-large")
    connection.request("GET", "/health/live")
    assert connection.getresponse().read() == b'{"status":"live"}'
    connection.close()
    # Bytes that were not read yet may turn the refusal into a broken connection.
    head = b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 100_000 + b"\r\n\r\n"
    assert _raw(port, head)[9:12] in {b"431", b"400", b""}
    no_host = _raw(port, b"GET /v1/soils HTTP/1.0\r\n\r\n")
    assert no_host.startswith(b"HTTP/1.1 403")
    both = (
        b"POST /v1/catalog/reload HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\n"
        b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n"
    )
    assert _raw(port, both).startswith(b"HTTP/1.1 400")
    running.send_signal(signal.SIGTERM)
    out, err = running.communicate(timeout=20)
    assert out == ""
    first, *rest = err.splitlines()
    assert ADDRESS.match(first)
    records = [json.loads(text) for text in rest]
    assert {"/health/ready", "/v1/soils"} <= {record.get("route") for record in records}
    assert all("Traceback" not in json.dumps(record) for record in records)


@pytest.mark.no_cover  # others run the same lines
def test_serve_scratch_throws_its_database_away(tmp_path: Path) -> None:
    """With --scratch quotes are kept in an empty database, which is gone at the end; that of the
    settings isn't touched."""
    own, temporary = tmp_path / "own.sqlite", tmp_path / "temporary"
    temporary.mkdir()
    with running_workers(
        1, "--scratch", SERVICE_DATABASE_URL=f"sqlite:///{own}", TMPDIR=str(temporary)
    ) as (process, port):
        kept = list(temporary.glob("quotes-*/scratch.sqlite"))
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        with contextlib.closing(connection):
            connection.request("GET", "/v1/saved-quotes")
            assert json.load(connection.getresponse())["items"] == []
        assert len(kept) == 1
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=30)
    assert not kept[0].parent.exists()
    assert not own.exists()


@pytest.mark.no_cover  # others run the same lines
def test_serve_listens_anywhere_once_there_are_keys(tmp_path: Path) -> None:
    """With a key every address may be listened on: another address of the machine answers whoever
    shows it, and nobody else."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    store = Store.open(url)
    store.migrate()
    key = new_key(store, "field")[1]
    store.close()
    with running_workers(
        1,
        *("--host", "0.0.0.0"),  # noqa: S104  that it may is the test
        log=subprocess.DEVNULL,
        SERVICE_DATABASE_URL=url,
    ) as (_, port):
        for headers, expected in ((bearer(key), 200), ({}, 401)):
            call = http.client.HTTPConnection("127.0.0.2", port, timeout=20)
            call.request("GET", "/v1/soils", headers=headers)
            assert call.getresponse().status == expected
            call.close()
