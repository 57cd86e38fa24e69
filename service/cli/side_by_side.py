"""Several processes of one service on one address: what each of them does."""

from __future__ import annotations

import multiprocessing
import os
import socket
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.context import SpawnContext, SpawnProcess
from pathlib import Path

import uvicorn

from service.api.app import create_app
from service.api.dependencies import PutOnQueue
from service.api.shared_catalog import SharedCatalog
from service.calculators import cores
from service.catalog import Catalog
from service.cli.logs import configure_logs
from service.cli.server import LINE, Server, run, server_config
from service.server import Supervisor
from service.settings import Settings
from service.storage import Store
from service.wiring import open_store

Connect = Callable[[Store], PutOnQueue]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a process answers, from which catalog, and how it reaches the job queue, if any."""

    listening: socket.socket
    host: str
    port: int
    catalog: Path
    counts: Path
    connect: Connect | None


def open_socket(host: str, port: int) -> socket.socket:
    """A socket that listens and knows its protocol: callers whose socket doesn't are answered 40 ms
    late, as their answers aren't sent at once. Raises OSError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    unnamed = socket.create_server((host, port), family=family, backlog=LINE)
    return socket.socket(fileno=unnamed.detach())


def run_side_by_side(
    processes: int,
    settings: Settings,
    catalog: Catalog,
    listening: socket.socket,
    connect: Connect | None,
) -> None:
    """Answer with so many processes until stopped. The catalog is the same in all of them; cores
    to calculate are shared out."""
    host, port = listening.getsockname()[:2]
    share = settings.calculators or max(1, cores() // processes)
    each = settings.model_copy(update={"calculators": share})
    with tempfile.TemporaryDirectory(prefix="service_") as folder:
        path = Path(folder) / "catalog"
        SharedCatalog(path).put(catalog)
        counts = Path(folder) / "counts"
        counts.mkdir()
        place = Place(
            listening=listening, host=host, port=port, catalog=path, counts=counts, connect=connect
        )

        def begin(context: SpawnContext) -> SpawnProcess:
            return context.Process(target=_answer, args=(each, place), name="answering")

        Supervisor(processes, begin).run(settings.graceful_seconds)


def _answer(settings: Settings, place: Place) -> None:
    """Answer until stopped, or until the process that began this one is gone."""
    configure_logs(settings.log_level)
    _count_together(place.counts)
    shared, store = SharedCatalog(place.catalog), open_store(settings)
    catalog = shared.newer()
    if catalog is None:
        raise RuntimeError("a catalog that was never seen is new")
    put_on_queue = place.connect(store) if place.connect else None
    app = create_app(settings, catalog, store, put_on_queue, shared)
    config = server_config(app, place.host, place.port, settings)
    config.backlog = 1
    server = Server(config)
    threading.Thread(target=_end_with_parent, args=(server,), daemon=True).start()
    try:
        run(server, [place.listening])
    finally:
        store.close()


def _count_together(folder: Path) -> None:
    """Count where all processes do (service/api/metrics.py), and forget what those that died had
    at work. The library reads the name of the folder when it is loaded."""
    os.environ["PROMETHEUS_MULTIPROC_DIR"] = str(folder)
    for path in folder.glob("gauge_live*_*.db"):
        if not _lives(int(path.stem.rpartition("_")[2])):
            path.unlink(missing_ok=True)


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def _end_with_parent(server: uvicorn.Server) -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        server.should_exit = True
