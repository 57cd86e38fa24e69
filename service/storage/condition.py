"""What is amiss with a database that can be reached: whether it can be written to now."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, delete, insert, text

from service.storage.database_file import uri_of
from service.storage.errors import StorageForeignError, StorageGoneError, StorageReadOnlyError
from service.storage.tables import METADATA, PRICE_LIST_MAPPING
from service.storage.translation import MISSING, NO_RIGHT

LOCK_WAIT_S: Final = 1
ROOM_BYTES: Final = 65_536
# No id of a price list has a space in it.
_READ_ONLY = "SELECT pg_is_in_recovery() OR current_setting('default_transaction_read_only')::bool"
# Names that lead to no table are null there, and so is a right on them.
_TABLES = (
    "SELECT count(*) FILTER (WHERE found IS NULL), count(*) FILTER (WHERE NOT ("
    "has_table_privilege(found, 'SELECT') AND has_table_privilege(found, 'INSERT'))) "
    "FROM (SELECT to_regclass(name) AS found FROM unnest(CAST(:names AS text[])) AS name) AS each"
)
_NAME = "room to write"


def check_writable(reading: Engine, file: Path | None) -> None:
    """See that a transaction that writes could begin. What the driver raises tells why not.

    SQLite is asked on a connection of its own, which waits for a writer no longer than a second.
    """
    if file is not None:
        connection = sqlite3.connect(uri_of(file), uri=True, timeout=LOCK_WAIT_S)
        with closing(connection):
            connection.isolation_level = None
            connection.execute("PRAGMA wal_autocheckpoint = 0")
            connection.execute("BEGIN IMMEDIATE")
            # The lock alone may be had of a file that can't be written to.
            connection.execute("PRAGMA user_version = 0")
            connection.execute("ROLLBACK")
    elif reading.dialect.name == "postgresql":
        with reading.connect() as connected:
            if connected.scalar(text(_READ_ONLY)):
                raise StorageReadOnlyError("the server is a standby, or set to be read only")
            _check_tables(connected)


def _check_tables(connection: Connection) -> None:
    """See that all tables are there and may be read and added to."""
    names = [table.name for table in METADATA.sorted_tables]
    missing, barred = connection.execute(text(_TABLES), {"names": names}).one()
    if missing:
        raise StorageForeignError(MISSING)
    if barred:
        raise StorageGoneError(NO_RIGHT)


def try_room(connection: Connection) -> None:
    """Write some bytes and take them away again: fails where there is no room."""
    held = PRICE_LIST_MAPPING
    row = {"content": bytes(ROOM_BYTES), "content_digest": "", "saved_at": 0}
    connection.execute(insert(held).values(price_list_id=_NAME, **row))
    connection.execute(delete(held).where(held.c.price_list_id == _NAME))
