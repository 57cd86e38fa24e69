"""Where events are."""

from __future__ import annotations

from typing import Final

PREFIX: Final = "/v1/events"
