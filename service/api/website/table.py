"""The operations of a website's page and of its script."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from service.api.form_body import FORM, MOST_FORM_BYTES
from service.api.late import Handler, late_modules
from service.api.operation import Body, Operation

if TYPE_CHECKING:
    from service.api.website import entry, script
else:
    entry, script = late_modules("service.api.website", "entry script")


def page_operations(read: Handler, send: Handler) -> tuple[Operation, ...]:
    """The two operations of the page."""
    shared: dict[str, Any] = {"path": "/website/{id}", "scopes": ("public",), "form": "page"}
    body = Body(shapes={FORM: {"type": "object"}}, most_bytes=MOST_FORM_BYTES)
    return (
        Operation(method="GET", handler=read, id="read_website_page", **shared),
        Operation(method="POST", handler=send, id="send_website_page", body=body, **shared),
    )


SCRIPT = Operation(
    method="GET",
    path="/website.js",
    handler=script.read_website_script,
    scopes=("public",),
    form="file",
)
OPERATIONS = (*page_operations(entry.READ, entry.SEND), SCRIPT)
