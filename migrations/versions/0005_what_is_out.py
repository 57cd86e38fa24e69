"""What is out of a saved quote, its draft and version; margins; what stands beside a quote."""

import json
from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from alembic import context, op

revision: str = "0005"
down_revision: str | None = "0004"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

INDEXES = (
    ("ix_quote_updated_at", "quote", "updated_at"),
    ("ix_quote_revision_reference_folded", "quote_revision", "reference_folded"),
)
OUT = ("issued", "accepted", "declined")


def upgrade() -> None:
    """Add the columns and tables, and fill them from what is there."""
    for table, columns in _added().items():
        for column in columns:
            op.add_column(table, column)
    for name, table, of in INDEXES:
        op.create_index(name, table, [of])
    _create_tables()
    customers = [] if context.is_offline_mode() else _read_customers()
    op.drop_table("quote_customer")
    _create_customers(
        sa.Column("document", sa.LargeBinary(), nullable=False),
        sa.Column("names_folded", sa.Text(), nullable=False),
    )
    if not context.is_offline_mode():
        _put_customers(customers)
        _fill_revisions()
        _fill_quotes()


def downgrade() -> None:
    """Take them away again; of a customer name and address stay, as text."""
    customers = [] if context.is_offline_mode() else _read_documents()
    op.drop_table("quote_customer")
    _create_customers(
        sa.Column("name", sa.Text(), nullable=True), sa.Column("address", sa.Text(), nullable=True)
    )
    if customers:
        op.bulk_insert(
            _table("quote_customer", "quote_id", "name", "address", "updated_at"), customers
        )
    op.drop_table("repricing_miss")
    op.drop_index("ix_quote_metadata_key_value", "quote_metadata")
    op.drop_table("quote_metadata")
    for name, table, _ in INDEXES:
        op.drop_index(name, table)
    for table, columns in _added().items():
        for column in columns:
            op.drop_column(table, column.name)


def _added() -> dict[str, tuple[sa.Column[Any], ...]]:
    return {
        "quote": (
            sa.Column("out_revision", sa.Integer(), nullable=True),
            sa.Column("out_state", sa.Text(), nullable=True),
            sa.Column("draft_revision", sa.Integer(), nullable=True),
            sa.Column("version", sa.Integer(), nullable=False, server_default="1"),
            sa.Column("notes", sa.Text(), nullable=True),
        ),
        "quote_revision": (
            sa.Column("reference_folded", sa.Text(), nullable=True),
            sa.Column("margin", sa.Integer(), nullable=True),
            sa.Column("terms", sa.Text(), nullable=True),
            sa.Column("terms_digest", sa.Text(), nullable=True),
        ),
        "quote_move": (
            sa.Column("on_day", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.Column("reason", sa.Text(), nullable=True),
            sa.Column("after_expiry", sa.Boolean(), nullable=False, server_default=sa.false()),
        ),
        "repricing": (
            sa.Column("prices_digest", sa.Text(), nullable=True),
            sa.Column("left_out", sa.Text(), nullable=False, server_default="[]"),
        ),
        "repricing_quote": (
            sa.Column("title", sa.Text(), nullable=True),
            sa.Column("terms", sa.Text(), nullable=True),
            sa.Column("terms_digest", sa.Text(), nullable=True),
            sa.Column("kept_draft", sa.Integer(), nullable=True),
        ),
        "repricing_chunk": (
            sa.Column("under", sa.LargeBinary(), nullable=True),
            sa.Column("out_under_margin", sa.Integer(), nullable=False, server_default="0"),
            sa.Column("newer_terms", sa.Integer(), nullable=False, server_default="0"),
        ),
    }


def _create_tables() -> None:
    op.create_table(
        "quote_metadata",
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name="fk_quote_metadata_quote_id_quote"
        ),
        sa.PrimaryKeyConstraint("quote_id", "key", name="pk_quote_metadata"),
    )
    op.create_index("ix_quote_metadata_key_value", "quote_metadata", ["key", "value"])
    op.create_table(
        "repricing_miss",
        sa.Column("repricing_id", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("quote_id", sa.Text(), nullable=True),
        sa.Column("reference", sa.Text(), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=True),
        sa.Column("state", sa.Text(), nullable=True),
        sa.Column("digest", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["repricing_id"], ["repricing.id"], name="fk_repricing_miss_repricing_id_repricing"
        ),
        sa.PrimaryKeyConstraint("repricing_id", "position", name="pk_repricing_miss"),
    )


def _create_customers(*columns: sa.Column[Any]) -> None:
    op.create_table(
        "quote_customer",
        sa.Column("quote_id", sa.Text(), nullable=False),
        *columns,
        sa.Column("updated_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("quote_id", name=op.f("pk_quote_customer")),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_customer_quote_id_quote")
        ),
    )


