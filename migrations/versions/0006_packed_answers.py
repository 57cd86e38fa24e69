"""Answers are kept compressed from here on; statistics of what is there, for finding it."""

import zlib
from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from alembic import context, op

revision: str = "0006"
down_revision: str | None = "0005"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

# Table, its key, and the column whose bytes may be compressed.
PACKED = (
    ("quote_revision", ("quote_id", "revision"), "answer"),
    ("idempotency", ("caller", "method", "path", "key"), "body"),
)
ROWS_AT_A_TIME = 100
MARK = b"x"


def upgrade() -> None:
    """Count what is there. No answer is written anew: what is kept already stays as it is and is
    read in either form, so that this takes no longer, and no more room, with many quotes."""
    op.execute("ANALYZE")


def downgrade() -> None:
    """Keep answers as they were answered again, a hundred at a time."""
    if context.is_offline_mode():
        return
    for name, key, content in PACKED:
        table = sa.table(name, *(sa.column(column) for column in (*key, content)))
        columns = [table.c[column] for column in key]
        last = None
        while rows := _rows(table, columns, last):
            for row in rows:
                _unpack(table, columns, tuple(row)[:-1], row[-1], content)
            last = tuple(rows[-1])[:-1]


def _rows(table: sa.TableClause, key: list[Any], last: tuple[Any, ...] | None) -> list[Any]:
    """The next rows by their key: it, and the content."""
    chosen = sa.select(table).order_by(*key).limit(ROWS_AT_A_TIME)
    if last is not None:
        chosen = chosen.where(sa.tuple_(*key) > sa.tuple_(*last))
    return list(op.get_bind().execute(chosen).all())


def _unpack(
    table: sa.TableClause, key: list[Any], at: tuple[Any, ...], kept: bytes | None, content: str
) -> None:
    if kept is None or not bytes(kept).startswith(MARK):
        return
    this = [column == value for column, value in zip(key, at, strict=True)]
    plain = zlib.decompress(bytes(kept))
    op.get_bind().execute(sa.update(table).where(*this).values({content: plain}))
