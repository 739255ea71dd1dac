"""Whether the record can be read and written at this moment."""

import functools

from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from app.domain.errors import CannotRead
from app.storage import schema
from app.storage.engine import Database

_newest = functools.cache(schema.newest_revision)


def fault(database: Database) -> str:
    """What keeps a server from its work in one word, "" for nothing: schema, read or write.

    While somebody else is writing, writing is taken to work.
    """
    try:
        with database.reading() as session:
            found = session.execute(text("SELECT version_num FROM alembic_version")).scalar()
    except (CannotRead, DBAPIError):
        return "read"
    if found != _newest():
        return "schema"
    try:
        with database.writing_if_free() as session:
            if session is not None and not database.takes_changes(session):
                return "write"
    except DBAPIError:
        return "write"
    return ""
