"""`openapi`: print the OpenAPI document, or write it where it is committed.

Writing also answers the examples anew, as they stand in the document.
"""

from __future__ import annotations

import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import typer
from fastapi import FastAPI

from service.api.app import OPERATIONS, create_app
from service.api.openapi import openapi_text
from service.catalog import load_catalog
from service.cli.examples import write_answers
from service.settings import Settings


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
    answers = write_answers(_app_as_shipped(), path.parent / "examples")
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


def _app_as_shipped() -> FastAPI:
    return create_app(Settings.model_construct(), load_catalog(()))
