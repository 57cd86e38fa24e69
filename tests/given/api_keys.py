"""Keys of a store, made as the command line makes them, and how they are sent."""

from __future__ import annotations

import json
from types import SimpleNamespace

from service.operations.callers.caller import COMMAND_LINE
from service.operations.callers.key_request import KeyRequest
from service.operations.callers.keys import make_key
from service.storage import Store
from tests.given.quote_requests import Json

ORIGIN = "https://www.example.com"
WEBSITE = "demo_site"


def new_key(
    store: Store, *scopes: str, expires: str | None = None, website: str = WEBSITE
) -> tuple[str, str]:
    """A new key for scopes: its id and its text; one for a website names it, which the catalog
    had when it was made."""
    asked: Json = {"name": " ".join(scopes), "scopes": list(scopes)}
    if "website" in scopes:
        asked |= {"website": website, "origins": [ORIGIN]}
    if expires is not None:
        asked["expires"] = expires
    with store.write() as connection:
        context = {"catalog": SimpleNamespace(websites=(website,))}
        request = KeyRequest.model_validate(asked, context=context)
        made = make_key(connection, store, request, by=COMMAND_LINE.by)
    document = json.loads(made.body)
    return document["id"], document["key"]


def bearer(key: str) -> dict[str, str]:
    """A key as it is sent."""
    return {"Authorization": f"Bearer {key}"}
