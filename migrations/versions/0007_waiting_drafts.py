"""A draft that a re-pricing made of many may wait for its answer, which is made of another."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import context, op

revision: str = "0007"
down_revision: str | None = "0006"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

WAITS = sa.text("made_from IS NOT NULL")


def upgrade() -> None:
    """No revision waits so far."""
    op.add_column("quote_revision", sa.Column("made_from", sa.Integer()))
    op.create_index(
        "ix_quote_revision_waiting",
        "quote_revision",
        ["quote_id", "revision"],
        sqlite_where=WAITS,
        postgresql_where=WAITS,
    )
    op.create_table(
        "repricing_prices",
        sa.Column("price_list", sa.Text(), nullable=False),
        sa.Column("price_list_revision", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint(
            "price_list", "price_list_revision", name=op.f("pk_repricing_prices")
        ),
    )


def downgrade() -> None:
    """Refused while answers wait: an earlier version can't make them, and would take them for
    empty ones."""
    if not context.is_offline_mode():
        table = sa.table("quote_revision", sa.column("made_from"))
        waiting = sa.select(sa.func.count()).select_from(table).where(WAITS)
        if count := op.get_bind().execute(waiting).scalar_one():
            raise RuntimeError(
                f"{count} answers wait to be made; a service of this version does it while it runs"
            )
    op.drop_table("repricing_prices")
    op.drop_index("ix_quote_revision_waiting", "quote_revision")
    op.drop_column("quote_revision", "made_from")
