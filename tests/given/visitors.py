"""What visitors of the demo website answer."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI

from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.served import Here

Json = dict[str, Any]

# A low straight wall that nothing speaks against.
PLAIN: dict[str, str] = {
    "length": "42",
    "height": "3",
    "behind": "level",
    "in_front": "level",
    "above": "lawn",
    "now": "bank",
    "way_in": "drive_in",
    "water": "runs_off",
}
LEAD: Json = {
    "name": "A. Example",
    "email": "a.example@example.com",
    "phone": "555-0100",
    "wish": "Room for a bench",
    "photo_1": "https://photos.example.com/bank.jpg",
    "consent": True,
}


def asked(lead: Json | None = None, **answers: str) -> Json:
    """What a website sends: the plain wall, with other answers where they are given."""
    sent: Json = {"form_version": 1, "answers": {**PLAIN, **answers}, "website": ""}
    return sent if lead is None else {**sent, "lead": lead}


def uncounted(catalog: Catalog, store: Store | None = None) -> FastAPI:
    """The application with default settings, but that visitors may ask as often as they like. It
    calculates in this process: each call of a test has a loop of its own."""
    settings = Settings.model_construct().model_copy(update={"price_range_limits": (0, 0)})
    app = create_app(settings, catalog, store)
    app.state.door = Here()
    return app
