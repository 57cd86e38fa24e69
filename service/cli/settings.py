"""`settings`: what is set, what holds otherwise, and where it came from. No secret is shown."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Mapping
from typing import Annotated, Final

import typer

from service.cli.columns import Column, console_for, print_columns
from service.cli.start import read_settings
from service.settings import PREFIX, Settings

MASK: Final = "***"
# All from the first colon after the name to the last @: a password may hold either sign.
_PASSWORD = re.compile(r"(?<=://)([^/@:?]*):.*(?=@)")
_SECRET_PARAMETER = re.compile(r"(?i)([?&][^=&]*(?:pass|secret|token|key)[^=&]*=)[^&]*")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("settings")(print_settings)


def print_settings(
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """Print every setting: its value, its default, and where it came from. Secrets are masked."""
    rows = setting_rows(read_settings(), os.environ)
    if as_json:
        typer.echo(json.dumps({"settings": rows}, indent=2))
        return
    columns = [
        Column(head=head, cells=[row[head] or "empty" for row in rows], words=True)
        for head in ("name", "value", "default", "from")
    ]
    print_columns(console_for(sys.stdout), "Settings", columns)


def setting_rows(settings: Settings, environment: Mapping[str, str]) -> list[dict[str, str]]:
    """A row for each setting, in the order of README's table; values as they are written in the
    environment. `from` is `environment` or `default`."""
    given = {name.upper() for name, value in environment.items() if value}
    fields = Settings.model_fields
    return [
        {
            "name": (variable := f"{PREFIX}{name}".upper()),
            "value": masked(name, getattr(settings, name)),
            "default": masked(name, fields[name].get_default(call_default_factory=True)),
            "from": "environment" if variable in given else "default",
        }
        for name in fields
    ]


def masked(name: str, value: object) -> str:
    """A value as it is written in the environment, without what nobody else may read: a password
    in an address; all of what the settings keep out of their own text and is no address."""
    text = _written(name, value)
    if "://" in text:
        return _SECRET_PARAMETER.sub(rf"\1{MASK}", _PASSWORD.sub(rf"\1:{MASK}", text))
    return text if Settings.model_fields[name].repr or not text else MASK


def _written(name: str, value: object) -> str:
    if isinstance(value, tuple):
        return (":" if name == "catalog_path" else ",").join(map(str, value))
    return str(value).lower() if isinstance(value, bool) else str(value)
