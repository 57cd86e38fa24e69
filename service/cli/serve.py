"""`serve`: answer HTTP on one address.

Until API keys exist that address must be a loopback one: whoever can reach the service may read
costs and rates.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from typing import Annotated

import typer
import uvicorn
from fastapi import FastAPI

from service.api.app import create_app
from service.api.dependencies import PutOnQueue
from service.api.front import MAX_HEAD_BYTES
from service.cli.logs import configure_logs
from service.cli.server import Server, run
from service.cli.start import WRONG_USAGE, ended, open_database, read_catalog, read_settings
from service.server import Bounds, bounded_protocol
from service.settings import Settings
from service.storage import Store


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("serve")(serve)


def serve(
    context: typer.Context,
    host: Annotated[str, typer.Option(help="Address to listen on; a loopback one.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="Port to listen on.", min=0, max=65535)] = 8000,
) -> None:
    """Answer HTTP requests until stopped."""
    _check_loopback(host)
    settings = read_settings()
    configure_logs(settings.log_level)
    catalog, store = read_catalog(settings), open_database(settings)
    address = f"http://{f'[{host}]' if ':' in host else host}:{port}"
    typer.echo(
        f"Answering at {address} without a key, to this machine only. API pages: {address}/docs "
        f"Database: {store.version()}",
        err=True,
    )
    app = create_app(settings, catalog, store, _queue(context, settings, store))
    try:
        run(Server(server_config(app, host, port, settings)))
    finally:
        store.close()


def _queue(context: typer.Context, settings: Settings, store: Store) -> PutOnQueue | None:
    """How long work is put on the job queue, where the settings ask for one."""
    connect: Callable[[Store], PutOnQueue] | None = context.obj
    if not settings.queue or connect is None:
        return None
    try:
        return connect(store)
    except Exception as error:
        message = f"SERVICE_QUEUE is set, and there is no queue: {error}"
        raise ended(message, WRONG_USAGE) from error


def server_config(app: FastAPI, host: str, port: int, settings: Settings) -> uvicorn.Config:
    """How the server runs: the strict parser, small heads, no trust in forwarded addresses.

    There is no cap on connections of all together: with one, silent connections would shut
    everyone out. Each has deadlines instead.
    """
    bounds = Bounds(
        head_seconds=settings.head_seconds,
        body_seconds=settings.body_seconds,
        answer_seconds=settings.answer_seconds,
        per_address=settings.connections_per_address,
    )
    return uvicorn.Config(
        app,
        host=host,
        port=port,
        http=bounded_protocol(bounds),
        ws="none",
        h11_max_incomplete_event_size=MAX_HEAD_BYTES,
        timeout_keep_alive=settings.idle_seconds,
        timeout_graceful_shutdown=settings.graceful_seconds,
        proxy_headers=False,
        server_header=False,
        access_log=False,
        log_config=None,
    )


def _check_loopback(host: str) -> None:
    """Refuse any address but a loopback one, with exit code 2."""
    try:
        loopback = host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        loopback = False
    if not loopback:
        raise ended(
            f"The service has no API keys yet and would show costs to anyone who can reach {host}. "
            "Listen on 127.0.0.1, ::1 or localhost.",
            WRONG_USAGE,
        )
