"""What rows of saved quotes have in common."""

from __future__ import annotations

from typing import Any

from msgspec import Struct
from pydantic import BaseModel

from service.api.bodies import JSON
from service.api.operation import (
    READS_STORED,
    STORES,
    Answer,
    Body,
    Operation,
    Scope,
    Shape,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY, IF_CHANGED, read_answers

TAG = "saved quotes"
READERS: tuple[Scope, ...] = ("quotes", "prices")
# Where no answer is shown.
_ASIDE = ("/state", "/customer", "/metadata", "/notes", "/revisions")


def changed(answer: type[Struct]) -> Answer:
    """The answer that shows something as it was changed."""
    headers = ("ETag", "Idempotent-Replayed")
    return json_answer(answer, description="As it is now.", headers=headers)


def kept(answer: type[Struct]) -> Answer:
    """The answer that shows what is new."""
    headers = ("ETag", "Idempotent-Replayed", "Location")
    return json_answer(answer, status=201, description="Kept.", headers=headers)


def stores(body: type[BaseModel], **given: Any) -> Operation:  # noqa: ANN401  fields of a row
    """A row of an operation that stores what it is sent."""
    parameters = (*given.pop("parameters", ()), IDEMPOTENCY_KEY)
    shapes = Body(shapes={JSON: body})
    return Operation(scopes=("quotes",), tag=TAG, body=shapes, parameters=parameters, **given)


def reads_kept(path: str, shape: Shape, **given: Any) -> Operation:  # noqa: ANN401  fields of a row
    """A row of an operation that reads; one that shows answers keeps those that wait."""
    return Operation(
        method="GET",
        path=path,
        scopes=given.pop("scopes", READERS),
        tag=TAG,
        parameters=(*given.pop("parameters", ()), IF_CHANGED),
        answers=read_answers(shape),
        refuses=READS_STORED if path.endswith(_ASIDE) else STORES,
        **given,
    )
