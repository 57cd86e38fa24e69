"""A wage and what comes on top of it, as crews and price lists state them."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import AfterValidator, Field, ValidationInfo

from service.fields import ShareText, refused


def _on_a_wage(value: Decimal | None, info: ValidationInfo) -> Decimal | None:
    """Burden is a share of the wage, a field that stands before it."""
    if value is not None and info.data.get("wage", "") is None:
        raise refused("burden-without-wage", "is a share of the wage, and there is none")
    return value


Burden = Annotated[
    ShareText | None,
    AfterValidator(_on_a_wage),
    Field(description="On the wage, as a share of it."),
]
