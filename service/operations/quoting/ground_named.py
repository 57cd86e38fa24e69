"""Soils and topsoil of a request, looked up."""

from __future__ import annotations

from service.catalog import Catalog
from service.core.job.job import Soils
from service.core.job.soil import Soil
from service.core.job.topsoil import Topsoil
from service.operations.quoting.quote_request import QuoteRequest


def topsoil_of(request: QuoteRequest) -> Topsoil | None:
    """Depths of topsoil, where the request gives them."""
    if request.topsoil is None:
        return None
    return Topsoil(strip_m=request.topsoil.strip, replace_m=request.topsoil.replace)


def soils_of(request: QuoteRequest, catalog: Catalog) -> Soils:
    """The soils by their place; None where the request names none."""

    def find(soil_id: str | None) -> Soil | None:
        return catalog.soils[soil_id].core if soil_id else None

    soils = request.soils
    return Soils(
        retained=find(soils.retained), foundation=find(soils.foundation), fill=find(soils.fill)
    )
