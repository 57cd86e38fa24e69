"""Quotes as they are kept, without calculating them: for tests of what happens to them."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import date
from decimal import Decimal

from service.operations.saved.saved_quote import Draft
from service.storage.quote_customers import Customer
from service.storage.quote_rows import NewRevision, RevisionFacts


def draft(
    name: str = "wall",
    *,
    complete: bool = True,
    customer: Customer | None = None,
    **facts: object,
) -> Draft:
    """A quote of 984.06 USD whose request and answer carry a name."""
    answer = b'{"currency":"USD","quantities":[],"price":{"lines":[]},"name":"%s"}' % name.encode()
    made = RevisionFacts(
        engine_version="1",
        catalog_version="0" * 64,
        digest=hashlib.sha256(answer).hexdigest(),
        currency="USD",
        minor_places=2,
        total=Decimal("984.06"),
        subtotal=Decimal("984.06"),
        cost=Decimal("710.00"),
        complete=complete,
        materials_only=False,
        title=name,
        issued_on=date(2026, 5, 4),
    )
    return Draft(
        kept=NewRevision(
            facts=replace(made, **facts),  # type: ignore[arg-type]
            request=b'{"name":"%s"}' % name.encode(),
            answer=answer,
        ),
        customer=customer,
    )
