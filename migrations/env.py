"""How Alembic reaches the database: one transaction a run, all or nothing.

The caller hands over an open connection in `config.attributes["connection"]`, or names a
database: `-x url=sqlite:///file.db` on Alembic's command line, `sqlalchemy.url` in code.
"""

from alembic import context
from alembic.util import CommandError
from sqlalchemy import Connection, text

from service.storage import open_engine
from service.storage.tables import METADATA
from service.storage.turns import Turn, take_turn


def read_url() -> str:
    """Return the database's URL, the command line's before the configuration's."""
    given = context.get_x_argument(as_dictionary=True).get("url")
    url = given or context.config.get_main_option("sqlalchemy.url")
    if not isinstance(url, str):
        raise CommandError("no database named; give -x url=sqlite:///file.db")
    return url


def migrate(connection: Connection) -> None:
    """Run the asked-for revisions in one transaction.

    SQLite can take back a CREATE TABLE, which Alembic doesn't expect of it by itself:
    without `transactional_ddl` a killed run would leave a revision half done for ever.
    Services that start together take turns, and nobody uses tables that change under him: on
    SQLite the transaction holds the lock already.
    """
    take_turn(connection, Turn.MIGRATION)
    if connection.dialect.name == "postgresql":
        keep_others_out(connection)
    context.configure(
        connection=connection,
        target_metadata=METADATA,
        transactional_ddl=True,
        render_as_batch=connection.dialect.name == "sqlite",
    )
    with context.begin_transaction():
        context.run_migrations()


def keep_others_out(connection: Connection) -> None:
    """Wait until no transaction uses the tables; the next ones wait for this one."""
    if connection.scalar(text("SELECT to_regclass('alembic_version') IS NOT NULL")):
        connection.execute(text("LOCK TABLE alembic_version IN ACCESS EXCLUSIVE MODE"))


def print_sql() -> None:
    """Print the statements instead of running them (`--sql`)."""
    context.configure(url=read_url(), target_metadata=METADATA, literal_binds=True)
    with context.begin_transaction():
        context.run_migrations()


def main() -> None:
    """Choose the way Alembic was called."""
    if context.is_offline_mode():
        print_sql()
    elif isinstance(open_connection := context.config.attributes.get("connection"), Connection):
        migrate(open_connection)
    else:
        with open_engine(read_url()).begin() as connection:
            migrate(connection)


main()
