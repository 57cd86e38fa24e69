"""What stored work refuses a call with, beside its own faults: known without the database."""

from __future__ import annotations

from service.core.errors import Fault


class KeyReusedError(Exception):
    """The key came before with another body."""


class KeyRunningError(Exception):
    """The call with this key is still under way."""


class PriceListError(Exception):
    """Something about a price list that stands against a call; `fault` says what."""

    def __init__(self, code: str, message: str, hint: str | None = None) -> None:
        self.fault = Fault(code=code, at=(), message=message, hint=hint)
        super().__init__(message)


class PriceListMissingError(PriceListError):
    """There is no such list, or no such revision of it."""


class PriceListFixedError(PriceListError):
    """The list is a file of the catalog, so it can't be published to."""


class PreviewChangedError(Exception):
    """What would be written is not what the preview showed."""
