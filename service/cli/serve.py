"""`serve`: answer HTTP on one address.

Until the first key was made that address must be a loopback one: whoever can reach the service
may read costs and rates.
"""

from __future__ import annotations

import ipaddress
import socket
import tempfile
from collections.abc import Callable
from typing import Annotated

import typer

from service.api.app import create_app
from service.api.dependencies import PutOnQueue
from service.calculators import cores
from service.cli.keys import keys_in_force
from service.cli.logs import configure_logs
from service.cli.server import Server, run, server_config
from service.cli.side_by_side import open_socket, run_side_by_side
from service.cli.start import WRONG_USAGE, ended, open_database, read_catalog, read_settings
from service.server import raise_open_files
from service.settings import Settings
from service.storage import Store

MOST_WORKERS = 64
# All addresses of a machine are none that a browser opens: on the machine itself it is this one.
_ANY = {"0.0.0.0": "127.0.0.1", "::": "::1"}  # noqa: S104


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("serve")(serve)


def serve(
    context: typer.Context,
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="Port to listen on.", min=0, max=65535)] = 8000,
    workers: Annotated[
        int | None,
        typer.Option(
            help="Processes that answer side by side. Left out: one for each core.",
            min=1,
            max=MOST_WORKERS,
        ),
    ] = None,
    scratch: Annotated[
        bool, typer.Option("--scratch", help="On an empty database that is thrown away.")
    ] = False,
) -> None:
    """Answer HTTP requests until stopped."""
    settings = read_settings()
    configure_logs(settings.log_level)
    processes = workers or min(cores(), MOST_WORKERS)
    if not scratch:
        _serve(context, settings, (host, port), processes)
        return
    with tempfile.TemporaryDirectory(prefix="quotes-") as folder:
        thrown_away = {"database_url": f"sqlite:///{folder}/scratch.sqlite"}
        _serve(context, settings.model_copy(update=thrown_away), (host, port), processes)


def _address(host: str, port: int) -> str:
    """Where a host answers, as browsers write it."""
    return f"http://{f'[{host}]' if ':' in host else host}:{port}"


def _serve(
    context: typer.Context, settings: Settings, place: tuple[str, int], workers: int
) -> None:
    """Open what the settings name, and answer until stopped."""
    host, port = place
    raise_open_files()
    catalog, store = read_catalog(settings), open_database(settings)
    keyless = not keys_in_force(store)
    if keyless:
        _check_loopback(host)
    address, own = _address(host, port), _address(_ANY.get(host, host), port)
    how = "without a key, to this machine only" if keyless else "to whoever shows a key"
    typer.echo(
        f"Answering at {address} {how}. Look at it: {own}/ "
        f"API pages: {own}/docs "
        f"Database: {store.version()}",
        err=True,
    )
    put_on_queue = _queue(context, settings, store)
    try:
        if workers == 1:
            app = create_app(settings, catalog, store, put_on_queue)
            run(Server(server_config(app, host, port, settings)))
        else:
            store.close()  # each process has connections of its own
            connect = context.obj if put_on_queue else None
            run_side_by_side(workers, settings, catalog, _listening(host, port), connect)
    finally:
        store.close()


def _listening(host: str, port: int) -> socket.socket:
    try:
        return open_socket(host, port)
    except OSError as error:
        raise ended(f"Port {port} of {host} can't be used: {error.strerror}") from error


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


def _check_loopback(host: str) -> None:
    """Refuse any address but a loopback one, with exit code 2."""
    try:
        loopback = host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        loopback = False
    if not loopback:
        raise ended(
            f"The service has no keys yet and would show costs to anyone who can reach {host}. "
            "Make one first: python -m service keys new --name office --scope admin. "
            "Or listen on 127.0.0.1, ::1 or localhost.",
            WRONG_USAGE,
        )
