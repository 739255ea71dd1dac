"""A record on a PostgreSQL server: opened by any number of processes, on any number of hosts.

What a file needs and a server does not is refused here: copying it, putting it back and looking
for damage belong to whoever runs the server.
"""

from contextlib import closing

from sqlalchemy.engine import make_url

from app.domain.errors import NotFound, Refused
from app.settings import Settings
from app.storage import schema
from app.storage.engine import Database
from app.storage.postgresql import postgresql_engine


def opened(url: str) -> Database:
    """Open the record, with the newest schema; of several processes that start, one upgrades.

    Raises:
        Refused: If the address or the database is not fit, or written by a newer version.
    """
    database = Database(postgresql_engine(url))
    try:
        schema.refuse_foreign(database.engine)
        if not schema.is_current(database.engine):
            schema.upgrade(database.engine)
    except BaseException:
        database.close()
        raise
    return database


def look_for(url: str) -> None:
    """Look whether somebody began a record in this database.

    Raises:
        NotFound: If nobody did.
    """
    with closing(Database(postgresql_engine(url))) as database:
        if schema.revision_of(database.engine) is None:
            raise NotFound(f"There is no record in {where(url)} yet. Begin: sillpond serve")


def where(url: str) -> str:
    """The address of a database without its passphrase, as PostgreSQL's own programs take it."""
    return make_url(url).set(drivername="postgresql").render_as_string(hide_password=True)


def refuse(settings: Settings) -> None:
    """Refuse what only a file can have done to it.

    Raises:
        Refused: If the record is on a PostgreSQL server.
    """
    if settings.database_url:
        raise Refused(
            f"The record is in {where(settings.database_url)}, which is no file. Copy it with "
            "pg_dump, put it back with pg_restore, look for damage with pg_amcheck."
        )
