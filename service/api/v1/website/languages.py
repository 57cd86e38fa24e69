"""The language of an answer to a website's visitor (RFC 9110, 12.5.4)."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.requests import Request

from service.api.accept import quality
from service.api.operation import Parameter
from service.api.parameters import text
from service.catalog.documents.company import Language

ACCEPT_LANGUAGE = Parameter(
    name="Accept-Language",
    within="header",
    description="The visitor's languages; of those that the website has the best liked one.",
    schema=text(0, 1000),
    component="AcceptLanguage",
)


def read_language(request: Request, languages: Sequence[Language]) -> Language:
    """The one of some languages that `Accept-Language` likes best; the first where it says
    nothing of them."""
    accept = ",".join(request.headers.getlist("accept-language"))
    best = max(languages, key=lambda language: _liking(accept, language))
    return best if _liking(accept, best) > 0 else languages[0]


def language_headers(language: Language) -> dict[str, str]:
    """What an answer says of its language."""
    return {"Content-Language": language, "Vary": "Accept-Language"}


def _liking(accept: str, language: Language) -> float:
    """How much a language is liked: by the range that names it, else by `*`."""
    found: dict[str, float] = {}
    for part in accept.lower().split(","):
        name, *parameters = (piece.strip() for piece in part.split(";"))
        of = name.partition("-")[0]
        if of in (language, "*"):
            found[of] = max(found.get(of, 0.0), quality(parameters))
    return found.get(language, found.get("*", 0.0))
