"""How a document is to look: options of the query, the form by `format` or `Accept`."""

from __future__ import annotations

from datetime import date
from typing import Literal, TypeVar, get_args
from urllib.parse import quote

from starlette.requests import Request

from service.api.accept import choose_form
from service.api.operation import Parameter
from service.api.parameters import DAY_SCHEMA, ID_SCHEMA, one_word, text
from service.api.problems import ParameterError, ProblemError
from service.api.v1.pages import read_parameters
from service.documents.tree import Language, Paper
from service.operations.paper.asking import Options
from service.operations.paper.kinds import KIND_NAMES, KINDS, MEDIA_TYPES, Form, KindName
from service.operations.paper.price_rows import Detail
from service.units import found

W = TypeVar("W", bound=str)


KIND = Parameter(
    name="kind",
    within="path",
    description="What kind of document.",
    schema={"type": "string", "enum": list(KIND_NAMES)},
    component="DocumentKind",
    required=True,
)
FORMAT = one_word(
    "format",
    "DocumentFormat",
    get_args(Form),
    "The form, in place of `Accept`; each kind has its own.",
)
COMPANY = Parameter(
    name="company",
    within="query",
    description="Whose paper: an id of the catalog's companies.",
    schema=ID_SCHEMA,
    component="Company",
)
LANGUAGE = one_word("language", "Language", get_args(Language), "The company's, left out.")
PAPER = one_word("paper", "Paper", get_args(Paper), "The company's, left out.")
DETAIL = one_word(
    "detail", "Detail", get_args(Detail), "How far the price is told; `groups`, left out."
)
WALL = Parameter(
    name="wall",
    within="query",
    description="The wall of an elevation or a section; the first, left out.",
    schema=text(1, 200),
    component="Wall",
)
SUPPLIER = Parameter(
    name="supplier",
    within="query",
    description="The supplier of an order; all, left out.",
    schema=text(1, 200),
    component="Supplier",
)
SIGN_ON = Parameter(
    name="sign_on",
    within="query",
    description="The day on which a contract is to be signed.",
    schema=DAY_SCHEMA,
    component="SignOn",
)
OPTIONS = (COMPANY, LANGUAGE, PAPER, DETAIL, WALL, SUPPLIER, SIGN_ON, FORMAT)
_NAMES = tuple(option.name for option in OPTIONS)


def read_kind(request: Request) -> KindName:
    """The kind in the path. Raises ProblemError (404) for no kind."""
    named = request.path_params["kind"]
    for kind in KIND_NAMES:
        if kind == named:
            return kind
    raise ProblemError("unknown-document-kind", f"The kinds are {', '.join(KIND_NAMES)}.")


def read_options(request: Request, kind: KindName) -> tuple[Options, Form]:
    """Options and form. Raises ParameterError, and ProblemError (406) for a form that the kind
    doesn't have."""
    given = read_parameters(request, _NAMES)
    options = Options(
        company=given.get("company"),
        language=_word(given, "language", get_args(Language)),
        paper=_word(given, "paper", get_args(Paper)),
        detail=_word(given, "detail", get_args(Detail)) or "groups",
        wall=given.get("wall"),
        supplier=given.get("supplier"),
        sign_on=_day(given.get("sign_on")),
    )
    return options, _form(request, kind, given.get("format"))


def _form(request: Request, kind: KindName, named: str | None) -> Form:
    forms = KINDS[kind].forms
    if named is not None:
        for form in forms:
            if form == named:
                return form
        raise ProblemError("not-acceptable", f"{kind} is made as {' or '.join(forms)}.")
    media_types = {MEDIA_TYPES[form]: form for form in forms}
    return media_types[choose_form(request, tuple(media_types))]


def _word(given: dict[str, str], name: str, words: tuple[W, ...]) -> W | None:
    if name not in given:
        return None
    for word in words:
        if word == given[name]:
            return word
    message = f"{name}: {found(given[name])} is not a choice"
    raise ParameterError(name, message, f"one of: {', '.join(words)}")


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text) if len(text) == len("2026-05-04") else _no_day(text)
    except ValueError:
        return _no_day(text)


def _no_day(text: str) -> date:
    raise ParameterError("sign_on", f"sign_on: {found(text)} is no date", "such as 2026-05-04")


def disposition(name: str, form: Form) -> str:
    """How a caller is told to keep a file: an ASCII name, and the whole one (RFC 6266)."""
    plain = "".join(
        letter if letter.isascii() and (letter.isalnum() or letter in "._-") else "_"
        for letter in name
    )
    shown: Literal["inline", "attachment"] = "attachment" if form in ("csv", "xlsx") else "inline"
    return f"{shown}; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
