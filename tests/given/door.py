"""The door to the processes that calculate, as tests look at it."""

from __future__ import annotations

import time
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.api import calculating
from service.calculators import Door
from service.operations.quoting import elsewhere

SECONDS = 20


class Counted:
    """How often the door was gone through."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.times = 0
        run = Door.run

        async def counted(door: Door, *arguments: Any, **named: Any) -> object:  # noqa: ANN401
            self.times += 1
            return await run(door, *arguments, **named)

        monkeypatch.setattr(Door, "run", counted)


def small_is(monkeypatch: pytest.MonkeyPatch, cost_ms: float) -> None:
    """From now on what costs more is calculated in other processes."""
    monkeypatch.setattr(calculating, "SMALL_MS", cost_ms)


def large_is(monkeypatch: pytest.MonkeyPatch, size: int) -> None:
    """From now on requests of more bytes are read in other processes."""
    monkeypatch.setattr(elsewhere, "SMALL_BYTES", size)


def until_inside(client: TestClient, number: int) -> None:
    """Wait until so many calculate or wait."""
    door: Door = client.app.state.door  # type: ignore[attr-defined]
    end = time.monotonic() + SECONDS
    while door.inside < number:
        assert time.monotonic() < end
        time.sleep(0.01)
