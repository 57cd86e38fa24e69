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
    style = style_of("document.css")
    text = template_of("document.html.j2").render(document=printed(document), style=style)
    return Page(text, policy_of(style))


def policy_of(style: str, form_action: str = "'none'") -> str:
    """The policy of a page that shows pictures of its own and sends forms to `form_action`."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'"
    return f"{policy}; base-uri 'none'; form-action {form_action}; frame-ancestors 'none'"


def _as_image(figure: Figure) -> str:
    return _data_url(figure.svg.encode(), "svg")


def _as_logo(logo: Logo) -> str:
    return _data_url(logo.data, logo.kind)


def _data_url(data: bytes, kind: str) -> str:
    return f"data:{_IMAGE[kind]};base64,{base64.b64encode(data).decode()}"


@lru_cache(maxsize=4)
def style_of(*names: str) -> str:
    """The style sheets of this folder, one after the other."""
    folder = files("service.documents.forms")
    return "".join((folder / name).read_text(encoding="utf-8") for name in names)


@lru_cache(maxsize=4)
def template_of(name: str) -> Template:
    """A template of this folder."""
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
    return environment.get_template(name)
