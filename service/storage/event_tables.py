"""The table of what changed: appended to in the transaction of each change."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Table, Text

from service.storage.metadata import METADATA

# `subject` is what it happened to, such as a quote; `data` what is told of it, as JSON.
EVENT = Table(
    "event",
    METADATA,
    Column("id", BigInteger, primary_key=True, autoincrement=False),
    Column("type", Text, nullable=False),
    Column("recorded_at", BigInteger, nullable=False),
    Column("by", Text, nullable=False),
    Column("subject", Text),
    Column("data", Text, nullable=False),
)
