"""`demo`: start the service, post an example over HTTP, show the priced result.

All that it says goes to stdout, as that is what it is for; what hinders it goes to stderr.
"""

from __future__ import annotations

import json
import shlex
import signal
import sys
import threading
import time
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import msgspec
import typer
from rich.console import Console

from service.api.app import create_app
from service.cli.columns import console_for, print_heading, print_text
from service.cli.logs import configure_logs
from service.cli.loopback import ServiceStartError, open_port, post, running
from service.cli.start import ended, read_catalog, read_settings
from service.cli.tables import print_quote
from service.operations.quoting.answer import QuoteAnswer

EXAMPLE = Path("examples", "quote_walls", "driveway_edge.request.json")
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
    """Post the example and print what comes back. Raises ServiceStartError."""
    print_text(console, f"The service answers at {address}, to this machine only.")
    body = example.read_bytes()
    began = time.perf_counter()
    status, answer = post(address, QUOTES, body, request_id="demo")
    taken = (time.perf_counter() - began) * 1000
    print_text(console, f"POST {QUOTES} with {example.name}: {status} in {taken:.0f} ms.")
    if status != OK:
        raise ServiceStartError(json.loads(answer)["detail"])
    print_text(console, "Units, prices and rates of the shipped catalog are invented.")
    console.print()
    print_quote(console, msgspec.json.decode(answer, type=QuoteAnswer))
    _print_addresses(console, address, example)


def _print_addresses(console: Console, address: str, example: Path) -> None:
    print_heading(console, "Ask for more")
    print_text(console, f"API pages:    {address}/docs and {address}/redoc")
    print_text(console, f"API document: {address}/openapi.json")
    print_text(console, "The same request with curl:")
    # In one piece, however long, so that it can be pasted.
    console.file.write(
        f"curl -s {address}{QUOTES} -H 'Content-Type: application/json' "
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
