"""The schema's revisions agree with the tables, and a newer record is left alone."""

import hashlib
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text

from app.domain.errors import Refused
from app.storage import schema
from app.storage.base import Base
from app.storage.engine import sqlite_engine


def test_the_revisions_make_exactly_the_tables_of_the_models(tmp_path: Path) -> None:
    engine = sqlite_engine(tmp_path / "new.sqlite", foreign_keys=False)
    schema.upgrade(engine)
    with engine.connect() as connection:
        differences = compare_metadata(MigrationContext.configure(connection), Base.metadata)
    engine.dispose()
    assert differences == []


def test_upgrading_twice_changes_nothing(tmp_path: Path) -> None:
    engine = sqlite_engine(tmp_path / "new.sqlite", foreign_keys=False)
    assert schema.revision_of(engine) is None
    schema.upgrade(engine)
    schema.upgrade(engine)
    assert schema.is_current(engine)
    engine.dispose()


def test_a_record_of_a_newer_program_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    file = tmp_path / "newer.sqlite"
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    before = hashlib.sha256(file.read_bytes()).hexdigest()

    with pytest.raises(Refused, match=f"9999.*{schema.newest_revision()}"):
        schema.upgrade(engine)

    engine.dispose()
    assert hashlib.sha256(file.read_bytes()).hexdigest() == before
