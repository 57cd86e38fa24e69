"""The form by hand as a service that a browser reaches, and a page of another origin beside it."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn
from fastapi import FastAPI
from starlette.applications import Starlette
from starlette.middleware.cors import CORSMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from service.api.bodies import read_json
from service.api.error_answers import ERROR_ANSWERS
from service.api.front import Front
from service.api.late import endpoint
from service.api.table import Table
from service.api.v1.website.languages import read_language
from service.api.website.pages import page_handlers
from service.api.website.table import SCRIPT, page_operations
from tests.given.service_process import ROOT
from tests.given.website_page import FormByHand

KEY = "a-key-for-a-website"


@contextmanager
def serving(app: ASGIApp, port: int = 0) -> Iterator[str]:
    """An application on a port of this machine, a free one unless given: its host and port."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", port))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        try:
            yield f"127.0.0.1:{listener.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(10)


def made_key(settings: dict[str, str], origin: str) -> str:
    """A key for the form in a page."""
    words = ["keys", "new", "--name", "form", "--scope", "website", "--json"]
    done = subprocess.run(
        [sys.executable, "-m", "service", *words, "--website", "demo_site", "--origin", origin],
        cwd=ROOT, env={**os.environ, **settings}, check=True, capture_output=True, text=True,
    )  # fmt: skip
    key: str = json.loads(done.stdout)["key"]
    return key


def website_app(website: FormByHand) -> ASGIApp:
    """Page, script and the two calls over a form by hand; pages of this machine may make them."""
    operations = (*page_operations(*page_handlers(lambda _request: website)), SCRIPT)
    app = FastAPI(exception_handlers=dict(ERROR_ANSWERS))
    app.add_middleware(Front, table=Table(operations))
    for each in operations:
        answer = endpoint(each.handler)
        app.add_api_route(each.path, answer, methods=[each.method], response_model=None)
    calls = FastAPI(exception_handlers=dict(ERROR_ANSWERS))
    calls.add_api_route("/v1/website/form", _form_of(website), response_model=None)
    calls.add_api_route(
        "/v1/website/price-range", _range_of(website), methods=["POST"], response_model=None
    )
    shared = CORSMiddleware(
        calls,
        allow_origin_regex=r"http://127\.0\.0\.1:[0-9]+",
        allow_methods=["GET", "POST"],
        allow_headers=["Authorization", "Content-Type", "Accept-Language", "Idempotency-Key"],
        expose_headers=["Retry-After"],
    )

    async def either(scope, receive, send):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        inner = shared if scope["path"].startswith("/v1/") else app
        await inner(scope, receive, send)

    return either


def _form_of(website: FormByHand):  # type: ignore[no-untyped-def]  # noqa: ANN202
    async def read(request: Request) -> Response:
        if website.fails is not None:
            raise website.fails
        _see_key(request)
        return JSONResponse(website.form(read_language(request, website.languages)))

    return read


def _range_of(website: FormByHand):  # type: ignore[no-untyped-def]  # noqa: ANN202
    async def ask(request: Request) -> Response:
        _see_key(request)
        website.keys.append(request.headers.get("idempotency-key", ""))
        language = read_language(request, website.languages)
        return JSONResponse(await website.answer(await read_json(request), language))

    return ask


def _see_key(request: Request) -> None:
    assert request.headers["authorization"] == f"Bearer {KEY}"


def other_page(service: str, language: str = "en", key: str = KEY) -> ASGIApp:
    """A page of somebody else's with the form in it, in a look of its own."""
    text = f"""<!DOCTYPE html><html lang="{language}"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>Walls</title>
<style>:root {{ --wall-form-accent: #6b2d00 }}
input {{ display: none }} h2 {{ color: #fff }}</style>
</head><body><main><h1>Walls</h1>
<script src="http://{service}/website.js" data-key="{key}" defer></script>
</main></body></html>"""

    async def read(_request: Request) -> Response:
        # A page that lets nothing in but the one script, and asks nobody but its service.
        policy = (
            f"default-src 'none'; script-src http://{service}; connect-src http://{service}; "
            "style-src 'unsafe-inline'"
        )
        return HTMLResponse(text, headers={"Content-Security-Policy": policy})

    return Starlette(routes=[Route("/", read), Route("/favicon.ico", read)])
