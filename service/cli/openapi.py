"""`openapi`: print the OpenAPI document, or write it where it is committed."""

from __future__ import annotations

import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import typer

from service.api.app import create_app
from service.api.openapi import openapi_text
from service.catalog import load_catalog
from service.settings import Settings


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("openapi")(openapi)


def openapi(
    *,
    write: Annotated[
        bool, typer.Option("--write", help="Write openapi/openapi.json instead of printing.")
    ] = False,
) -> None:
    """Print the OpenAPI document of this service, sorted and indented."""
    text = openapi_document_text()
    if not write:
        sys.stdout.write(text)
        return
    path = document_path()
    path.write_text(text, encoding="utf-8")
    typer.echo(f"wrote {path}", err=True)


def openapi_document_text() -> str:
    """The document of the service as shipped; settings and further catalogs don't change it."""
    settings = Settings.model_construct()
    return openapi_text(create_app(settings, load_catalog(())))


def document_path() -> Path:
    """Where the document is committed: the folder that is installed as `service_openapi`."""
    spec = find_spec("service_openapi")
    if spec is None or not spec.submodule_search_locations:
        typer.echo("The folder openapi/ is not installed with this service.", err=True)
        raise typer.Exit(1)
    return Path(spec.submodule_search_locations[0]) / "openapi.json"
