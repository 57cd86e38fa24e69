"""`openapi`: print the OpenAPI document, or write it where it is committed.

Writing also answers the examples anew, as they stand in the document.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

import typer
from fastapi import FastAPI

from service.api.app import OPERATIONS, create_app
from service.api.openapi.document import openapi_text
from service.catalog import load_catalog
from service.cli.examples import write_answers
from service.settings import Settings
from service.storage import Store

# 2026-05-04T09:00:00Z: quotes of the examples are dated that day.
EXAMPLE_TIME = 1_777_885_200
EXAMPLE_URL = "https://quotes.example.com"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("openapi")(openapi)


def openapi(
    *,
    write: Annotated[
        bool,
        typer.Option("--write", help="Answer the examples anew and write openapi/openapi.json."),
    ] = False,
) -> None:
    """Print the OpenAPI document of this service, sorted and indented."""
    if not write:
        sys.stdout.write(openapi_document_text())
        return
    path = document_path()
    with example_app() as app:
        answers = write_answers(app, path.parent / "examples")
    path.write_text(openapi_document_text(), encoding="utf-8")
    typer.echo(f"wrote {path}; examples answered: {len(answers)}", err=True)


def openapi_document_text() -> str:
    """The document of the service; settings and catalogs don't change it."""
    return openapi_text(OPERATIONS)


def document_path() -> Path:
    """Where the document is committed: the folder that is installed as `service_openapi`."""
    spec = find_spec("service_openapi")
    if spec is None or not spec.submodule_search_locations:
        typer.echo("The folder openapi/ is not installed with this service.", err=True)
        raise typer.Exit(1)
    return Path(spec.submodule_search_locations[0]) / "openapi.json"


@contextmanager
def example_app() -> Iterator[FastAPI]:
    """The service as it is shipped, over an empty database, on one day of May 2026."""
    with TemporaryDirectory() as folder:
        store = Store.open(f"sqlite:///{folder}/examples.sqlite", now=lambda: EXAMPLE_TIME)
        store.migrate()
        try:
            settings = Settings.model_construct(public_url=EXAMPLE_URL)
            yield create_app(settings, load_catalog(()), store)
        finally:
            store.close()
