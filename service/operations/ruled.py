"""Documents with rules over several keys, found together with every other fault.

pydantic runs a model's own validators only once all its fields are sound. A rule here looks at
the document as it came, so that it speaks in the same pass as the fields.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Self, TypeVar

from pydantic import ModelWrapValidatorHandler, ValidationError, model_validator
from pydantic_core import ErrorDetails, InitErrorDetails, PydanticCustomError

from service.fields import StrictModel

T = TypeVar("T")


class RuledModel(StrictModel):
    """A strict model whose `rules` are checked along with its fields."""

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Faults of a document that go over several keys; keys may be missing or unsound."""
        raise NotImplementedError

    @model_validator(mode="wrap")
    @classmethod
    def _check_rules(cls, document: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        rules = cls.rules(document) if isinstance(document, Mapping) else ()
        broken = [InitErrorDetails(type=fault, loc=(), input=None) for fault in rules]
        return merged(lambda: handler(document), broken)


def merged(validate: Callable[[], T], broken: Sequence[InitErrorDetails]) -> T:
    """Validate, and raise what that finds together with rules found broken."""
    if not broken:
        return validate()
    found: list[InitErrorDetails] = []
    try:
        validate()
    except ValidationError as error:
        found = [_again(detail) for detail in error.errors(include_url=False)]
    raise ValidationError.from_exception_data("rules", [*found, *broken])


def _again(detail: ErrorDetails) -> InitErrorDetails:
    """An error as it was, to be raised once more."""
    kind, context = detail["type"], detail.get("ctx", {})
    again = kind if "message" not in context else own(kind, context)
    return InitErrorDetails(type=again, loc=detail["loc"], input=detail["input"], ctx=context)


def own(code: str, context: dict[str, Any]) -> PydanticCustomError:
    """An error of ours, by its code and context (service/fields.py)."""
    return PydanticCustomError(code, "{message}", context)
