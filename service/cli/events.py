"""`events list` and `events follow`: what changed, line by line, for a person or as JSON."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from typing import Annotated, Final

import msgspec
import typer

from service.cli.columns import printable
from service.cli.start import database, ended, read_settings
from service.operations.callers.event_list import (
    EVENT_TYPES,
    EventAnswer,
    EventsGoneError,
    event_answer,
    read_events,
)
from service.storage import Store
from service.storage.events import Event, EventType, find_kept

PAGE: Final = 200
LOOK_EVERY_S: Final = 1.0

events = typer.Typer(help="What changed: when, and by whom.", no_args_is_help=True)
After = Annotated[
    int | None, typer.Option(metavar="ID", help="Only what came after this event.", min=0)
]
Types = Annotated[
    list[str] | None,
    typer.Option("--type", help="Only events of this type; may be given several times."),
]
AsJson = Annotated[bool, typer.Option("--json", help="A JSON document a line, as HTTP has it.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(events, name="events")


@events.command("list")
def list_them(*, after: After = None, types: Types = None, as_json: AsJson = False) -> None:
    """Print what changed, the oldest first: all that is kept."""
    chosen = _types(types)
    settings = read_settings()
    with database(settings) as store:
        for page in _pages(store, after, chosen):
            _print(page, settings.public_url, as_json=as_json)
            if len(page) < PAGE:
                return


@events.command("follow")
def follow(*, after: After = None, types: Types = None, as_json: AsJson = False) -> None:
    """Print what changes from now on, or since an event, until stopped with Ctrl-C."""
    chosen = _types(types)
    settings = read_settings()
    with database(settings) as store, suppress(KeyboardInterrupt):
        for page in _pages(store, _last(store) if after is None else after, chosen):
            _print(page, settings.public_url, as_json=as_json)
            if len(page) < PAGE:
                time.sleep(LOOK_EVERY_S)


def _types(given: list[str] | None) -> tuple[EventType, ...]:
    """The types that are asked for; what is none is wrong usage."""
    for word in given or ():
        if word not in EVENT_TYPES:
            raise typer.BadParameter(f"--type {word} is not one of {', '.join(EVENT_TYPES)}")
    return tuple(type_ for type_ in EVENT_TYPES if given is None or type_ in given)


def _pages(
    store: Store, after: int | None, types: tuple[EventType, ...]
) -> Iterator[tuple[Event, ...]]:
    """Pages of events without an end: one that isn't full is the last so far."""
    while True:
        try:
            with store.read() as connection:
                page, after = read_events(connection, types, after=after, limit=PAGE)
        except EventsGoneError as error:
            raise ended(str(error)) from error
        yield page


def _last(store: Store) -> int:
    """The number of the last event so far."""
    with store.read() as connection:
        return find_kept(connection).last


def _print(page: tuple[Event, ...], public_url: str, *, as_json: bool) -> None:
    for event in page:
        answer = event_answer(event, public_url)
        line = msgspec.json.encode(answer).decode() if as_json else _words(event, answer)
        sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def _words(event: Event, answer: EventAnswer) -> str:
    """An event for a person: its number, when, what, by whom, and what it happened to."""
    data = json.loads(event.data)
    told = [
        f"{name} {value}"
        for name, value in data.items()
        if name != "links" and value != event.subject
    ]
    about = [event.subject or "", ", ".join(told)]
    parts = [answer.id, answer.timestamp, answer.type, answer.by, *filter(None, about)]
    return printable("  ".join(parts))
