"""What an answer of the field takes for granted, and whether walls would pass otherwise."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import structs

from service.core.built import Built
from service.operations.field.answer import FieldAssumptionAnswer
from service.operations.field.of_money import is_priced_by
from service.operations.quoting.sentences import for_reading
from service.operations.quoting.what_if.variants import Variant
from service.operations.quoting.what_if.worth import Asked, passes


def field_assumptions(
    built: Built, asked: Asked[Built] | None
) -> tuple[FieldAssumptionAnswer, ...]:
    """The assumptions outside terms, rates and prices; where it was asked, each with another value
    that is plausible."""
    return tuple(_assumptions(built, asked))


def _assumptions(built: Built, asked: Asked[Built] | None) -> Iterator[FieldAssumptionAnswer]:
    for each in built.assumptions:
        if is_priced_by(each.field):
            continue
        answer = FieldAssumptionAnswer(
            field=each.field, value=each.value, why=for_reading(each.why)
        )
        variant = asked.variant(each) if asked else None
        yield _instead(answer, variant, built, asked) if asked and variant else answer


def _instead(
    answer: FieldAssumptionAnswer, variant: Variant, built: Built, asked: Asked[Built]
) -> FieldAssumptionAnswer:
    """An assumption with another value, or why nobody can say what comes of it."""
    patch, other = asked.tried(variant, built)
    answer = structs.replace(answer, if_instead=variant.what_if.if_instead, patch=patch)
    if isinstance(other, str):
        return structs.replace(answer, not_quoted=other)
    return structs.replace(answer, passes=passes(other))
