"""`GET /`: the page, put together once. It fetches nothing but this service's own answers."""

from __future__ import annotations

import base64
import hashlib
import json
from functools import partial
from importlib.resources import files
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from service.api.dependencies import get_caller
from service.api.openapi.examples import examples_folder
from service.api.operation import Operation
from service.api.prepared import Once, Prepared, prepare, prepared_response
from service.operations.callers.caller import NOBODY

FIRST = "garden_wall"
# Examples of what is refused are no wall to begin with.
_PROBLEM = "errors_total"


async def read_home(request: Request) -> Response:
    """A page to look at: examples or a request of your own, drawn and priced. Once there are keys
    it comes without examples, asks for a key and keeps it until it is closed."""
    page = _KEYED_PAGE if get_caller(request) is NOBODY else _PAGE
    return prepared_response(request, await page.get())


def _page(*, keyed: bool) -> Prepared:
    style, script = _text("page.css"), _text("page.js")
    text = _text("page.html").replace("/*style*/", style).replace("/*script*/", script)
    text = text.replace("/*keys*/", "asked" if keyed else "none")
    text = text.replace("/*examples*/", "{}" if keyed else _in_page(_examples()))
    policy = (
        f"default-src 'none'; script-src 'sha256-{_digest(script)}'; "
        f"style-src 'sha256-{_digest(style)}'; img-src data:; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return prepare(text.encode(), "text/html", {"Content-Security-Policy": policy})


def _examples() -> dict[str, Any]:
    """The example requests that are answered well, the first one first."""
    folder = examples_folder()
    found: dict[str, Any] = {}
    for file in sorted((folder / "quote_walls").glob("*.request.json") if folder else ()):
        name = file.name.split(".")[0]
        answer = json.loads(file.with_name(f"{name}.response.json").read_text(encoding="utf-8"))
        if _PROBLEM not in answer:
            found[name] = json.loads(file.read_text(encoding="utf-8"))
    return dict(sorted(found.items(), key=lambda entry: entry[0] != FIRST))


def _in_page(document: object) -> str:
    """JSON within a page: nothing in it ends its element."""
    return json.dumps(document).replace("<", "\\u003c")


def _text(name: str) -> str:
    return (files("service.api.page") / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


_PAGE = Once(partial(_page, keyed=False))
_KEYED_PAGE = Once(partial(_page, keyed=True))

OPERATIONS = (
    Operation(method="GET", path="/", handler=read_home, scopes=("public",), form="page"),
)
