"""All tables, as the migrations leave them; a test compares the two.

Column types are those that work alike on SQLite and PostgreSQL. Money is text inside documents
or whole minor units, never a binary fraction; moments are seconds since 1970 in UTC; dates are
ISO text. Documents are kept as the bytes that are answered, so that they stay what they were.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
)

from service.storage.event_tables import EVENT
from service.storage.key_tables import API_KEY, API_KEY_SECRET, COUNTED_CALL
from service.storage.lead_tables import LEAD
from service.storage.link_tables import ACCEPTANCE, LINK, LINK_CONTENT
from service.storage.metadata import METADATA
from service.storage.packed_bytes import PackedBytes
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.repricing_tables import REPRICING
from service.storage.webhook_tables import WEBHOOK, WEBHOOK_DELIVERY, WEBHOOK_SENDER

__all__ = [
    "ACCEPTANCE",
    "API_KEY",
    "API_KEY_SECRET",
    "COUNTED_CALL",
    "DIGESTED",
    "EVENT",
    "IDEMPOTENCY",
    "LEAD",
    "LINK",
    "LINK_CONTENT",
    "METADATA",
    "PRICE_LIST_MAPPING",
    "PRICE_LIST_REVISION",
    "REPRICING",
    "WEBHOOK",
    "WEBHOOK_DELIVERY",
    "WEBHOOK_SENDER",
]

# One immutable revision of a price list a row. `content` is the revision as it is answered,
# `content_digest` its SHA-256, `source_digest` that of what was published, without its number.
PRICE_LIST_REVISION: Final = Table(
    "price_list_revision",
    METADATA,
    Column("price_list_id", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("currency", Text, nullable=False),
    Column("effective_from", Text, nullable=False),
    Column("note", Text),
    Column("items", Integer, nullable=False),
    Column("source_digest", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("content_digest", Text, nullable=False),
    Column("published_at", BigInteger, nullable=False),
    CheckConstraint("number >= 1", name="number_from_one"),
)

# How the columns of a supplier's file are read, one a price list.
PRICE_LIST_MAPPING: Final = Table(
    "price_list_mapping",
    METADATA,
    Column("price_list_id", Text, primary_key=True),
    Column("content", LargeBinary, nullable=False),
    Column("content_digest", Text, nullable=False),
    Column("saved_at", BigInteger, nullable=False),
)

# What a call with an Idempotency-Key came to. `status` is empty while the work is under way in
# steps of its own; work in one transaction is never seen unfinished.
IDEMPOTENCY: Final = Table(
    "idempotency",
    METADATA,
    Column("caller", Text, primary_key=True),
    Column("method", Text, primary_key=True),
    Column("path", Text, primary_key=True),
    Column("key", Text, primary_key=True),
    Column("fingerprint", Text, nullable=False),
    Column("status", Integer),
    Column("headers", Text),
    Column("body", PackedBytes),
    Column("created_at", BigInteger, nullable=False),
    Index("ix_idempotency_created_at", "created_at"),
)

# Tables whose content is checked against its digest, by a backup among others:
# (table, column of the content, column of its SHA-256 in hexadecimal digits).
DIGESTED: Final[tuple[tuple[Table, str, str], ...]] = (
    (PRICE_LIST_REVISION, "content", "content_digest"),
    (PRICE_LIST_MAPPING, "content", "content_digest"),
    (QUOTE_REVISION, "answer", "answer_digest"),
    (LINK_CONTENT, "content", "content_digest"),
)
