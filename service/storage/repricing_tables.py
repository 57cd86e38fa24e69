"""Tables of re-pricings. A run's chunks are the truth about how far it is."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
)

from service.storage.metadata import METADATA
from service.storage.packed_bytes import PackedBytes

# What bulk re-pricing reads of a revision, apart from request and answer: a run over a hundred
# thousand quotes reads this table and no other.
QUOTE_PRICING = Table(
    "quote_pricing",
    METADATA,
    Column("quote_id", Text, ForeignKey("quote.id"), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("packed", LargeBinary, nullable=False),
)

# The prices of a large write, by which answers of its drafts are made when the list is gone or
# has moved on.
REPRICING_PRICES = Table(
    "repricing_prices",
    METADATA,
    Column("price_list", Text, primary_key=True),
    Column("price_list_revision", Integer, primary_key=True, autoincrement=False),
    Column("content", PackedBytes, nullable=False),
)

REPRICING = Table(
    "repricing",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("mode", Text, nullable=False),
    Column("status", Text, nullable=False),
    Column("runs_on", Text, nullable=False),
    Column("price_list", Text, nullable=False),
    Column("price_list_revision", Integer, nullable=False),
    Column("currency", Text, nullable=False),
    Column("minor_places", Integer, nullable=False),
    # SHA-256 of the prices: what was previewed is written on these very ones. Runs of an earlier
    # version have none.
    Column("prices_digest", Text),
    # Who started it, a key's id among others. Runs of an earlier version have none.
    Column("started_by", Text),
    Column("margin_floor", Text),
    Column("include_issued", Boolean, nullable=False),
    # The filter as it was asked, as JSON.
    Column("chosen_by", Text, nullable=False),
    # How many open quotes it doesn't look at, by price list, as JSON.
    Column("left_out", Text, nullable=False, server_default="[]"),
    Column("preview_id", Text, ForeignKey("repricing.id")),
    Column("total", Integer, nullable=False),
    Column("chunk_size", Integer, nullable=False),
    Column("created_at", BigInteger, nullable=False),
    Column("finished_at", BigInteger),
    # Who works on it, and until when nobody else should.
    Column("owner", Text),
    Column("lease_until", BigInteger, nullable=False),
    Column("failure", Text),
    Index("ix_repricing_status", "status"),
)

# The revisions that a run re-prices, as they were when it was asked for.
REPRICING_QUOTE = Table(
    "repricing_quote",
    METADATA,
    Column("repricing_id", Text, ForeignKey("repricing.id"), primary_key=True),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("quote_id", Text, ForeignKey("quote.id"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("state", Text, nullable=False),
    Column("digest", Text, nullable=False),
    Column("reference", Text),
    Column("title", Text),
    Column("price_list", Text),
    Column("price_list_revision", Integer),
    Column("terms", Text),
    Column("terms_digest", Text),
    # A draft that was made by hand and is left as it is.
    Column("kept_draft", Integer),
)

# What a run names and can't re-price, in the places after those that it can.
REPRICING_MISS = Table(
    "repricing_miss",
    METADATA,
    Column("repricing_id", Text, ForeignKey("repricing.id"), primary_key=True),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("quote_id", Text),
    Column("reference", Text),
    Column("revision", Integer),
    Column("state", Text),
    Column("digest", Text),
)

# `results` are the items of the chunk as they are answered, a line each, compressed.
REPRICING_CHUNK = Table(
    "repricing_chunk",
    METADATA,
    Column("repricing_id", Text, ForeignKey("repricing.id"), primary_key=True),
    Column("chunk", Integer, primary_key=True, autoincrement=False),
    Column("done", Integer, nullable=False),
    Column("changed", Integer, nullable=False),
    Column("under_margin", Integer, nullable=False),
    Column("failed", Integer, nullable=False),
    Column("old_total", BigInteger, nullable=False),
    Column("new_total", BigInteger, nullable=False),
    Column("largest", LargeBinary, nullable=False),
    # The quotes whose price is out and under the floor, and what else the summary says.
    Column("under", LargeBinary),
    Column("out_under_margin", Integer, nullable=False, server_default="0"),
    Column("newer_terms", Integer, nullable=False, server_default="0"),
    Column("results", LargeBinary, nullable=False),
)
