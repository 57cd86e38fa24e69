"""A document as a web page: one template, texts escaped, drawings and logo within the page."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from service.documents.printed import printed
from service.documents.tree import Document, Figure, Logo

_IMAGE = {"svg": "image/svg+xml", "png": "image/png"}


@dataclass(frozen=True, slots=True)
class Page:
    """A web page, and the policy under which it is shown (CSP, level 3)."""

    text: str
    policy: str


def html_page(document: Document) -> Page:
    """The page of a document. It fetches nothing, and nothing in it runs."""
    style = _style()
    text = _template().render(document=printed(document), style=style)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'"
    return Page(text, f"{policy}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")


def _as_image(figure: Figure) -> str:
    return _data_url(figure.svg.encode(), "svg")


def _as_logo(logo: Logo) -> str:
    return _data_url(logo.data, logo.kind)


def _data_url(data: bytes, kind: str) -> str:
    return f"data:{_IMAGE[kind]};base64,{base64.b64encode(data).decode()}"


@lru_cache(maxsize=1)
def _style() -> str:
    return (files("service.documents.forms") / "document.css").read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def _template() -> Template:
    environment = Environment(
        loader=PackageLoader("service.documents.forms", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["as_image"] = _as_image
    environment.filters["as_logo"] = _as_logo
    environment.tests["of"] = lambda block, name: type(block).__name__ == name
    return environment.get_template("document.html.j2")
