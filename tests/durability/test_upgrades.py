"""A record of every released schema is upgraded without losing a value, after a copy of it."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from app.services.installation import keeping
from app.storage import schema
from tests.services.record_files import LATER, contents, settings_in
from tests.storage.older_records import ADDED, write_record

RELEASED = sorted(ADDED)
# a name in a text column became the number of an author in revision 0004
REWRITTEN = {("reading", "reader")}
Values = dict[str, list[dict[str, object]]]


def values_in(file: Path) -> Values:
    """All rows of all tables by the names of their columns, in one order."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as connection:
        connection.row_factory = sqlite3.Row
        tables = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'alembic%'"
        ).fetchall()
        return {
            name: [dict(row) for row in connection.execute(f'SELECT * FROM "{name}" ORDER BY 1, 2')]
            for (name,) in tables
        }


def kept_of(after: Values, before: Values) -> Values:
    """What an upgraded record says in the columns that the older one had."""
    return {
        table: [
            {name: new.get(name) for name in old if (table, name) not in REWRITTEN}
            for old, new in zip(rows, after[table], strict=True)
        ]
        for table, rows in before.items()
    }


def without_rewritten(before: Values) -> Values:
    return {
        table: [{n: v for n, v in row.items() if (table, n) not in REWRITTEN} for row in rows]
        for table, rows in before.items()
    }


@pytest.mark.parametrize("revision", RELEASED)
def test_an_upgraded_record_says_what_it_said_and_a_copy_was_made_first(
    tmp_path: Path, revision: str
) -> None:
    settings = settings_in(tmp_path)
    file = write_record(settings.database_file, revision)
    before, rows = values_in(file), contents(file)
    assert [table for table, found in before.items() if not found] == [], "a row in every table"
    keeping.open_record(settings, now=LATER).close()
    report = keeping.check(settings)
    assert (report.fault, report.revision) == ("", schema.newest_revision())
    assert kept_of(values_in(file), before) == without_rewritten(before)
    (copy,) = settings.copies_folder.iterdir()
    assert f"revision-{revision}" in copy.name
    assert contents(copy) == rows
