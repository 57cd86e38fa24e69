"""The API pages: Swagger UI and ReDoc, served whole from this service.

Scripts and styles come with the package `fastapi-offline`; nothing is loaded from elsewhere, and
the pages' content security policy would not let them.
"""

from __future__ import annotations

import base64
import hashlib
import mimetypes
import re
from functools import cache
from http import HTTPStatus
from pathlib import Path

import fastapi_offline
from fastapi.openapi.docs import get_redoc_html, get_swagger_ui_html
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.api.openapi import TITLE
from service.api.operation import Operation
from service.api.prepared import Once, Prepared, prepare, prepared_response

STATIC_PATH = "/static-offline-docs"
OPENAPI_PATH = "/openapi.json"

# From the pages on, so that they are found under a path in front of the service as well.
_STATIC_BESIDE, _OPENAPI_BESIDE = STATIC_PATH[1:], OPENAPI_PATH[1:]
_STATIC = Path(fastapi_offline.__file__).parent / "static"
_REDOC = "redoc.standalone.js"
_OUTSIDE = b"https://cdn.redoc.ly/redoc/logo-mini.svg"
_EMPTY = b"data:image/gif;base64,R0lGODlhAQABAAAAACw="
_INLINE = re.compile(r"<script>(.*?)</script>", re.DOTALL)


async def read_openapi(request: Request) -> Response:
    """The OpenAPI document, made and packed once."""
    return prepared_response(request, await request.app.state.document.get())


async def read_docs(request: Request) -> Response:
    """The page on which calls can be tried."""
    return prepared_response(request, _swagger_page())


async def read_reference(request: Request) -> Response:
    """The page to read."""
    return prepared_response(request, _redoc_page())


async def read_docs_file(request: Request) -> Response:
    """A script, style or picture of the pages. Raises HTTPException where there is none."""
    name = request.path_params["file"]
    if name not in _files():
        raise HTTPException(HTTPStatus.NOT_FOUND)
    return prepared_response(request, await _file(name).get())


@cache
def _files() -> frozenset[str]:
    return frozenset(path.name for path in _STATIC.iterdir() if path.is_file())


@cache
def _file(name: str) -> Once:
    """One of the files, read and packed when it is asked for first."""
    return Once(lambda: _prepared_file(name))


def _prepared_file(name: str) -> Prepared:
    media_type = mimetypes.guess_type(name)[0] or "application/octet-stream"
    script = name == _REDOC
    return prepare(_redoc_script() if script else (_STATIC / name).read_bytes(), media_type)


def _redoc_script() -> bytes:
    """ReDoc's script, whose picture of its maker would come from outside: an empty one instead."""
    script = (_STATIC / _REDOC).read_bytes()
    if _OUTSIDE not in script:
        raise ValueError(f"{_REDOC} asks for another picture")
    return script.replace(_OUTSIDE, _EMPTY)


@cache
def _swagger_page() -> Prepared:
    page = get_swagger_ui_html(
        openapi_url=_OPENAPI_BESIDE,
        title=TITLE,
        swagger_js_url=f"{_STATIC_BESIDE}/swagger-ui-bundle.js",
        swagger_css_url=f"{_STATIC_BESIDE}/swagger-ui.css",
        swagger_favicon_url=f"{_STATIC_BESIDE}/favicon.png",
        # Without it the page would send the document's address to a validator outside.
        swagger_ui_parameters={"validatorUrl": "none"},
    )
    return _locked(page)


@cache
def _redoc_page() -> Prepared:
    page = get_redoc_html(
        openapi_url=_OPENAPI_BESIDE,
        title=TITLE,
        redoc_js_url=f"{_STATIC_BESIDE}/{_REDOC}",
        redoc_favicon_url=f"{_STATIC_BESIDE}/favicon.png",
        with_google_fonts=False,
    )
    return _locked(page)


def _locked(page: HTMLResponse) -> Prepared:
    """The page with a policy: only this service's files, and the page's own inline script.

    Both programs write styles while they draw, so inline styles are allowed.
    """
    body = bytes(page.body)
    inline = _INLINE.findall(body.decode("utf-8"))
    hashes = " ".join(f"'sha256-{_digest(script)}'" for script in inline)
    policy = (
        f"default-src 'none'; script-src 'self' {hashes}; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data:; font-src 'self' data:; connect-src 'self'; "
        "worker-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return prepare(body, "text/html", {"Content-Security-Policy": policy})


def _digest(script: str) -> str:
    return base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")


OPERATIONS = (
    Operation(method="GET", path=OPENAPI_PATH, handler=read_openapi, scopes=("public",)),
    Operation(method="GET", path="/docs", handler=read_docs, scopes=("public",), form="page"),
    Operation(method="GET", path="/redoc", handler=read_reference, scopes=("public",), form="page"),
    Operation(
        method="GET",
        path=f"{STATIC_PATH}/{{file:path}}",
        handler=read_docs_file,
        scopes=("public",),
        form="file",
    ),
)
