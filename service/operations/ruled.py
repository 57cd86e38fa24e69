"""Documents with rules over several keys, found together with every other fault.

pydantic runs a model's own validators only once all its fields are sound. A rule here looks at
the document as it came, so that it speaks in the same pass as the fields.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import chain
from types import NoneType
from typing import Any, Self, TypeVar

from pydantic import (
    BaseModel,
    ModelWrapValidatorHandler,
    ValidationError,
    model_validator,
)
from pydantic_core import ErrorDetails, InitErrorDetails, PydanticCustomError

from service.catalog import Catalog
from service.core.errors import MOST_FAULTS, Fault, Path, QuoteFaultsError
from service.faults import faults_from
from service.fields import FaultCount, StrictModel
from service.json_text import Bounds, held_in

# The largest inline price list has 2,000 items; a wall of 1,000 stations has 5,000 values.
MOST_ITEMS = 2_000
MOST_VALUES = 20_000
BOUNDS = Bounds(values=MOST_VALUES, items=MOST_ITEMS, slack=3)

T = TypeVar("T")
M = TypeVar("M", bound=BaseModel)


class RuledModel(StrictModel):
    """A strict model whose `rules` are checked along with its fields."""

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Faults of a document that go over several keys; keys may be missing or unsound."""
        raise NotImplementedError

    @model_validator(mode="wrap")
    @classmethod
    def _check_rules(cls, document: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        faults = [*cls.rules(document)] if isinstance(document, Mapping) else ()
        if not faults:
            return handler(document)
        broken = [InitErrorDetails(type=fault, loc=(), input=None) for fault in faults]
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


def read_document(
    model: type[M],
    document: object,
    catalog: Catalog,
    bounds: Bounds = BOUNDS,
    *,
    prices: object = None,
) -> M:
    """A document of a request as its model; ids are looked up in the catalog at once, those of
    price lists among the stored `prices` too.

    A key is there or it isn't: null is refused wherever it stands. Raises QuoteFaultsError with
    every fault of shape, unit, id and rule, or the first `MOST_FAULTS` of more; alone, with what
    makes a document too large to read.
    """
    faults = _first_look(document, bounds)
    if len(faults) >= MOST_FAULTS:
        raise QuoteFaultsError(faults)
    read = None
    try:
        context = {"catalog": catalog, "prices": prices, "faults": FaultCount()}
        read = model.model_validate(document, context=context)
    except ValidationError as error:
        empty = {fault.at for fault in faults}
        faults += [fault for fault in faults_from(error, model) if fault.at not in empty]
    if faults or read is None:
        raise QuoteFaultsError(faults[:MOST_FAULTS])
    return read


def _first_look(document: object, bounds: Bounds) -> list[Fault]:
    """Nulls, wherever they stand. Raises QuoteFaultsError at once for a document whose lists and
    values are more than any job has: to name each fault in it would take too long."""
    if _is_plain(document, bounds):
        return []
    nulls: list[int] = []
    # Each value with the number of what holds it, and its key there.
    seen: list[tuple[int, str | int, object]] = [(0, "", document)]
    for number, (_, _, value) in enumerate(seen):  # which grows by what each value holds
        if value is None:
            nulls.append(number)
        if not isinstance(value, (dict, list)):
            continue
        if len(value) > bounds.items or len(seen) + len(value) > bounds.values:
            at = _path(seen, number)
            raise QuoteFaultsError([_too_long(at, len(value), bounds)])
        parts = value.items() if isinstance(value, dict) else enumerate(value)
        seen += [(number, key, part) for key, part in parts]
    faults = [_null(_path(seen, number)) for number in nulls[:MOST_FAULTS]]
    return sorted(faults, key=lambda fault: [str(part) for part in fault.at])


def _path(seen: Sequence[tuple[int, str | int, object]], number: int) -> Path:
    """The path of a value, by what holds it."""
    parts: list[str | int] = []
    while number:
        number, key, _ = seen[number]
        parts.append(key)
    return tuple(reversed(parts))


def _is_plain(document: object, bounds: Bounds) -> bool:
    """Whether a document has no null and is within its bounds: nearly all are. Looked at level by
    level, which is cheap where there are many values."""
    values, level = 0, [document]
    while level:
        values += len(level)
        if values > bounds.values or NoneType in set(map(type, level)):
            return False
        held = held_in(level)
        if max(map(len, held), default=0) > bounds.items:
            return False
        level = list(chain.from_iterable(held))
    return True


def _null(at: Path) -> Fault:
    message = "null is not a value here"
    return Fault(code="null-not-read", at=at, message=message, hint="leave the key out")


def _too_long(at: Path, entries: int, bounds: Bounds) -> Fault:
    message = f"{entries} entries are too many: a list or table has at most {bounds.items}"
    if entries <= bounds.items:
        message = f"a request has at most {bounds.values} values in all, and here it has more"
    return Fault(
        code="too-long",
        at=at,
        message=message,
        hint="split the request",
    )
