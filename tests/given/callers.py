"""Callers of the service with less than everything, and what such a caller meets."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

from service.api.dependencies import CALLER
from service.catalog import Catalog
from service.operations.callers.caller import Caller, KeyScope
from service.storage import Store
from tests.given.served import BASE_URL, application


def caller(*scopes: KeyScope) -> Caller:
    """A caller with a key of such scopes."""
    return Caller(by="key-of-a-test", scopes=frozenset(scopes))


FIELD = caller("field")
PRICES = caller("prices")


class As:
    """The application as one caller meets it."""

    def __init__(self, app: ASGIApp, who: Caller) -> None:
        self._app = app
        self._who = who

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, as asked by this caller."""
        await self._app({**scope, CALLER: self._who}, receive, send)


@contextmanager
def client_as(who: Caller, catalog: Catalog, store: Store | None = None) -> Iterator[TestClient]:
    """A client of a service over a catalog, which calls as someone."""
    app = As(application(catalog, store), who)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client
