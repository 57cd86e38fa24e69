"""`/metrics`: what was answered is counted, by addresses of the table, and nothing of callers."""

from __future__ import annotations

import os
import re
import signal
import socket
import urllib.request
from contextlib import ExitStack
from importlib import import_module
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.api.app import create_app
from service.api.metrics import Metrics
from service.settings import Settings
from service.storage.telling import Telling
from tests.given.catalogs import shipped_catalog
from tests.given.processes import spawned_by, until
from tests.given.raw_caller import HOST, quote_head
from tests.given.service_process import ROOT, running_workers

OPEN = "application/openmetrics-text; version=1.0.0; q=0.9, text/plain; q=0.5"
SAMPLE = re.compile(r"^(\w+)(?:\{(.*)\})? (\S+)$", re.MULTILINE)
RUNNING = ("service_calls_running", "")
Samples = dict[tuple[str, str], float]


def samples(text: str) -> Samples:
    """Each number, by its name and labels."""
    return {(name, labels): float(value) for name, labels, value in SAMPLE.findall(text)}


def client() -> TestClient:
    """A caller of a new application."""
    app = create_app(Settings.model_construct(), shipped_catalog())
    return TestClient(app, base_url="http://127.0.0.1")


def calls(found: Samples) -> dict[str, float]:
    """How many calls were counted, by labels."""
    return {
        labels: value for (name, labels), value in found.items() if name == "service_calls_total"
    }


def test_metrics_counts_calls_by_address_and_status() -> None:
    """Each call counts once, under the address of the table and not that of the caller; what is
    nowhere served is one address, methods of the caller's making are one."""
    with client() as caller:
        for soil in ("loam", "loam", "swamp-4711"):
            caller.get(f"/v1/soils/{soil}")
        caller.get("/secret-4711")
        caller.request("BREW-4711", "/v1/soils")
        text = caller.get("/metrics").text
    assert calls(samples(text)) == {
        'method="GET",route="/v1/soils/{id}",status="200"': 2,
        'method="GET",route="/v1/soils/{id}",status="422"': 1,
        'method="GET",route="none",status="404"': 1,
        'method="none",route="/v1/soils",status="405"': 1,
    }
    assert "-4711" not in text


def test_metrics_tells_times_and_what_runs() -> None:
    """Times are counted in buckets, the call that asks is the one that runs."""
    with client() as caller:
        caller.get("/health/live")
        found = samples(caller.get("/metrics").text)
    live = 'method="GET",route="/health/live"'
    assert found["service_call_seconds_count", live] == 1
    assert found["service_call_seconds_bucket", f'le="+Inf",{live}'] == 1
    assert 0 < found["service_call_seconds_sum", live] < 5
    assert found[RUNNING] == 1
    assert found["process_resident_memory_bytes", ""] > 10_000_000


def test_metrics_tells_calculations_that_run_and_wait() -> None:
    """Whoever is let in beyond those that calculate waits."""
    metrics = Metrics()
    metrics.calculations(2, 5)
    found = samples(metrics.told("")[0].decode())
    assert found["service_calculations", 'state="running"'] == 2
    assert found["service_calculations", 'state="waiting"'] == 5


def test_metrics_takes_the_form_that_is_asked_for() -> None:
    """A collector that takes OpenMetrics gets it; everybody else the plain text."""
    with client() as caller:
        assert caller.get("/metrics").headers["content-type"].startswith("text/plain; version=")
        answer = caller.get("/metrics", headers={"Accept": OPEN})
        assert answer.headers["content-type"].startswith("application/openmetrics-text")
        assert answer.text.endswith("# EOF\n")


def test_metrics_has_no_word_of_callers() -> None:
    """Nothing of a request but method, address of the table and status is a label."""
    marker = "marker-4711"
    with client() as caller:
        for path in (
            f"/v1/soils?{marker}=1",
            f"/q/{marker}",
            f"/v1/saved-quotes?reference={marker}",
        ):
            caller.get(path, headers={"Authorization": f"Bearer {marker}", "X-Request-ID": marker})
        caller.post("/v1/quotes", json={"title": marker})
        text = caller.get("/metrics").text
    assert marker not in text
    names = {
        label.split("=")[0] for _, labels, _ in SAMPLE.findall(text) for label in labels.split(",")
    }
    assert names <= {
        "", "method", "route", "status", "le", "state", "version", "engine_version",
    }  # fmt: skip


def test_readme_lists_the_figures() -> None:
    """The page for callers names each figure that is the service's own, with its labels."""
    page = (ROOT / "openapi" / "README.md").read_text(encoding="utf-8")
    section = page.partition("\n## For monitoring\n")[2].partition("\n## ")[0]
    rows = [row for row in section.splitlines() if row.startswith("| `service_")]
    listed = {name for row in rows for name in re.findall(r"`(service_\w+)`", row)}
    metrics = Metrics()
    metrics.ended("GET", "/x", 200, metrics.began())
    metrics.calculations(0, 0)
    telling = Telling(last_event=1, waiting=0, oldest_seconds=0, switched_off=0)
    found = samples(metrics.told("", telling)[0].decode())
    names = {name for name, _ in found if name.startswith("service_")}
    own = {re.sub("_(count|sum|bucket)$", "", name) for name in names if "_created" not in name}
    assert listed == own


def fetched(port: int, path: str) -> str:
    """An answer of a running service, on a connection of its own."""
    with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=30) as answer:
        text: str = answer.read().decode()
    return text


def test_metrics_goes_on_while_a_process_starts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process opens the file in which it counts a moment before it has a size."""
    import_module("prometheus_client.values")  # reads the variable once, for all tests
    monkeypatch.setenv("PROMETHEUS_MULTIPROC_DIR", str(tmp_path))
    (tmp_path / "gauge_livesum_4711.db").touch()
    text, _ = Metrics(several=True).told("")
    assert text == b""


@pytest.mark.no_cover  # others run the same lines
def test_metrics_of_several_processes_are_added_up(tmp_path: Path) -> None:
    """Whichever process is asked tells of all; one that dies leaves its counts, and nothing at
    work."""
    live = 'method="GET",route="/health/live",status="200"'
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    with running_workers(2, SERVICE_DATABASE_URL=url) as (process, port):
        until(lambda: len(spawned_by(process.pid)) == 2)
        for _ in range(40):
            fetched(port, "/health/live")
        first, _ = spawned_by(process.pid)
        for _ in range(10):
            assert calls(samples(fetched(port, "/metrics")))[live] == 40
        with ExitStack() as callers:
            for _ in range(8):
                waiting = callers.enter_context(socket.create_connection((HOST, port)))
                waiting.sendall(quote_head(9))
            until(lambda: samples(fetched(port, "/metrics"))[RUNNING] == 9)
            os.kill(first, signal.SIGKILL)
            until(lambda: first not in (now := spawned_by(process.pid)) and len(now) == 2)
        until(lambda: samples(fetched(port, "/metrics"))[RUNNING] == 1)
        for _ in range(10):
            assert calls(samples(fetched(port, "/metrics")))[live] == 40
