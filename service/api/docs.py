"""The API pages: Swagger UI and ReDoc, served whole from this service.

Scripts and styles come with the package `fastapi-offline`; nothing is loaded from elsewhere, and
the pages' content security policy would not let them.
"""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from pathlib import Path

import fastapi_offline
from fastapi.openapi.docs import get_redoc_html, get_swagger_ui_html
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.staticfiles import StaticFiles

from service.api.answers import content_response, etag
from service.api.compression import takes_gzip
from service.api.openapi import TITLE
from service.api.operation import Operation

STATIC_PATH = "/static-offline-docs"
OPENAPI_PATH = "/openapi.json"

_STATIC = Path(fastapi_offline.__file__).parent / "static"
_FILES = StaticFiles(directory=_STATIC)
_REDOC = "redoc.standalone.js"
_OUTSIDE = b"https://cdn.redoc.ly/redoc/logo-mini.svg"
_EMPTY = b"data:image/gif;base64,R0lGODlhAQABAAAAACw="
_INLINE = re.compile(r"<script>(.*?)</script>", re.DOTALL)


async def read_openapi(request: Request) -> Response:
    """The OpenAPI document, made and packed once."""
    plain, packed = request.app.state.document()
    takes = takes_gzip(request.headers)
    body, headers = packed if takes else plain, {"Vary": "Accept-Encoding"}
    response = content_response(request, body, tag=etag(plain), headers=headers)
    if takes and response.body:
        response.headers["Content-Encoding"] = "gzip"
    return response


async def read_docs(_request: Request) -> Response:
    """The page on which calls can be tried."""
    return _swagger_page()


async def read_reference(_request: Request) -> Response:
    """The page to read."""
    return _redoc_page()


async def read_docs_file(request: Request) -> Response:
    """A script, style or picture of the pages. Raises HTTPException where there is none."""
    if request.path_params["file"] == _REDOC:
        return content_response(request, _redoc_script(), media_type="text/javascript")
    below = {**request.scope, "path": request.path_params["file"], "root_path": ""}
    return await _FILES.get_response(_FILES.get_path(below), request.scope)


@cache
def _redoc_script() -> bytes:
    """ReDoc's script, whose picture of its maker would come from outside: an empty one instead."""
    script = (_STATIC / _REDOC).read_bytes()
    if _OUTSIDE not in script:
        raise ValueError(f"{_REDOC} asks for another picture")
    return script.replace(_OUTSIDE, _EMPTY)


@cache
def _swagger_page() -> HTMLResponse:
    page = get_swagger_ui_html(
        openapi_url=OPENAPI_PATH,
        title=TITLE,
        swagger_js_url=f"{STATIC_PATH}/swagger-ui-bundle.js",
        swagger_css_url=f"{STATIC_PATH}/swagger-ui.css",
        swagger_favicon_url=f"{STATIC_PATH}/favicon.png",
        # Without it the page would send the document's address to a validator outside.
        swagger_ui_parameters={"validatorUrl": "none"},
    )
    return _locked(page)


@cache
def _redoc_page() -> HTMLResponse:
    page = get_redoc_html(
        openapi_url=OPENAPI_PATH,
        title=TITLE,
        redoc_js_url=f"{STATIC_PATH}/{_REDOC}",
        redoc_favicon_url=f"{STATIC_PATH}/favicon.png",
        with_google_fonts=False,
    )
    return _locked(page)


def _locked(page: HTMLResponse) -> HTMLResponse:
    """The page with a policy: only this service's files, and the page's own inline script.

    Both programs write styles while they draw, so inline styles are allowed.
    """
    inline = _INLINE.findall(bytes(page.body).decode("utf-8"))
    hashes = " ".join(f"'sha256-{_digest(script)}'" for script in inline)
    page.headers["Content-Security-Policy"] = (
        f"default-src 'none'; script-src 'self' {hashes}; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data:; font-src 'self' data:; connect-src 'self'; "
        "worker-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return page


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