def _table(name: str, *columns: str) -> sa.TableClause:
    return sa.table(name, *(sa.column(column) for column in columns))


def _read_customers() -> list[dict[str, Any]]:
    """Customers as they are kept from now on: an address in one text becomes lines of the billing
    address."""
    held = _table("quote_customer", "quote_id", "name", "address", "updated_at")
    rows = op.get_bind().execute(sa.select(held)).all()
    customers = []
    for row in rows:
        document: dict[str, Any] = {} if row.name is None else {"name": row.name}
        if row.address is not None:
            document["billing_address"] = {"lines": row.address.splitlines()}
        customers.append(
            {
                "quote_id": row.quote_id,
                "document": json.dumps(document, ensure_ascii=False).encode(),
                "names_folded": (row.name or "").casefold(),
                "updated_at": row.updated_at,
            }
        )
    return customers


def _put_customers(customers: list[dict[str, Any]]) -> None:
    held = _table("quote_customer", "quote_id", "document", "names_folded", "updated_at")
    if customers:
        op.bulk_insert(held, customers)


def _read_documents() -> list[dict[str, Any]]:
    held = _table("quote_customer", "quote_id", "document", "updated_at")
    customers = []
    for row in op.get_bind().execute(sa.select(held)).all():
        document = json.loads(bytes(row.document))
        address = document.get("billing_address", document.get("site_address", {}))
        lines = [
            line for held in address.values() for line in ([held], held)[isinstance(held, list)]
        ]
        customers.append(
            {
                "quote_id": row.quote_id,
                "name": document.get("name", document.get("company")),
                "address": "\n".join(lines) or None,
                "updated_at": row.updated_at,
            }
        )
    return customers


def _fill_revisions() -> None:
    """Margins as they were answered, and references for finding in any case."""
    held = _table(
        "quote_revision",
        "quote_id",
        "revision",
        "reference",
        "reference_folded",
        "margin",
        "answer",
    )
    bind = op.get_bind()
    keys = bind.execute(sa.select(held.c.quote_id, held.c.revision)).all()
    for key in keys:
        this = (held.c.quote_id == key.quote_id, held.c.revision == key.revision)
        row = bind.execute(sa.select(held.c.reference, held.c.answer).where(*this)).one()
        margin = json.loads(bytes(row.answer)).get("price", {}).get("margin")
        values = {
            "margin": None if margin is None else int(Decimal(margin).scaleb(4)),
            "reference_folded": None if row.reference is None else row.reference.casefold(),
        }
        bind.execute(sa.update(held).where(*this).values(**values))


def _fill_quotes() -> None:
    """Which revision is out and which is the draft. Of several drafts the newest stays: those
    before were overtaken."""
    held = _table("quote_revision", "quote_id", "revision", "state")
    quote = _table(
        "quote", "id", "state", "current_revision", "out_revision", "out_state", "draft_revision"
    )
    bind = op.get_bind()
    states: dict[str, list[list[Any]]] = defaultdict(list)
    for row in bind.execute(sa.select(held).order_by(held.c.quote_id, held.c.revision)).all():
        states[row.quote_id].append([row.revision, row.state])
    for quote_id, revisions in states.items():
        drafts = [each for each in revisions if each[1] == "draft"]
        for each in drafts[:-1]:
            each[1] = "superseded"
            this = (held.c.quote_id == quote_id, held.c.revision == each[0])
            bind.execute(sa.update(held).where(*this).values(state="superseded"))
        standing = [each for each in revisions if each[1] not in ("withdrawn", "superseded")]
        current = (standing or revisions)[-1]
        out = next((held for state in OUT for held in revisions[::-1] if held[1] == state), None)
        values = {
            "state": current[1],
            "current_revision": current[0],
            "out_revision": None if out is None else out[0],
            "out_state": None if out is None else out[1],
            "draft_revision": drafts[-1][0] if drafts else None,
        }
        bind.execute(sa.update(quote).where(quote.c.id == quote_id).values(**values))
