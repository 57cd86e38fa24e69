"""`loads/<id>.toml`: what may stand on the ground behind a wall, and what it weighs there."""

from __future__ import annotations

from pydantic import Field

from service.catalog.documents.entry import EntryDocument
from service.core.job.load import Load
from service.core.job.spec import NearWord
from service.fields import Pressure


class LoadDocument(EntryDocument):
    """A word for what stands above a wall, with its load."""

    load: Pressure = Field(description='On the ground it covers; "0 psf" for what weighs nothing.')
    sloped: bool = Field(
        False, description="Ground that rises; a request that names it says how steeply."
    )
    engineer: bool = Field(
        False,
        description="A case for an engineer: within twice the wall's height no check of stability "
        "is better than `pass_as_assumed`.",
    )
    caution: tuple[NearWord, ...] = Field(
        (),
        strict=False,
        max_length=10,
        description="What it is beside its weight: cautions of the place hang on these words.",
    )

    def to_core(self) -> Load:
        """The core's load, in Pa."""
        return Load(
            id=self.id,
            version=self.version,
            title=self.title,
            load_pa=self.load,
            sloped=self.sloped,
            near=self.caution,
            engineer=self.engineer,
        )
