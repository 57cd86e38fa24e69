"""Tables of webhooks: where events go, what waits to be sent, and who sends."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
    text,
)

from service.storage.metadata import METADATA

# Secrets are sealed (service/sending/sealed.py) and told to nobody again. `seen` is the last event
# that was looked at for it; `failing_since` the first attempt after which none has succeeded.
WEBHOOK = Table(
    "webhook",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("url", Text, nullable=False),
    # Words with a space between them.
    Column("types", Text, nullable=False),
    Column("secret", LargeBinary, nullable=False),
    # The secret before, by which messages are signed as well until it ends.
    Column("secret_before", LargeBinary),
    Column("before_ends_at", BigInteger),
    Column("made_at", BigInteger, nullable=False),
    Column("made_by", Text, nullable=False),
    # One more with each change that is told.
    Column("version", Integer, nullable=False),
    Column("seen", BigInteger, nullable=False),
    Column("failing_since", BigInteger),
    Column("off_at", BigInteger),
    Column("off_why", Text),
)

# What is to be sent, and what came of it. One without an event is a test; one that is sent again
# names the first, and waits for no other. Nothing of an answer is kept but its status.
WEBHOOK_DELIVERY = Table(
    "webhook_delivery",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("webhook_id", Text, ForeignKey("webhook.id"), nullable=False),
    Column("event", BigInteger),
    Column("type", Text, nullable=False),
    # What the event happened to: of these, one after the other is sent.
    Column("subject", Text),
    Column("again_of", Text),
    Column("made_at", BigInteger, nullable=False),
    Column("made_by", Text, nullable=False),
    # `waiting`, `delivered` or `failed`.
    Column("status", Text, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("next_at", BigInteger),
    Column("tried_at", BigInteger),
    Column("answered", Integer),
    Column("why", Text),
    Index("ix_webhook_delivery_webhook_id_id", "webhook_id", "id"),
    Index(
        "ix_webhook_delivery_due",
        "webhook_id",
        "next_at",
        sqlite_where=text("status = 'waiting'"),
        postgresql_where=text("status = 'waiting'"),
    ),
    Index(
        "ix_webhook_delivery_order",
        "webhook_id",
        "subject",
        "event",
        sqlite_where=text("status = 'waiting'"),
        postgresql_where=text("status = 'waiting'"),
    ),
)

# The one process that sends, in one row.
WEBHOOK_SENDER = Table(
    "webhook_sender",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("owner", Text),
    Column("lease_until", BigInteger, nullable=False),
)
