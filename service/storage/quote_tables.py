"""Tables of saved quotes. Money is whole minor units of the revision's currency."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
    false,
    text,
)

from service.storage.metadata import METADATA
from service.storage.packed_bytes import PackedBytes

# How many quotes were made: one row, which every new quote counts up. A row that is locked until
# the commit gives numbers in the order of the commits and without gaps, on both databases.
QUOTE_COUNT = Table(
    "quote_count",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("quotes", BigInteger, nullable=False),
)

QUOTE = Table(
    "quote",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("number", BigInteger, nullable=False, unique=True),
    Column("state", Text, nullable=False),
    # The revision whose state is the quote's, and the newest one.
    Column("current_revision", Integer, nullable=False),
    Column("latest_revision", Integer, nullable=False),
    # The revision that the customer has in hand with its state, and the draft, where there are.
    Column("out_revision", Integer),
    Column("out_state", Text),
    Column("draft_revision", Integer),
    # Counts up with everything that changes the quote or stands beside it.
    Column("version", Integer, nullable=False, server_default="1"),
    Column("notes", Text),
    Column("created_at", BigInteger, nullable=False, index=True),
    Column("updated_at", BigInteger, nullable=False),
    Index("ix_quote_updated_at", "updated_at"),
)

# Every reference that a revision of a quote ever carried belongs to that quote.
QUOTE_REFERENCE = Table(
    "quote_reference",
    METADATA,
    Column("reference", Text, primary_key=True),
    Column("quote_id", Text, ForeignKey("quote.id"), nullable=False, index=True),
)

QUOTE_REVISION = Table(
    "quote_revision",
    METADATA,
    Column("quote_id", Text, ForeignKey("quote.id"), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("state", Text, nullable=False),
    # From here on nothing changes once it is written, but for `pricing`, which may be filled later,
    # and for the day of issue: see quote_issue.py.
    Column("supersedes", Integer),
    Column("priced_by", Text),
    Column("engine_version", Text, nullable=False),
    Column("catalog_version", Text, nullable=False),
    Column("price_list", Text),
    Column("price_list_revision", Integer),
    Column("digest", Text, nullable=False),
    Column("title", Text),
    Column("title_folded", Text, nullable=False),
    Column("reference", Text),
    Column("reference_folded", Text),
    Column("issued_on", Text),
    Column("valid_until", Text),
    Column("currency", Text, nullable=False),
    Column("minor_places", Integer, nullable=False),
    Column("total_minor", BigInteger, nullable=False),
    Column("subtotal_minor", BigInteger, nullable=False),
    Column("cost_minor", BigInteger, nullable=False),
    # Ten-thousandths of the subtotal; nothing of a price of nothing.
    Column("margin", Integer),
    # The catalog's terms that it was priced by, and what they said: SHA-256.
    Column("terms", Text),
    Column("terms_digest", Text),
    # 1 or 0.
    Column("complete", Integer, nullable=False),
    Column("materials_only", Integer, nullable=False),
    Column("created_at", BigInteger, nullable=False),
    Column("request", LargeBinary, nullable=False),
    Column("answer", PackedBytes, nullable=False),
    # SHA-256 of the answer's bytes, stamps and all.
    Column("answer_digest", Text, nullable=False),
    Column("pricing", LargeBinary),
    # The revision of which its answer is made at new prices, while that waits: then request,
    # answer and digest are empty. See waiting_drafts.py.
    Column("made_from", Integer),
    Index(
        "ix_quote_revision_waiting",
        "quote_id",
        "revision",
        sqlite_where=text("made_from IS NOT NULL"),
        postgresql_where=text("made_from IS NOT NULL"),
    ),
    Index("ix_quote_revision_price_list_price_list_revision", "price_list", "price_list_revision"),
    Index("ix_quote_revision_valid_until", "valid_until"),
    Index("ix_quote_revision_reference_folded", "reference_folded"),
)

# Every move from state to state, in order.
QUOTE_MOVE = Table(
    "quote_move",
    METADATA,
    Column("quote_id", Text, primary_key=True),
    Column("step", Integer, primary_key=True, autoincrement=False),
    Column("revision", Integer, nullable=False),
    Column("before", Text, nullable=False),
    Column("after", Text, nullable=False),
    Column("moved_at", BigInteger, nullable=False),
    # The day of issue, and what was said of the move.
    Column("on_day", Text),
    Column("note", Text),
    Column("reason", Text),
    Column("after_expiry", Boolean, nullable=False, server_default=false()),
    ForeignKeyConstraint(
        ["quote_id", "revision"], ["quote_revision.quote_id", "quote_revision.revision"]
    ),
)

# Apart from everything that a digest covers, so that it can be erased.
QUOTE_CUSTOMER = Table(
    "quote_customer",
    METADATA,
    Column("quote_id", Text, ForeignKey("quote.id"), primary_key=True),
    # As it is answered, and its names for searching.
    Column("document", LargeBinary, nullable=False),
    Column("names_folded", Text, nullable=False),
    Column("updated_at", BigInteger, nullable=False),
)

QUOTE_METADATA = Table(
    "quote_metadata",
    METADATA,
    Column("quote_id", Text, ForeignKey("quote.id"), primary_key=True),
    Column("key", Text, primary_key=True),
    Column("value", Text, nullable=False),
    Index("ix_quote_metadata_key_value", "key", "value"),
)

QUOTE_ACTUALS = Table(
    "quote_actuals",
    METADATA,
    Column("quote_id", Text, primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("document", LargeBinary, nullable=False),
    Column("updated_at", BigInteger, nullable=False),
    ForeignKeyConstraint(
        ["quote_id", "revision"], ["quote_revision.quote_id", "quote_revision.revision"]
    ),
)
