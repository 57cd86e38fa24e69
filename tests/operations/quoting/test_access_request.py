"""The way to the wall, from a request to the core."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from service.core.job.access import Access
from service.faults import faults_from
from service.operations.quoting.access_request import AccessRequest
from tests.given.walls import ft


def test_access_request_to_core_reads_everything() -> None:
    """Each field arrives in SI."""
    found = AccessRequest.model_validate(
        {
            "distance": "120 ft",
            "narrowest_passage": "5 ft",
            "rise": "-2 ft",
            "stairs": 3,
            "truck_drops": "street",
            "load_limit": "4000 kg",
            "surface_to_protect": "lawn",
            "protected_area": "10 m2",
        }
    ).to_core()
    assert found == Access(
        distance_m=ft(120),
        narrowest_m=ft(5),
        rise_m=ft(-2),
        stairs=3,
        drop="street",
        load_limit_kg=4000.0,
        protect="lawn",
        protect_m2=10.0,
    )


def test_access_request_to_core_leaves_open_what_nobody_said() -> None:
    """The distance alone is a way."""
    assert AccessRequest.model_validate({"distance": "0 ft"}).to_core() == Access()


def test_access_request_names_every_mistake() -> None:
    """A passage of no width, steps that are no count, a place no truck drops at."""
    with pytest.raises(ValidationError) as caught:
        AccessRequest.model_validate(
            {
                "distance": "12 ft",
                "narrowest_passage": "0 ft",
                "stairs": -1,
                "truck_drops": "roof",
            }
        )
    assert [fault.at for fault in faults_from(caught.value, AccessRequest)] == [
        ("narrowest_passage",),
        ("stairs",),
        ("truck_drops",),
    ]
