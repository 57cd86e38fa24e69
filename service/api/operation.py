"""One operation of the API as a row: what it is stands there and nowhere else.

Router, front, OpenAPI document and tests read the rows. A row without a scope is no row, so a
service that has one doesn't start.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal, get_args

from msgspec import Struct
from pydantic import BaseModel

from service.api.bodies import JSON, MAX_BODY_BYTES
from service.api.late import Handler, found

JsonSchema = dict[str, Any]
Method = Literal["GET", "POST", "PUT", "DELETE"]
# What a key must be for to call an operation; `public` ones ask for no key.
Scope = Literal["website", "field", "quotes", "prices", "admin", "public"]
# What is answered: JSON; lines where lines came in, else JSON; what the handler chooses by
# `Accept`; a page for people; a file, which may be kept by whoever asked.
Form = Literal["json", "lines", "chosen", "page", "file"]

# What an operation refuses beside what follows from its row: see `Operation.problems`.
READS_STORED = (503,)
STORES = (409, 503, 507)
CHANGES = (409, 412, 428, 503, 507)
_ALWAYS = (400, 403, 406, 413, 429, 431, 500)


@dataclass(frozen=True, slots=True)
class EntryOf:
    """An entry of the catalog, by its kind: as it stands in its file."""

    kind: str


@dataclass(frozen=True, slots=True)
class KeptOf:
    """What was kept as such a model, by this version of the service or an older one."""

    model: type[BaseModel | Struct]


@dataclass(frozen=True, slots=True)
class PageOf:
    """A page of a list: `items`, and `next`, the address of the next page."""

    item: type[Struct] | EntryOf


@dataclass(frozen=True, slots=True)
class AnyOf:
    """One of several shapes."""

    shapes: tuple[type[BaseModel | Struct] | EntryOf | PageOf, ...]


@dataclass(frozen=True, slots=True)
class LinesOf:
    """Lines of JSON: items, and a last one that says under `count` how many there were."""

    item: type[Struct] | AnyOf
    count: str


@dataclass(frozen=True, slots=True)
class ArrayOf:
    """A JSON array of so many items."""

    item: type[BaseModel] | AnyOf
    least: int
    most: int


# What a body or an answer looks like: a model, an answer, what is made of them, or a plain schema.
Shape = (
    type[BaseModel]
    | type[Struct]
    | EntryOf
    | KeptOf
    | PageOf
    | LinesOf
    | ArrayOf
    | AnyOf
    | JsonSchema
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """A parameter in the address, the query or the head. `component` is its name among the parts
    of the document, as several operations may take it."""

    name: str
    within: Literal["path", "query", "header"]
    description: str
    schema: JsonSchema
    component: str
    required: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What an operation takes, by media type, and how many bytes of it."""

    shapes: Mapping[str, Shape]
    description: str = ""
    required: bool = True
    most_bytes: int = MAX_BODY_BYTES


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What an operation answers when all is well, by media type. `headers` are names among the
    headers of the document."""

    description: str
    status: int = 200
    shapes: Mapping[str, Shape] = field(default_factory=lambda: MappingProxyType({}))
    headers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One method at one address.

    `scopes`: a key for any of them may call it; one for `quotes` may do what `field` may.
    `tag` groups it in the document; without one it is no part of the document. `parameters` are
    single ones and groups of them. `id` is the handler's name unless it is given. `example` is
    the case whose whole answer the document shows.
    `counted`: whoever calls it is held to so many calls an hour.
    """

    method: Method
    path: str
    handler: Handler
    scopes: tuple[Scope, ...]
    form: Form = "json"
    tag: str | None = None
    id: str = ""
    summary: str = ""
    parameters: tuple[Parameter | tuple[Parameter, ...], ...] = ()
    body: Body | None = None
    answers: tuple[Answer, ...] = ()
    refuses: tuple[int, ...] = ()
    example: str = ""
    counted: bool = False

    def __post_init__(self) -> None:
        if not self.scopes or not set(self.scopes) <= set(get_args(Scope)):
            raise ValueError(f"{self.method} {self.path}: its scopes are {self.scopes!r}")
        if len(self.scopes) > 1 and "public" in self.scopes:
            raise ValueError(f"{self.method} {self.path}: what is public asks for no key")
        if not self.id:
            object.__setattr__(self, "id", self.handler.__name__)

    def each_parameter(self) -> Iterator[Parameter]:
        """Its parameters, one by one."""
        for part in map(found, self.parameters):
            yield from part if isinstance(part, tuple) else (part,)

    @property
    def problems(self) -> tuple[int, ...]:
        """The statuses of its refusals: those of every operation, those that follow from what it
        takes, and its own."""
        statuses = {*_ALWAYS, *self.refuses}
        if self.body is not None:
            statuses |= {415, 422}
        if self.scopes != ("public",):
            statuses |= {401, 422}  # without a key; for a query parameter that it doesn't know
        if "{" in self.path:
            statuses.add(404)
        return tuple(sorted(statuses))


def json_answer(shape: Shape, **given: Any) -> Answer:  # noqa: ANN401  the fields of an answer
    """An answer in JSON."""
    return Answer(shapes={JSON: shape}, **given)
