"""What changed, as callers read it: in order, without gaps, each what its scopes let it see."""

from __future__ import annotations

import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Final, get_args

from msgspec import Meta, Struct

from service.operations.answer_figures import Instant
from service.operations.callers.caller import Caller, KeyScope
from service.operations.saved.saved_quote_answer import instant
from service.storage import Connection
from service.storage.events import Event, EventType, Kept, find_kept, list_events

EVENT_TYPES: Final[tuple[EventType, ...]] = get_args(EventType)
# Of which things each scope hears; `quotes` contains `field`.
_HEARS: Final[Mapping[KeyScope, tuple[str, ...]]] = MappingProxyType(
    {
        "field": ("quote.",),
        "quotes": ("lead.", "link."),
        "prices": ("price_list.", "mapping.", "repricing."),
        "admin": ("",),
    }
)
Told = str | int | bool | list[str] | dict[str, str]


class EventAnswer(Struct, frozen=True):
    """Something that changed: what, when, and by whom (a key's id, `link`, `website`, `loopback`
    or `command-line`). `data` has ids, numbers, states and, under `links`, addresses."""

    id: Annotated[str, Meta(pattern="^[1-9][0-9]{0,17}$")]
    type: EventType
    timestamp: Instant
    by: str
    data: dict[str, Told]


class EventPage(Struct, frozen=True):
    """Events in their order. `next` is where to go on, now or later: it is never null."""

    items: tuple[EventAnswer, ...]
    next: str


class EventsGoneError(Exception):
    """What comes after an event can't be told: it is not among those that are kept, or never
    was."""

    def __init__(self, after: int, kept: Kept) -> None:
        self.kept = kept
        held = f"{kept.first} to {kept.last}" if kept.last else "none so far"
        super().__init__(
            f"after: what comes after event {after} can't be told without a gap. Kept are {held}."
        )


def heard_types(caller: Caller) -> tuple[EventType, ...]:
    """The types of events that a caller may read, in the order of the document."""
    heard = tuple(
        start for scope, starts in _HEARS.items() if caller.may(scope) for start in starts
    )
    return tuple(type_ for type_ in EVENT_TYPES if type_.startswith(heard))


def scopes_for(type_: EventType) -> tuple[KeyScope, ...]:
    """The scopes of which each lets a caller read a type of events."""
    return tuple(scope for scope, starts in _HEARS.items() if type_.startswith(starts))


def read_events(
    connection: Connection, types: tuple[EventType, ...], *, after: int | None, limit: int
) -> tuple[tuple[Event, ...], int]:
    """At most `limit` events of some types after a number, and the number to go on after; `after`
    None: from the first that is kept.

    What is there to be read is looked up once, so that a page has no event of a transaction that
    ended while it was read, and misses none before it. Raises EventsGoneError.
    """
    kept = find_kept(connection)
    if after is None:
        after = max(kept.first - 1, 0)
    if not max(kept.first - 1, 0) <= after <= kept.last:
        raise EventsGoneError(after, kept)
    found = list_events(connection, after=after, until=kept.last, types=types, limit=limit)
    # A full page may be followed by more; after any other nothing is left up to the last.
    return found, found[-1].id if len(found) == limit else kept.last


def event_answer(event: Event, public_url: str) -> EventAnswer:
    """An event as it is answered, and as it is sent on: with addresses that begin with where
    callers find the service, if that is set."""
    data = json.loads(event.data)
    if public_url and "links" in data:
        data["links"] = {name: f"{public_url}{path}" for name, path in data["links"].items()}
    return EventAnswer(
        id=str(event.id),
        type=event.type,
        timestamp=instant(event.recorded_at),
        by=event.by,
        data=data,
    )
