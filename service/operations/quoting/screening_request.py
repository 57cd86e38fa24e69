"""Screening as a request writes it: the rule book, and what to do where a plain stack fails."""

from __future__ import annotations

from pydantic import Field

from service.core.job.basis import BasisId
from service.core.job.job import Reinforcing
from service.fields import StrictModel


class ScreeningRequest(StrictModel):
    """How walls are screened. A first look, never a design."""

    basis: BasisId = Field(
        "association",
        description="Safety factors of the block makers' association, "
        "or load and resistance factors of the Federal Highway Administration.",
    )
    reinforcement: Reinforcing = Field(
        "none",
        description="`compare`: plain stacks are quoted, and the layers that would hold them "
        "where they fail are shown with their price. "
        "`where_needed`: layers are quoted where a plain stack fails. `all`: along every wall.",
    )
