"""Tables of the keys that callers show, and of calls that are counted. A key is never kept, only
its SHA-256."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, Index, Table, Text

from service.storage.metadata import METADATA

# A key stays a row when it has ended: once one was made, keys are asked for, for good.
API_KEY = Table(
    "api_key",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    # Words with a space between them, as the origins.
    Column("scopes", Text, nullable=False),
    Column("website", Text),
    Column("origins", Text, nullable=False),
    Column("made_at", BigInteger, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("expires_at", BigInteger),
    Column("ended_at", BigInteger),
    # The day of its last use.
    Column("used_on", Text),
)

# The secrets by which a key is known: one, or two while it is being changed for a new one.
API_KEY_SECRET = Table(
    "api_key_secret",
    METADATA,
    Column("digest", Text, primary_key=True),
    Column("key_id", Text, ForeignKey("api_key.id"), nullable=False, index=True),
    Column("made_at", BigInteger, nullable=False),
    # When it gives way to a newer one.
    Column("ends_at", BigInteger),
)

# Calls that are counted, for the hour in which they are. Addresses are those that callers come
# from, shortened to what one site has to itself.
COUNTED_CALL = Table(
    "counted_call",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("address", Text, nullable=False),
    Column("called_at", BigInteger, nullable=False),
    Index("ix_counted_call_called_at", "called_at"),
)
