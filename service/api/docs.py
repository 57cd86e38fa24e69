"""The API pages: Swagger UI and ReDoc, served whole from this service.

Scripts and styles come with the package `fastapi-offline`; nothing is loaded from elsewhere, and
the pages' content security policy would not let them.
"""

from __future__ import annotations

import base64
import hashlib
import re
from pathlib import Path

import fastapi_offline
from fastapi import FastAPI
from fastapi.openapi.docs import get_redoc_html, get_swagger_ui_html
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.staticfiles import StaticFiles

from service.api.answers import read_response
from service.api.openapi import TITLE, openapi_document

STATIC_PATH = "/static-offline-docs"
OPENAPI_PATH = "/openapi.json"

_FOLDER = Path(fastapi_offline.__file__).parent / "static"
_INLINE = re.compile(r"<script>(.*?)</script>", re.DOTALL)


def add_docs(app: FastAPI) -> None:
    """Add `/openapi.json`, `/docs` and `/redoc`; call it after all routes are there."""
    pages = {"/docs": _swagger_page(), "/redoc": _redoc_page()}
    document: dict[str, object] = {}

    async def read_openapi(request: Request) -> Response:
        if not document:
            document.update(openapi_document(app))
        return read_response(request, document)

    async def read_page(request: Request) -> Response:
        return pages[request.url.path]

    app.mount(STATIC_PATH, StaticFiles(directory=_FOLDER), name="docs-files")
    app.add_route(OPENAPI_PATH, read_openapi, include_in_schema=False)
    for path in pages:
        app.add_route(path, read_page, include_in_schema=False)


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


def _redoc_page() -> HTMLResponse:
    page = get_redoc_html(
        openapi_url=OPENAPI_PATH,
        title=TITLE,
        redoc_js_url=f"{STATIC_PATH}/redoc.standalone.js",
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
