"""`serve`: answer HTTP on one address.

Until API keys exist that address must be a loopback one: whoever can reach the service may read
costs and rates.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Callable
from typing import Annotated

import typer
import uvicorn
from fastapi import FastAPI
from pydantic import ValidationError

from service.api.app import create_app
from service.api.dependencies import PutOnQueue
from service.api.front import MAX_HEAD_BYTES
from service.catalog import CatalogInvalidError
from service.cli.logs import configure_logs
from service.settings import PREFIX, Settings, unknown_variables
from service.storage import StorageError, Store
from service.wiring import open_store, settings_catalog

KEEP_ALIVE_SECONDS = 5


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
    try:
        catalog = settings_catalog(settings)
    except CatalogInvalidError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(1) from error
    store = ready_store(settings)
    address = f"http://{f'[{host}]' if ':' in host else host}:{port}"
    typer.echo(
        f"Answering at {address} without a key, to this machine only. API pages: {address}/docs "
        f"Database: {store.version()}",
        err=True,
    )
    app = create_app(settings, catalog, store, _queue(context, settings, store))
    try:
        uvicorn.Server(server_config(app, host, port, settings)).run()
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
        typer.echo(f"SERVICE_QUEUE is set, and there is no queue: {error}", err=True)
        raise typer.Exit(2) from error


def ready_store(settings: Settings) -> Store:
    """The database, made and migrated; where it can't be, the command ends with exit code 1."""
    try:
        store = open_store(settings)
        store.migrate()
    except (StorageError, OSError) as error:
        typer.echo(f"The database can't be used: {error}", err=True)
        raise typer.Exit(1) from error
    return store


def server_config(app: FastAPI, host: str, port: int, settings: Settings) -> uvicorn.Config:
    """How the server runs: the strict parser, small heads, no trust in forwarded addresses.

    There is no cap on connections: with one, silent connections would shut everyone out.
    """
    return uvicorn.Config(
        app,
        host=host,
        port=port,
        http="h11",
        ws="none",
        h11_max_incomplete_event_size=MAX_HEAD_BYTES,
        timeout_keep_alive=KEEP_ALIVE_SECONDS,
        timeout_graceful_shutdown=settings.graceful_seconds,
        proxy_headers=False,
        server_header=False,
        access_log=False,
        log_config=None,
    )


def read_settings() -> Settings:
    """The settings from the environment; a wrong one ends the command with exit code 2."""
    for name in unknown_variables(os.environ):
        typer.echo(f"{name} is not a setting of this service and is ignored.", err=True)
    try:
        return Settings()
    except ValidationError as error:
        for fault in error.errors(include_url=False, include_input=False, include_context=False):
            name = f"{PREFIX}{fault['loc'][0]}".upper()
            typer.echo(f"{name}: {fault['msg']}", err=True)
        raise typer.Exit(2) from error


def _check_loopback(host: str) -> None:
    """Refuse any address but a loopback one, with exit code 2."""
    try:
        loopback = host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        loopback = False
    if not loopback:
        typer.echo(
            f"The service has no API keys yet and would show costs to anyone who can reach {host}. "
            "Listen on 127.0.0.1, ::1 or localhost.",
            err=True,
        )
        raise typer.Exit(2)
