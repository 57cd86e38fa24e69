"""Tables of links: papers that are shown under a secret address, and what customers answered."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
)

from service.storage.metadata import METADATA
from service.storage.packed_bytes import PackedBytes

# The secret of a link is known by its SHA-256 alone.
LINK = Table(
    "link",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("token_digest", Text, nullable=False, unique=True),
    Column("quote_id", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    # How the paper was asked for, where it was said.
    Column("company", Text),
    Column("language", Text, nullable=False),
    Column("paper", Text, nullable=False),
    Column("detail", Text),
    Column("supplier", Text),
    Column("made_at", BigInteger, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("expires_at", BigInteger, nullable=False),
    Column("ended_at", BigInteger),
    # The last day on which it was looked at.
    Column("viewed_on", Text),
    # What the customer said by it, and when.
    Column("answer", Text),
    Column("answered_at", BigInteger),
    ForeignKeyConstraint(
        ["quote_id", "revision"], ["quote_revision.quote_id", "quote_revision.revision"]
    ),
    Index("ix_link_quote_id_revision", "quote_id", "revision"),
)

# What a link shows: fixed when it is made, gone when the customer is erased.
LINK_CONTENT = Table(
    "link_content",
    METADATA,
    Column("link_id", Text, ForeignKey("link.id"), primary_key=True),
    Column("content", PackedBytes, nullable=False),
    Column("content_digest", Text, nullable=False),
    Column("pdf", LargeBinary, nullable=False),
)

# A customer's yes. The name can be erased; what was agreed to, when, and its digest stay.
ACCEPTANCE = Table(
    "acceptance",
    METADATA,
    Column("link_id", Text, ForeignKey("link.id"), primary_key=True),
    Column("quote_id", Text, ForeignKey("quote.id"), nullable=False, index=True),
    Column("revision", Integer, nullable=False),
    Column("name", Text),
    Column("sentence", Text, nullable=False),
    Column("content_digest", Text, nullable=False),
    Column("total", Text, nullable=False),
    Column("currency", Text, nullable=False),
    Column("accepted_at", BigInteger, nullable=False),
)
