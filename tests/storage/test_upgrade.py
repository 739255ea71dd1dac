"""A filled record of the first schema: no row is lost, in place or as a backup put back."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import CheckConstraint, inspect

from app.domain.records import JobKind
from app.domain.tank import TankForm
from app.services.installation import restoring
from app.settings import Settings
from app.storage import schema, snapshot
from app.storage.base import Base
from app.storage.engine import Database, sqlite_engine
from tests.storage.first_record import ROWS, write_first_record

NOW = datetime(2027, 1, 6, 12, tzinfo=UTC)


def in_place(folder: Path) -> Path:
    """The record of the program that is opened with the newer one."""
    file = write_first_record(folder / "sillpond.sqlite")
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine)
    engine.dispose()
    return file


def put_back(folder: Path) -> Path:
    """A backup of the older program that is put in place of the record."""
    backup = write_first_record(folder / "backup.sqlite")
    settings = Settings(data_folder=folder / "data", secret_key="k" * 32)
    restoring.restore(settings, backup, now=NOW)
    return settings.database_file


WAYS = pytest.mark.parametrize("way", [in_place, put_back])


def rows(file: Path, table: str, names: list[str]) -> list[tuple[object, ...]]:
    columns = ", ".join("*" if name == "*" else f'"{name}"' for name in names)
    with closing(sqlite3.connect(file)) as connection:
        return connection.execute(f'SELECT {columns} FROM "{table}" ORDER BY 1, 2').fetchall()


# what is kept in another way since, each with a test of its own
REWRITTEN = {("reading", "reader")}


@WAYS
def test_every_row_keeps_every_value(tmp_path: Path, way: Callable[[Path], Path]) -> None:
    file = way(tmp_path)
    for table in {name for name, _ in ROWS} - (
        {"sign_in", "sign_in_try"} if way is put_back else set()
    ):
        wanted = [row for name, row in ROWS if name == table]
        names = [name for name in wanted[0] if (table, name) not in REWRITTEN]
        kept = [tuple(row[name] for name in names) for row in wanted]
        assert rows(file, table, names) == sorted(kept, key=lambda row: row[:2]), table


@WAYS
def test_whoever_read_a_color_is_an_author_now(tmp_path: Path, way: Callable[[Path], Path]) -> None:
    file = way(tmp_path)
    (otter,) = [row["id"] for name, row in ROWS if name == "author" and row["name"] == "Otter"]
    assert rows(file, "reading", ["id", "reader_id"]) == [(1, None), (2, otter)]


@WAYS
def test_the_upgraded_record_is_read_like_any_other(
    tmp_path: Path, way: Callable[[Path], Path]
) -> None:
    database = Database(sqlite_engine(way(tmp_path)))
    with database.reading() as session:
        (found,) = snapshot.load(session, [1], NOW)
    database.close()

    assert [job.job for job in found.jobs] == [JobKind.FILTER_RINSE, JobKind.WATER_CHANGE]
    assert found.jobs[1].liters_in == 20
    assert found.tank.shape.form is TankForm.BOX
    assert (found.tank.cover, found.tank.adult, found.tank.plan.jobs) == ("", "", ())
    assert found.expected_fish == found.expected_by_pupils == 10
    assert (found.groups[0].species, found.kits[0].lot) == ("", "")
    assert found.stock_events[0].hidden is False


def test_a_job_carries_the_tank_and_the_time_of_its_entry(tmp_path: Path) -> None:
    file = in_place(tmp_path)
    with closing(sqlite3.connect(file)) as connection:
        odd = connection.execute(
            "SELECT count(*) FROM job JOIN entry ON entry.id = job.entry_id"
            " WHERE job.tank_id <> entry.tank_id OR job.happened_at <> entry.happened_at"
        ).fetchone()
        needed = {row[1]: row[3] for row in connection.execute("PRAGMA table_info(job)")}
    assert odd == (0,)
    assert (needed["tank_id"], needed["happened_at"]) == (1, 1)


def test_no_rule_of_a_table_is_lost_when_it_is_made_anew(tmp_path: Path) -> None:
    engine = sqlite_engine(in_place(tmp_path))
    found = inspect(engine)
    for table in Base.metadata.sorted_tables:
        checks = {
            str(c.name): str(c.sqltext) for c in table.constraints if isinstance(c, CheckConstraint)
        }
        there = found.get_check_constraints(table.name)
        # sorted: none stands twice
        assert sorted((c["name"], c["sqltext"]) for c in there) == sorted(checks.items())
        indexes = {str(i.name): tuple(c.name for c in i.columns) for i in table.indexes}
        kept = {i["name"]: tuple(i["column_names"]) for i in found.get_indexes(table.name)}
        assert kept == indexes, table.name
    engine.dispose()


def test_a_record_of_the_second_schema_gets_room_for_forecasts_and_loses_nothing(
    tmp_path: Path,
) -> None:
    file = write_first_record(tmp_path / "sillpond.sqlite")
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine, to="0002")
    there = {table for table in inspect(engine).get_table_names() if table != "alembic_version"}
    before = {table: rows(file, table, ["*"]) for table in there}
    schema.upgrade(engine, to="0003")
    engine.dispose()

    assert {table: rows(file, table, ["*"]) for table in before} == before
    for table in ("forecast", "prediction_round", "prediction"):
        assert rows(file, table, ["id", "id"]) == []
