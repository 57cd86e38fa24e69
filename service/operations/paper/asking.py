"""What is asked of a document, and what comes of it: data, as it goes to another process."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from service.documents.tree import Language, Paper
from service.operations.paper.kinds import Form, KindName
from service.operations.paper.price_rows import Detail
from service.operations.prices.stored_prices import LookedUp

Why = Literal[
    "quote-incomplete", "nothing-to-show", "unknown-company", "unknown-wall", "unknown-supplier"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """How a document is to look; None leaves it to the company."""

    company: str | None = None
    language: Language | None = None
    paper: Paper | None = None
    detail: Detail = "groups"
    wall: str | None = None
    supplier: str | None = None
    sign_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What is known of a saved quote beside its request: the answer as it was kept."""

    answer: bytes
    number: int
    revision: int
    made_in: int
    customer: bytes | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentAsked:
    """A document that is asked for: of a request (`document`), or a visit sheet for so many
    `stations`; `for_field` where no price may stand on it. `prices` is what the database has of the
    list that the request names, if it names one that is not in the catalog."""

    kind: KindName
    form: Form
    options: Options
    document: object = None
    prices: LookedUp | None = None
    kept: Kept | None = None
    stations: int | None = None
    for_field: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A document: its bytes, what it is called, and the policy under which a page is shown."""

    body: bytes
    name: str
    policy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMade:
    """Why there is no document; `option` is the parameter at fault, if one is."""

    code: Why
    message: str
    hint: str = ""
    option: str = ""
