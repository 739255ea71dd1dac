"""Records as files, for the tests that keep, break and put them back."""

import shutil
import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from app import resources
from app.domain.quantities import Quantity
from app.services.installation import keeping
from app.settings import Settings
from app.storage import schema
from app.storage.engine import Database
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, new_record, reading

LATER = MONDAY + timedelta(days=1)
NOT_IN_A_BACKUP = {"sign_in", "sign_in_try", "request_count", "incoming_file"}


def settings_in(folder: Path) -> Settings:
    return Settings(data_folder=folder, secret_key="k" * 32)


def filled(folder: Path) -> tuple[Record, Settings]:
    """A record with some entries, in a folder of its own."""
    folder.mkdir()
    record = new_record(folder)
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), by=record.otter)
    record.write(ALL_FINE)
    return record, settings_in(folder)


def contents(file: Path) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables, without who is signed in and without a backup's note."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as connection:
        names = [
            name
            for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type='table'")
            if name not in NOT_IN_A_BACKUP | {"backup_note"}
        ]
        return {
            name: sorted(connection.execute(f"SELECT * FROM {name}").fetchall(), key=repr)
            for name in sorted(names)
            if name != "alembic_version"
        }


def backup_of(record: Record, settings: Settings, target: Path) -> Path:
    keeping.back_up(settings, target, now=record.now)
    return target


def change(file: Path, *statements: str) -> Path:
    """Change a file behind the program's back."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA foreign_keys=OFF")
        for statement in statements:
            connection.execute(statement)
        connection.commit()
    return file


def settle(database: Database) -> None:
    """Close a record, with everything in its one file."""
    database.close()
    file = database.engine.url.database
    assert file is not None
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def with_one_more_revision(root: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make this a program with one more schema revision; returns the file of that revision."""
    shutil.copytree(resources.migrations(), root / "migrations")
    file = root / "migrations" / "versions" / "next.py"
    file.write_text(
        f"revision = 'next'\ndown_revision = {schema.newest_revision()!r}\n"
        "from alembic import op\nimport sqlalchemy as sa\n"
        "def upgrade():\n    op.create_table('pebble', sa.Column('id', sa.Integer))\n"
    )
    monkeypatch.setattr("app.storage.schema.resources.resource_root", lambda: root)
    return file
