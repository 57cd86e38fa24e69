"""Saved quotes: revisions, references, states, customers, and what jobs took."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Create the seven tables, and the row that counts quotes."""
    _create_quotes()
    _create_revisions()
    _create_beside()


def downgrade() -> None:
    """Drop them, with all that is in them."""
    for table in ("quote_actuals", "quote_customer", "quote_move"):
        op.drop_table(table)
    op.drop_index("ix_quote_revision_valid_until", "quote_revision")
    op.drop_index("ix_quote_revision_price_list_price_list_revision", "quote_revision")
    op.drop_table("quote_revision")
    op.drop_index("ix_quote_reference_quote_id", "quote_reference")
    op.drop_table("quote_reference")
    op.drop_index("ix_quote_created_at", "quote")
    op.drop_table("quote")
    op.drop_table("quote_count")


def _create_quotes() -> None:
    count = op.create_table(
        "quote_count",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("quotes", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_count")),
    )
    op.bulk_insert(count, [{"id": 1, "quotes": 0}])
    op.create_table(
        "quote",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("current_revision", sa.Integer(), nullable=False),
        sa.Column("latest_revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.Column("updated_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote")),
        sa.UniqueConstraint("number", name=op.f("uq_quote_number")),
    )
    op.create_index("ix_quote_created_at", "quote", ["created_at"])
    op.create_table(
        "quote_reference",
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("reference", name=op.f("pk_quote_reference")),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_reference_quote_id_quote")
        ),
    )
    op.create_index("ix_quote_reference_quote_id", "quote_reference", ["quote_id"])


def _create_revisions() -> None:
    op.create_table(
        "quote_revision",
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("supersedes", sa.Integer(), nullable=True),
        sa.Column("priced_by", sa.Text(), nullable=True),
        sa.Column("engine_version", sa.Text(), nullable=False),
        sa.Column("catalog_version", sa.Text(), nullable=False),
        sa.Column("price_list", sa.Text(), nullable=True),
        sa.Column("price_list_revision", sa.Integer(), nullable=True),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=True),
        sa.Column("title_folded", sa.Text(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=True),
        sa.Column("issued_on", sa.Text(), nullable=True),
        sa.Column("valid_until", sa.Text(), nullable=True),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("minor_places", sa.Integer(), nullable=False),
        sa.Column("total_minor", sa.BigInteger(), nullable=False),
        sa.Column("subtotal_minor", sa.BigInteger(), nullable=False),
        sa.Column("cost_minor", sa.BigInteger(), nullable=False),
        sa.Column("complete", sa.Integer(), nullable=False),
        sa.Column("materials_only", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.Column("request", sa.LargeBinary(), nullable=False),
        sa.Column("answer", sa.LargeBinary(), nullable=False),
        sa.Column("answer_digest", sa.Text(), nullable=False),
        sa.Column("pricing", sa.LargeBinary(), nullable=True),
        sa.PrimaryKeyConstraint("quote_id", "revision", name=op.f("pk_quote_revision")),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_revision_quote_id_quote")
        ),
    )
    op.create_index(
        "ix_quote_revision_price_list_price_list_revision",
        "quote_revision",
        ["price_list", "price_list_revision"],
    )
    op.create_index("ix_quote_revision_valid_until", "quote_revision", ["valid_until"])


def _create_beside() -> None:
    """What stands beside a quote or one of its revisions."""
    op.create_table(
        "quote_move",
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("step", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.Column("moved_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("quote_id", "step", name=op.f("pk_quote_move")),
        _of_a_revision("quote_move"),
    )
    op.create_table(
        "quote_customer",
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=True),
        sa.Column("address", sa.Text(), nullable=True),
        sa.Column("updated_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("quote_id", name=op.f("pk_quote_customer")),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_customer_quote_id_quote")
        ),
    )
    op.create_table(
        "quote_actuals",
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("document", sa.LargeBinary(), nullable=False),
        sa.Column("updated_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("quote_id", "revision", name=op.f("pk_quote_actuals")),
        _of_a_revision("quote_actuals"),
    )


def _of_a_revision(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["quote_id", "revision"],
        ["quote_revision.quote_id", "quote_revision.revision"],
        name=op.f(f"fk_{table}_quote_id_revision_quote_revision"),
    )
