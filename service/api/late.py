"""Parts of rows whose modules are imported when they are first needed: who only quotes needs none.

A table names such modules twice: for the type checker as an import, for the run by
`late_modules`. Whatever it then takes of them, a handler, a parameter or a shape, is a `Late`.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from importlib import import_module
from typing import Any, TypeVar, cast

from starlette.requests import Request
from starlette.responses import Response

T = TypeVar("T")
Handler = Callable[[Request], Awaitable[Response]]


class Late:
    """Something that a module holds under a name."""

    def __init__(self, module: str, name: str) -> None:
        self._module, self.__name__ = module, name
        self._held: object = None

    @property
    def is_imported(self) -> bool:
        """Whether it was asked for before."""
        return self._held is not None

    def held(self) -> object:
        """What it is; the first time its module is imported."""
        if self._held is None:
            self._held = getattr(import_module(self._module), self.__name__)
        return self._held


class LateModule:
    """A module, of which each name is a `Late`."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, name: str) -> Late:
        """Something of it."""
        return Late(self._name, name)


def late_modules(package: str, names: str) -> tuple[Any, ...]:
    """Modules of a package, by their names with a space between."""
    return tuple(LateModule(f"{package}.{name}") for name in names.split())


def found(part: T) -> T:
    """A part of a row as its module holds it; any other as it is."""
    return cast("T", part.held()) if isinstance(part, Late) else part


def endpoint(handler: Handler | Late) -> Handler:
    """What answers a call. A late handler is imported by the first one, beside the event loop."""
    return _late_call(handler) if isinstance(handler, Late) else handler


def _late_call(late: Late) -> Handler:
    async def call(request: Request) -> Response:
        if not late.is_imported:
            await asyncio.to_thread(late.held)
        return await cast("Handler", late.held())(request)

    return call
