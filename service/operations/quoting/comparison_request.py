"""A comparison as a caller sends it: a quote request, and what it is held against."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.fields import ListOf, refused
from service.operations.quoting.known_ids import SectionId, WallSystemId
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.ruled import RuledModel

MOST_ALTERNATIVES = 10
# Each height is found by some seventy layouts of the wall.
MOST_HEIGHT_WALLS = 10
MOST_HEIGHT_ENTRIES = 100


class AlternativeRequest(RuledModel):
    """Another wall system, another section, or both."""

    wall_system: WallSystemId | None = None
    section: SectionId | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """An alternative differs."""
        if not {"wall_system", "section"} & document.keys():
            yield refused("alternative-empty", "an alternative needs a wall_system or a section")


class ComparisonRequest(RuledModel):
    """A quote request, what to hold against it, and whether to look for heights that fit."""

    quote: QuoteRequest
    alternatives: ListOf[AlternativeRequest] = Field((), strict=False, max_length=MOST_ALTERNATIVES)
    heights_that_fit: bool = False

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """There is something to compare, and looking for heights stays bounded."""
        if not document.get("alternatives") and not document.get("heights_that_fit"):
            message = "nothing is compared: no alternatives, and heights_that_fit is not asked for"
            yield refused("comparison-empty", message, 'such as "heights_that_fit": true')
        if document.get("heights_that_fit"):
            yield from _heights_bounded(document.get("quote"))


def _heights_bounded(quote: object) -> Iterator[PydanticCustomError]:
    walls = quote.get("walls") if isinstance(quote, Mapping) else None
    if not isinstance(walls, list):
        return
    profiles = [wall.get("profile") for wall in walls if isinstance(wall, Mapping)]
    longest = max((len(p) for p in profiles if isinstance(p, list)), default=0)
    if len(walls) > MOST_HEIGHT_WALLS or longest > MOST_HEIGHT_ENTRIES:
        message = (
            f"heights_that_fit takes at most {MOST_HEIGHT_WALLS} walls "
            f"of {MOST_HEIGHT_ENTRIES} profile entries"
        )
        yield refused("comparison-too-large", message, at=("heights_that_fit",))
