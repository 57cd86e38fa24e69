"""Processes that calculate what takes long, so that nobody waits for another's heavy request."""

from service.calculators.door import (
    Bounds,
    CalculationFailedError,
    CalculationStoppedError,
    Door,
    DoorBusyError,
    cores,
)
from service.calculators.outcome import place_of
from service.calculators.packing import pack, unpack

__all__ = [
    "Bounds",
    "CalculationFailedError",
    "CalculationStoppedError",
    "Door",
    "DoorBusyError",
    "cores",
    "pack",
    "place_of",
    "unpack",
]
