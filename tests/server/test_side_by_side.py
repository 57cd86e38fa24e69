"""Several processes that answer on one port."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.given.further_soils import add_soil
from tests.given.heavy import heavy_request, small_request
from tests.given.processes import is_there, spawned_by, until
from tests.given.quote_requests import Json
from tests.given.service_process import ROOT, Running, running_service, running_workers


def call(port: int, path: str, body: object = None) -> Json:
    """Call once, on a connection of its own."""
    data = None if body is None else json.dumps(body).encode()
    url, head = f"http://127.0.0.1:{port}{path}", {"Content-Type": "application/json"}
    request = urllib.request.Request(url, data, head)
    with urllib.request.urlopen(request, timeout=30) as answer:  # noqa: S310  this machine
        found: Json = json.load(answer)
    return found


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Running]:
    """A service of two processes over a database and a catalog folder in `tmp_path`."""
    add_folder(tmp_path)
    settings = {
        "SERVICE_DATABASE_URL": f"sqlite:///{tmp_path / 'store.sqlite'}",
        "SERVICE_CATALOG_PATH": str(tmp_path / "catalog"),
        "SERVICE_CALCULATORS": "1",
    }
    with running_workers(2, log=subprocess.PIPE, **settings) as (process, port):
        until(lambda: len(spawned_by(process.pid)) == 2)
        for _ in range(4):
            call(port, "/health/ready")
        yield process, port


def add_folder(folder: Path) -> None:
    """A catalog folder with one soil."""
    (folder / "catalog" / "soils").mkdir(parents=True)
    add_soil(folder / "catalog", "yard_clay")


def all_of(process: int) -> list[int]:
    """The processes that answer, and those that calculate for them."""
    answering = spawned_by(process)
    return [*answering, *(each for one in answering for each in spawned_by(one))]


@pytest.mark.parametrize("by", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_stop_ends_all_processes(two: Running, tmp_path: Path, by: signal.Signals) -> None:
    """A signal ends the service with 0: no process is left, those that calculate included, and
    the database's file alone holds what was saved."""
    process, port = two
    call(port, "/v1/quotes", heavy_request(12, 8))
    saved = [call(port, "/v1/saved-quotes", {"quote": small_request()}) for _ in range(4)]
    processes = all_of(process.pid)
    assert len(processes) == 3
    process.send_signal(by)
    _, log = process.communicate(timeout=60)
    assert process.returncode == 0, log
    assert [each for each in processes if is_there(each)] == []
    assert "Traceback" not in log
    assert {each.name for each in tmp_path.iterdir()} == {"catalog", "store.sqlite"}
    with closing(sqlite3.connect(tmp_path / "store.sqlite")) as connection:
        assert connection.execute("SELECT count(*) FROM quote").fetchone() == (len(saved),)


def test_a_process_that_dies_is_replaced(two: Running) -> None:
    """One is killed: the other one answers, and soon there are two again."""
    process, port = two
    first, second = spawned_by(process.pid)
    os.kill(first, signal.SIGKILL)
    for _ in range(10):
        assert call(port, "/health/live") == {"status": "live"}
    until(lambda: len(spawned_by(process.pid)) == 2)
    assert second in spawned_by(process.pid)
    assert first not in spawned_by(process.pid)
    os.kill(second, signal.SIGKILL)
    assert call(port, "/v1/quotes", small_request())["units"] == "us"


def test_one_process_that_hangs_holds_nobody_up(two: Running) -> None:
    """One is frozen: whoever connects is answered by the other one."""
    process, port = two
    frozen, _ = spawned_by(process.pid)
    os.kill(frozen, signal.SIGSTOP)
    try:
        for _ in range(20):
            assert call(port, "/health/live") == {"status": "live"}
    finally:
        os.kill(frozen, signal.SIGCONT)


def test_reload_reaches_every_process(two: Running, tmp_path: Path) -> None:
    """After a reload every process has the new catalog at once, one that begins later too; a
    folder with faults changes it in none."""
    process, port = two
    add_soil(tmp_path / "catalog", "yard_loam")
    version = call(port, "/v1/catalog/reload", {})["version"]
    assert versions(port) == {version}
    (tmp_path / "catalog" / "soils" / "mud.toml").write_text("= 1", encoding="utf-8")
    for each in spawned_by(process.pid):
        os.kill(each, signal.SIGKILL)
    until(lambda: len(spawned_by(process.pid)) == 2)
    assert versions(port) == {version}


def versions(port: int) -> set[str]:
    """The catalogs that twenty callers find."""
    return {call(port, "/health/ready")["catalog"]["version"] for _ in range(20)}


def test_processes_end_with_the_one_that_began_them(two: Running) -> None:
    """The first process is killed: the others end by themselves."""
    process, port = two
    call(port, "/v1/quotes", heavy_request(12, 8))
    processes = all_of(process.pid)
    assert len(processes) == 3
    process.kill()
    process.wait()
    until(lambda: not any(map(is_there, processes)))


def test_serve_refuses_a_port_that_is_taken() -> None:
    """A port that another service has ends the command with one sentence."""
    with running_service() as (_, port), pytest.raises(subprocess.CalledProcessError) as caught:
        serve(port)
    assert caught.value.returncode == 1
    assert caught.value.stderr.splitlines()[-1].startswith(f"Port {port} of 127.0.0.1 can't be")


def serve(port: int) -> None:
    """Serve with two processes on a port."""
    command = ["-m", "service", "serve", "--workers", "2", "--port", str(port)]
    subprocess.run([sys.executable, *command], cwd=ROOT, check=True, capture_output=True, text=True)
