"""The page of a website's form: questions, faults beside them, and the answer; one template."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from service.api.website.fields import Json, Typed, groups_of
from service.api.website.script import form_style
from service.api.website.words import words_by_name
from service.documents.tree import Language

if TYPE_CHECKING:
    from jinja2 import Template


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a page shows beside the form: a notice, or the answer that came."""

    typed: Typed
    notice: str = ""
    answer: Json | None = None


def page_text(form: Json, language: Language, others: tuple[Language, ...], shown: Shown) -> str:
    """The page, and a link to it in each other language. Texts are escaped, nothing in it runs but
    the service's own script."""
    words = words_by_name(language)
    return _template("page.html.j2").render(
        language=language,
        others=others,
        words=words,
        groups=groups_of(form, shown.typed),
        form_version=form["form_version"],
        shown=shown,
        style=_style(),
        money=_money_of(language),
        filled=_filled,
    )


def nowhere_text(language: Language) -> str:
    """The page of an address where no form is."""
    from service.documents.words import words_of  # noqa: PLC0415

    title = words_of(language).say("There is nothing here")
    return _template("nowhere.html.j2").render(language=language, title=title, style=_style())


@lru_cache(maxsize=1)
def policy() -> str:
    """What the page may do (CSP, level 3): its own style, the service's script, its own form."""
    digest = base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()
    return (
        f"default-src 'none'; script-src 'self'; style-src 'sha256-{digest}'; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )


def _money_of(language: Language) -> Any:  # noqa: ANN401  what writes a sum
    from service.documents.words import words_of  # noqa: PLC0415

    return words_of(language).money


def _filled(text: str, **figures: object) -> str:
    """A word with its figures."""
    for name, figure in figures.items():
        text = text.replace(f"{{{name}}}", str(figure))
    return text


@lru_cache(maxsize=1)
def _style() -> str:
    page = (files("service.api.website") / "page.css").read_text(encoding="utf-8")
    return page + form_style()


@lru_cache(maxsize=2)
def _template(name: str) -> Template:
    # Loaded by the first page.
    from jinja2 import Environment, PackageLoader, StrictUndefined  # noqa: PLC0415

    environment = Environment(
        loader=PackageLoader("service.api.website", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(name)
