"""Commands that are loaded when one of them is called: the list of them needs none."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_group


@dataclass(frozen=True)
class ListedCommand:
    """A command as the list shows it: its name, its module in this room, its own first words."""

    name: str
    module: str
    words: str


def add_late(app: typer.Typer, listed: ListedCommand) -> None:
    """Add a command, or a group of commands, whose module is imported when it is called."""

    class Late(TyperCommand):
        """Stands for the command until it is called; from then on the command itself answers."""

        def make_context(self, *arguments: Any, **extra: Any) -> Any:  # noqa: ANN401
            """The context of the command itself."""
            return _own_command(listed).make_context(*arguments, **extra)

    def stand_in() -> None:
        """Is never called."""

    app.command(listed.name, cls=Late, help=listed.words)(stand_in)


def _own_command(listed: ListedCommand) -> TyperCommand | TyperGroup:
    """The command as its module adds it."""
    own = typer.Typer()
    with _without_collecting():
        import_module(f"{__package__}.{listed.module}").register(own)
    command = get_group(own).commands[listed.name]
    assert isinstance(command, TyperCommand | TyperGroup)  # noqa: S101  what typer makes
    return command


@contextmanager
def _without_collecting() -> Iterator[None]:
    """What modules make while they are imported stays to the end of the process: to look for
    garbage among it, then and later, takes a tenth of a start."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()
