"""Each rule of re-pricing holds of both ways in which a write keeps its drafts."""

from __future__ import annotations

import pytest


@pytest.fixture(params=[200, 0], ids=["whole", "as_what_changes"], autouse=True)
def most_kept_whole(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many drafts a run keeps whole, one by one; a larger one keeps them as what changes."""
    most = int(request.param)
    monkeypatch.setattr("service.operations.repricing.repricing_start.MOST_AT_ONCE", most)
    return most
