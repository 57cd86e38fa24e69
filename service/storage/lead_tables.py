"""The table of what visitors of websites left."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, Index, Integer, LargeBinary, Table, Text

from service.storage.metadata import METADATA

# One visitor who agreed to be reached. `document` is what he left, `answers` what he answered,
# `request` the quote request that those stand for, `shown` what he was shown: all JSON. `network`
# counts calls by address and is emptied when nobody counts any more.
LEAD = Table(
    "lead",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("website", Text, nullable=False),
    Column("received_at", BigInteger, nullable=False),
    Column("language", Text, nullable=False),
    Column("form_version", Integer, nullable=False),
    Column("document", LargeBinary, nullable=False),
    Column("answers", LargeBinary, nullable=False),
    Column("request", LargeBinary, nullable=False),
    Column("shown", LargeBinary, nullable=False),
    Column("consent_version", Text, nullable=False),
    Column("consent_text", Text, nullable=False),
    Column("network", Text),
    Column("quote_id", Text, ForeignKey("quote.id"), index=True),
    Index("ix_lead_received_at_id", "received_at", "id"),
)
