"""How Alembic reaches the database: the application's open connection, or JOURNAL_DATABASE_URL from a command line."""

from alembic import context
from journal.records import tables  # noqa: F401 - makes every table known
from journal.records.base import Base, UtcDateTime
from journal.records.engine import data_folder, database_url, open_engine


def render_item(kind, value, _autogen_context):
    """Written as plain column types: a migration imports no model, so that it still runs when the models moved on."""
    if kind == "type" and isinstance(value, UtcDateTime):
        return "sa.DateTime(timezone=True)"
    return False


def run(connection):
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        render_item=render_item,
        transactional_ddl=True,
    )
    with context.begin_transaction():
        context.run_migrations()


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    engine = open_engine(database_url(data_folder()))
    # SQLite changes a table by copying it; its rows' parents must not seem to vanish meanwhile.
    with engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")
        with connection.begin():
            run(connection)
