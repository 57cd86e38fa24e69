"""What routes need besides the request: the catalog as loaded now, and the database."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from starlette.requests import Request

from service.api.shared_catalog import SharedCatalog
from service.api.storing_gate import Gates
from service.api.turns import Turns, TurnsByLoop
from service.calculators import Door
from service.catalog import Catalog, check_revisions
from service.operations.callers.caller import NOBODY, Caller
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.webhook_runner import WebhookRunner
from service.operations.prices.stored_prices import StoredPrices
from service.operations.repricing.repricing_runner import RepricingRunner

if TYPE_CHECKING:
    from service.sending.sealed import SecretBox
    from service.storage import Connection, Store
    from service.storage.repricings import Run, RunsOn

T = TypeVar("T")
# Under this name the front tells who calls.
CALLER = "service.caller"
PutOnQueue: TypeAlias = "Callable[[Connection, Run], None]"


class CatalogShelf:
    """Holds the catalog that answers are made from; a reload puts a new one in its place.

    A request takes the catalog once and works with that one to its end, whatever is reloaded
    meanwhile. `shared` is where the processes that answer beside this one find it.
    """

    def __init__(
        self,
        catalog: Catalog,
        load: Callable[[], Catalog],
        shared: SharedCatalog | None = None,
    ) -> None:
        self._current = catalog
        self._load = load
        self._shared = shared
        self._lock = asyncio.Lock()

    @property
    def current(self) -> Catalog:
        """The catalog by now, whichever process reloaded it."""
        if self._shared is not None:
            self._current = self._shared.newer() or self._current
        return self._current

    async def reload(self, tell: Callable[[Catalog], Awaitable[None]]) -> Catalog:
        """Load again and swap, all or nothing; one at a time. Of another catalog it is told before
        anything is answered from it: what can't be told of is not done.

        Raises what loading and telling raise, and CatalogInvalidError where a price list says
        something else under the same revision.
        """
        async with self._lock:
            loaded = await asyncio.to_thread(self._load)
            before = self.current
            check_revisions(before, loaded)
            if loaded.version != before.version:
                await tell(loaded)
            if self._shared is not None:
                await asyncio.to_thread(self._shared.put, loaded)
            self._current = loaded
            return loaded


class StoreShelf:
    """Holds the database; opened, made and migrated by the first call that needs it.

    A stateless quote never does, so it works where there is no database at all. `has_none` tells
    that without the database's library, which is loaded by `open_store`.
    """

    def __init__(
        self,
        open_store: Callable[[], Store],
        store: Store | None = None,
        has_none: Callable[[], bool] = lambda: False,
    ) -> None:
        self.opened = store
        self._has_none = has_none
        self._is_own = store is None
        self._seen: Store | None = None
        self._open = open_store
        self._lock = threading.Lock()

    def get(self) -> Store:
        """The database, at head. Waits for the disk: not for the event loop's own thread.

        Raises StorageError.
        """
        with self._lock:
            if self.opened is None:
                store = self._seen or self._open()
                store.migrate()
                self.opened, self._seen = store, None
            return self.opened

    def existing(self) -> Store | None:
        """The database as it is, if there is one: none is made for a look. Raises StorageError."""
        with self._lock:
            if self.opened is None and self._seen is None:
                if self._has_none():
                    return None
                self._seen = self._open()
            store = self.opened or self._seen
        return store if store is not None and store.exists() else None

    def close(self) -> None:
        """Close the database if it was opened here."""
        if self._seen is not None:
            self._seen.close()
        if self._is_own and self.opened is not None:
            self.opened.close()


@dataclass(frozen=True, slots=True, kw_only=True)
class RepricingHost:
    """Who does re-pricings that are not waited for: a thread of this process, or workers on a
    job queue, onto which `put_on_queue` puts them."""

    runner: RepricingRunner
    put_on_queue: PutOnQueue | None = None

    @property
    def runs_on(self) -> RunsOn:
        """Where runs are done."""
        return "service" if self.put_on_queue is None else "queue"


@dataclass(frozen=True, slots=True, kw_only=True)
class WebhookHost:
    """Who sends to webhooks, how their secrets are sealed, and the `host:port` to which the rules
    for targets don't apply."""

    runner: WebhookRunner
    find_box: Callable[[Store], SecretBox]
    allowed: frozenset[str]


