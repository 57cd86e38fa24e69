"""A reference that belongs to another saved quote: known without the database."""

from __future__ import annotations

from service.core.errors import QuoteRefusedError


class ReferenceExistsError(QuoteRefusedError):
    """Another saved quote has this reference already; `quote_id` is that quote."""

    code = "reference-exists"

    def __init__(self, reference: str, quote_id: str) -> None:
        self.quote_id = quote_id
        super().__init__(f"The reference {reference!r} belongs to another saved quote.")
