"""What was found in place of a measurement, in words that are safe to print."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

SHOWN_CHARACTERS = 40


class MeasurementInvalidError(ValueError):
    """A measurement or slope that can't be read: `message` says what was found and what is
    needed, `hint` shows the right form."""

    def __init__(self, message: str, hint: str) -> None:
        self.message = message
        self.hint = hint
        super().__init__(message)

    def hinting(self, hint: str) -> MeasurementInvalidError:
        """The same with another hint."""
        return MeasurementInvalidError(self.message, hint)


def found(value: object) -> str:
    """What was found, as a message shows it: at most 40 characters, safe to print and to send."""
    if isinstance(value, str):
        short = value[:SHOWN_CHARACTERS] + ("…" if len(value) > SHOWN_CHARACTERS else "")
        return f'"{short}"' if short.isprintable() else ascii(short)[: 2 * SHOWN_CHARACTERS]
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int) and abs(value) >= 10**SHOWN_CHARACTERS:
        return "a number of many digits"
    if isinstance(value, (int, float, Decimal)):
        return str(value)[:SHOWN_CHARACTERS]
    if isinstance(value, Mapping):
        return "an object"
    return "a list" if isinstance(value, (list, tuple)) else f"a {type(value).__name__}"
