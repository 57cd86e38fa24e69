"""Tasks of site work that take sod off or heap topsoil, from text to the core."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from service.catalog.documents.site_work import SiteWorkDocument
from service.faults import faults_from
from tests.given.walls import inch


def task(measured_by: str, unit: str, **more: object) -> dict[str, Any]:
    """A task with an hour of labor."""
    return {
        "id": "demo",
        "version": "1",
        "title": "Demo",
        "source": {"kind": "invented"},
        "phase": "rough_cut",
        "measured_by": measured_by,
        "unit": unit,
        "labor": {"hours": "1"},
        **more,
    }


def test_site_work_to_core_reads_sod_and_heap() -> None:
    """A thickness in place; without the keys neither sod nor heap."""
    sod = SiteWorkDocument.model_validate(task("area", "ft2", sod={"thickness": "2 in"})).to_core()
    heap = SiteWorkDocument.model_validate(task("volume", "yd3", heaps_topsoil=True)).to_core()
    plain = SiteWorkDocument.model_validate(task("area", "ft2")).to_core()
    assert (sod.sod_m, sod.heaps_topsoil) == (inch(2), False)
    assert (heap.sod_m, heap.heaps_topsoil) == (0.0, True)
    assert (plain.sod_m, plain.heaps_topsoil) == (0.0, False)


@pytest.mark.parametrize(
    ("document", "place", "code"),
    [
        (task("volume", "yd3", sod={"thickness": "2 in"}), "sod", "sod-without-area"),
        (task("area", "ft2", heaps_topsoil=True), "heaps_topsoil", "heap-without-volume"),
    ],
)
def test_site_work_refuses_sod_without_area_and_heap_without_volume(
    document: dict[str, Any], place: str, code: str
) -> None:
    """Sod is taken off an area, and what is heaped is a volume."""
    with pytest.raises(ValidationError) as caught:
        SiteWorkDocument.model_validate(document)
    (fault,) = faults_from(caught.value, SiteWorkDocument)
    assert ("/".join(map(str, fault.at)), fault.code) == (place, code)