def get_webhooks(request: Request) -> WebhookHost:
    """What the application that serves a request has to do with webhooks."""
    host: WebhookHost = request.app.state.webhooks
    return host


def get_caller(request: Request) -> Caller:
    """Who makes a request."""
    caller: Caller = request.scope.get(CALLER, NOBODY)
    return caller


def get_calendar(request: Request) -> Calendar:
    """In which zone days end, and how long links are open."""
    calendar: Calendar = request.app.state.calendar
    return calendar


def public_address(request: Request) -> str:
    """What addresses begin with that the service writes: as set, else as the request came."""
    return get_public_url(request) or f"{request.url.scheme}://{request.headers['host']}"


def get_public_url(request: Request) -> str:
    """Where callers find the service, a path in front included; empty where that isn't set."""
    public: str = request.app.state.public_url
    return public


def written_address(request: Request, path: str) -> str:
    """An address in an answer: from where callers find the service, if that is set; else a path."""
    return f"{get_public_url(request)}{path}"


def get_repricing(request: Request) -> RepricingHost:
    """Who does the re-pricings of the application that serves a request."""
    host: RepricingHost = request.app.state.repricing
    return host


def get_stored_prices(request: Request) -> StoredPrices:
    """The price lists of the database, with what was read of them before."""
    stored: StoredPrices = request.app.state.stored_prices
    return stored


def get_largest_price_change(request: Request) -> Decimal:
    """The share of its old cost by which an import may change an item without a word."""
    share: Decimal = request.app.state.largest_price_change
    return share


def get_lead_days(request: Request) -> int:
    """For how many days a lead is kept."""
    days: int = request.app.state.lead_days
    return days


def get_shelf(request: Request) -> CatalogShelf:
    """The shelf of the application that serves a request."""
    shelf: CatalogShelf = request.app.state.shelf
    return shelf


def get_catalog(request: Request) -> Catalog:
    """The catalog to answer a request from."""
    return get_shelf(request).current


def get_store_shelf(request: Request) -> StoreShelf:
    """The shelf with the database of the application that serves a request."""
    shelf: StoreShelf = request.app.state.store_shelf
    return shelf


def get_gates(request: Request) -> Gates:
    """The gates before the database of the application that serves a request."""
    gates: Gates = request.app.state.gates
    return gates


def get_turns(request: Request) -> Turns:
    """The turns of what is calculated by the event loop."""
    turns: TurnsByLoop = request.app.state.turns
    return turns.get()


def get_door(request: Request) -> Door:
    """The door to the processes that calculate."""
    door: Door = request.app.state.door
    return door


async def run_stored(request: Request, operation: Callable[[Store], T]) -> T:
    """Read from the database in a thread; answers that wait and are read are made first. Raises
    StorageBusyError."""
    shelf, catalog = get_store_shelf(request), get_catalog(request)
    reading = get_gates(request).reading
    return await reading.run(lambda: _answered(shelf.get(), catalog, operation))


async def run_storing(request: Request, operation: Callable[[Store], T]) -> T:
    """Run an operation that writes in a thread, likewise, in the name of the caller; it has
    committed when this returns. Raises StorageBusyError."""
    shelf, catalog = get_store_shelf(request), get_catalog(request)
    storing, by = get_gates(request).storing, get_caller(request).by
    done = await storing.run(lambda: _answered(shelf.get().acting_as(by), catalog, operation))
    get_webhooks(request).runner.wake()
    return done


def _answered(store: Store, catalog: Catalog, operation: Callable[[Store], T]) -> T:
    """What an operation comes to; answers that wait and are read are made first."""
    from service.operations.saved.waiting_answers import with_answers  # noqa: PLC0415  as in storage

    return with_answers(store, catalog, operation)
