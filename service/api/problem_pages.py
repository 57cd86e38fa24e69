"""The pages at `/problems/{code}`: what each problem means, for people."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from html import escape

from starlette.requests import Request
from starlette.responses import Response

from service.api.faults import KINDS, ProblemKind
from service.api.operation import Operation
from service.api.prepared import Prepared, prepare, prepared_response
from service.api.problems import problem_response

_STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:40rem;margin:3rem auto;padding:0 1rem;"
    "color:#222;background:#fff}code{background:#eee;padding:.1em .3em}"
)
_STYLE_HASH = base64.b64encode(hashlib.sha256(_STYLE.encode("utf-8")).digest()).decode("ascii")
_HEADERS = {
    "Content-Security-Policy": (
        f"default-src 'none'; style-src 'sha256-{_STYLE_HASH}'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ),
    "Cache-Control": "public, max-age=3600",
}


async def list_problems(request: Request) -> Response:
    """Every problem code, each with a link to its page."""
    return prepared_response(request, _list_page())


@cache
def _list_page() -> Prepared:
    items = "".join(
        f'<li><a href="problems/{kind.code}">{kind.code}</a>: {escape(kind.title)}</li>'
        for kind in sorted(KINDS.values(), key=lambda kind: kind.code)
    )
    return _page("Problems", f"<ul>{items}</ul>")


async def read_problem(request: Request) -> Response:
    """One problem code, explained."""
    kind = KINDS.get(request.path_params["code"])
    if kind is None:
        return problem_response("not-found", detail="There is no problem with this code.")
    return prepared_response(request, _kind_page(kind))


@cache
def _kind_page(kind: ProblemKind) -> Prepared:
    return _page(kind.title, _body(kind))


def _body(kind: ProblemKind) -> str:
    return (
        f"<p>Code <code>{kind.code}</code>, usual status {kind.status}</p>"
        f"<p>{escape(kind.explanation)}</p>"
        '<p><a href="../problems">All problems</a></p>'
    )


def _page(title: str, body: str) -> Prepared:
    text = (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head>"
        f"<body><h1>{escape(title)}</h1>{body}</body></html>"
    )
    return prepare(text.encode("utf-8"), "text/html", _HEADERS)


OPERATIONS = (
    Operation(
        method="GET", path="/problems", handler=list_problems, scopes=("public",), form="page"
    ),
    Operation(
        method="GET", path="/problems/{code}", handler=read_problem, scopes=("public",), form="page"
    ),
)
