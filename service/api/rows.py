"""Rows of one resource: what they have in common is said once."""

from __future__ import annotations

from typing import TypedDict, Unpack

from service.api.late import Handler
from service.api.operation import (
    READS_STORED,
    STORES,
    Answer,
    Body,
    Form,
    Method,
    Operation,
    Parameter,
    Scope,
    Shape,
)
from service.api.parameters import IF_CHANGED, read_answers


class Given(TypedDict, total=False):
    """What a row says besides: see `Operation`."""

    summary: str
    scopes: tuple[Scope, ...]
    form: Form
    id: str
    parameters: tuple[Parameter | tuple[Parameter, ...], ...]
    body: Body
    refuses: tuple[int, ...]
    example: str
    counted: bool


class Rows:
    """Makes rows under one tag, for keys of the same scopes where a row names no others."""

    def __init__(self, tag: str, *scopes: Scope) -> None:
        self._tag = tag
        self._scopes = scopes

    def row(
        self, method: Method, path: str, handler: Handler, *answers: Answer, **given: Unpack[Given]
    ) -> Operation:
        """An operation with what it answers when all is well."""
        given.setdefault("scopes", self._scopes)
        return Operation(
            method=method, path=path, handler=handler, tag=self._tag, answers=answers, **given
        )

    def reads(
        self,
        path: str,
        handler: Handler,
        shape: Shape,
        *taken: Parameter | tuple[Parameter, ...],
        **given: Unpack[Given],
    ) -> Operation:
        """A read of what is stored, whose answer has an ETag; what it takes besides that."""
        given.setdefault("refuses", READS_STORED)
        given["parameters"] = (*taken, IF_CHANGED)
        return self.row("GET", path, handler, *read_answers(shape), **given)

    def stores(
        self, method: Method, path: str, handler: Handler, *answers: Answer, **given: Unpack[Given]
    ) -> Operation:
        """An operation that stores."""
        given.setdefault("refuses", STORES)
        return self.row(method, path, handler, *answers, **given)
