"""`demo`: start the service, post an example over HTTP, show the priced result.

All that it says goes to stdout, as that is what it is for; what hinders it goes to stderr.
"""

from __future__ import annotations

import json
import shlex
import signal
import sys
import threading
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import msgspec
import typer
from rich.console import Console

from service.api.app import create_app
from service.cli.columns import console_for, print_text
from service.cli.logs import configure_logs
from service.cli.loopback import ServiceStartError, open_port, post, running
from service.cli.start import ended, read_catalog, read_settings
from service.cli.tables import print_quote
from service.operations.quoting.answer import QuoteAnswer

EXAMPLE = Path("examples", "quote_walls", "garden_wall.request.json")
QUOTES = "/v1/quotes"
FIRST_PORT, PORTS_TRIED = 8000, 100
OK = 200


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("demo")(demo)


def demo(
    *,
    once: Annotated[bool, typer.Option("--once", help="End after printing.")] = False,
    port: Annotated[
        int | None,
        typer.Option(
            help="Port to listen on; left out it is 8000 or the next free one.",
            min=0,
            max=65535,
            show_default=False,
        ),
    ] = None,
) -> None:
    """Start the service on this machine, post an example to it and print the priced result."""
    settings = read_settings()
    configure_logs("warning")
    try:
        example = example_path()
        app = create_app(settings, read_catalog(settings))
        listening = open_port(FIRST_PORT, attempts=PORTS_TRIED) if port is None else open_port(port)
        with running(app, settings, listening) as address:
            _show(console_for(sys.stdout), address, example)
            if not once:
                _wait()
    except (ServiceStartError, OSError) as error:
        raise ended(f"The demo can't run: {error}") from error


def example_path() -> Path:
    """The example that is posted. Raises ServiceStartError where it is not installed."""
    spec = find_spec("service_openapi")
    for folder in (spec.submodule_search_locations or ()) if spec else ():
        if (path := Path(folder) / EXAMPLE).is_file():
            return path
    raise ServiceStartError("its example is not installed (the folder openapi/)")


def _show(console: Console, address: str, example: Path) -> None:
    """Post the example and print what comes back, the price first. Raises ServiceStartError."""
    status, answer = post(address, QUOTES, example.read_bytes(), request_id="demo")
    if status != OK:
        raise ServiceStartError(json.loads(answer)["detail"])
    print_text(console, f"Look at it in a browser: {address}/")
    print_text(console, "Units, prices and rates of the shipped catalog are invented.")
    console.print()
    print_quote(console, msgspec.json.decode(answer, type=QuoteAnswer), price_first=True)
    console.print()
    _print_addresses(console, address, example)


def _print_addresses(console: Console, address: str, example: Path) -> None:
    """One line, however long, so that its request can be pasted."""
    console.file.write(
        f"For programmers: {address}/docs, {address}/redoc, {address}/openapi.json; "
        f"the same again: curl -s {address}{QUOTES} -H 'Content-Type: application/json' "
        f"--data-binary @{shlex.quote(str(example))}\n"
    )
    console.file.flush()


def _wait() -> None:
    """Serve until Ctrl-C or a request to end."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.default_int_handler)
    try:
        typer.echo("Ctrl-C ends it.")
        threading.Event().wait()
    except KeyboardInterrupt:
        typer.echo("The service has ended.")
