"""The tables `[[tolerances]]` of a rule book: what a crew checks when a part is built."""

from __future__ import annotations

from pydantic import Field, field_validator

from service.catalog.documents.entry import SourcedTable
from service.core.cautions.stated import unmarked
from service.core.job.basis import Tolerance
from service.fields import LongText, refused


class ToleranceTable(SourcedTable):
    """What a crew checks when a part is built."""

    text: LongText = Field(
        description="In your own words; a figure with a unit stands in braces, `{3 in}`."
    )

    @field_validator("text")
    @classmethod
    def _figures_marked(cls, value: str) -> str:
        """Figures with a unit are marked, so that each request reads them in its own units."""
        found = unmarked(value)
        if found is not None:
            message = f'"{found[:40]}" is no figure with a unit in braces'
            raise refused("figure-unmarked", message, 'write it like "within {3 in}"')
        return value

    def to_core(self, source: str) -> Tolerance:
        """The core's tolerance."""
        return Tolerance(text=self.text, source=self.source.citation() if self.source else source)
