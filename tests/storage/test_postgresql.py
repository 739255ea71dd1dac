"""The record on a PostgreSQL server: one schema, one writer at a time, one moment a page."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier, Event

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from psycopg import Error, errors
from sqlalchemy import Engine, func, select, text, update
from sqlalchemy.exc import DBAPIError, OperationalError

from app.domain.errors import CannotSave, Conflict, Refused
from app.services import entries
from app.services.installation import server_record
from app.storage import schema
from app.storage.base import Base
from app.storage.engine import Database
from app.storage.models.entry import Entry
from app.storage.models.tank import Tank
from app.storage.postgresql import postgresql_engine
from app.storage.refusing import refusing
from tests import server
from tests.record import ON_SERVER, ONE_SCOOP, Record, new_record, opened_again


@pytest.fixture
def bare() -> Iterator[Engine]:
    """A database with nothing in it."""
    name = server.new_name()
    server.make(name)
    engine = postgresql_engine(server.url(name))
    yield engine
    engine.dispose()
    server.drop(name)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path, place=ON_SERVER)
    yield made
    made.database.close()


@pytest.fixture
def other(record: Record) -> Iterator[Database]:
    """The same record in another process."""
    database = opened_again(record.database)
    yield database
    database.close()


def test_the_revisions_make_exactly_the_tables_of_the_models(bare: Engine) -> None:
    schema.upgrade(bare)
    with bare.connect() as connection:
        differences = compare_metadata(MigrationContext.configure(connection), Base.metadata)
    assert differences == []


def test_of_processes_that_start_at_once_one_makes_the_schema(bare: Engine) -> None:
    url = bare.url.render_as_string(hide_password=False)
    at_once = Barrier(3)

    def start(_number: int) -> str | None:
        at_once.wait()
        database = server_record.opened(url)
        found = schema.revision_of(database.engine)
        database.close()
        return found

    with ThreadPoolExecutor(3) as pool:
        assert list(pool.map(start, range(3))) == [schema.newest_revision()] * 3


@pytest.mark.parametrize(
    ("made_with", "said"),
    [
        ("LOCALE_PROVIDER icu ICU_LOCALE 'en-US' ENCODING 'UTF8'", "rules of a language"),
        ("ENCODING 'SQL_ASCII'", "not UTF-8"),
    ],
)
def test_a_database_that_orders_texts_otherwise_is_refused(made_with: str, said: str) -> None:
    name = server.new_name()
    server.make(name, f"template0 {made_with}")
    with pytest.raises(Refused, match=said):
        server_record.opened(server.url(name))
    server.drop(name)


def test_a_database_of_another_program_is_left_as_it_is(bare: Engine) -> None:
    with bare.begin() as connection:
        connection.execute(text("CREATE TABLE invoice (id integer)"))
    with pytest.raises(Refused, match="not written by Sillpond"):
        server_record.opened(bare.url.render_as_string(hide_password=False))
    assert schema.revision_of(bare) is None


def test_a_record_of_a_newer_program_is_refused(record: Record) -> None:
    with record.database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
        session.commit()
    with pytest.raises(Refused, match="newer Sillpond"):
        server_record.opened(record.database.engine.url.render_as_string(hide_password=False))


@pytest.mark.parametrize(
    "url", ["", "sqlite:///x", "mysql://x/y", "postgresql://x/y", "postgresql+psycopg:/x"]
)
def test_what_is_no_address_of_a_database_is_refused(url: str) -> None:
    with pytest.raises(Refused, match="postgresql://name"):
        postgresql_engine(url)


def test_a_page_sees_one_moment_and_cannot_write(record: Record, other: Database) -> None:
    with record.database.reading() as page:
        before = page.scalar(select(func.count(Entry.id)))
        with other.writing() as session:
            entries.record(session, record.stamp(), ONE_SCOOP, now=record.now)
        assert page.scalar(select(func.count(Entry.id))) == before
        with pytest.raises(DBAPIError, match="read-only transaction"):
            page.execute(update(Tank).values(name="x"))


def test_while_one_process_writes_another_waits_or_goes_on_without(
    record: Record, other: Database
) -> None:
    began = Event()

    def write_too() -> int:
        began.set()
        with other.writing() as session:
            # what the one before it wrote is seen
            return session.scalars(select(Tank.revision)).one()

    with ThreadPoolExecutor(1) as pool:
        with record.database.writing() as session:
            revision = session.scalars(select(Tank.revision)).one()
            entries.raise_revision(session, record.tank_id)
            with other.writing_if_free() as nothing:
                assert nothing is None
            waiting = pool.submit(write_too)
            began.wait()
            session.commit()
        assert waiting.result() == revision + 1
    with other.writing_if_free() as free:
        assert free is not None


@pytest.mark.parametrize("tokens", [["same"] * 6, [f"own {n}" for n in range(6)]])
def test_of_one_token_one_entry_is_saved_however_many_post_it_at_once(
    record: Record, other: Database, tokens: list[str]
) -> None:
    at_once = Barrier(len(tokens))
    before = _counted(record)

    def post(number: int) -> bool:
        stamp = record.stamp(token=tokens[number])
        at_once.wait()
        with (record.database, other)[number % 2].writing() as session:
            return entries.record(session, stamp, ONE_SCOOP, now=record.now).fresh

    with ThreadPoolExecutor(len(tokens)) as pool:
        fresh = list(pool.map(post, range(len(tokens))))
    assert sum(fresh) == len(set(tokens))
    assert _counted(record) == before + len(set(tokens))


def test_who_waits_too_long_for_a_turn_is_told(record: Record, other: Database) -> None:
    with other.engine.connect() as held:
        held.execute(select(1))
        short = record.database.engine.execution_options(turn="50ms")
        with pytest.raises(DBAPIError, match="lock timeout"), short.connect() as waiting:
            waiting.execute(select(1))


def test_what_one_process_holds_no_other_gets(
    record: Record, other: Database, tmp_path: Path
) -> None:
    """Each host has a folder of its own: the lock is not a file."""
    here, there = tmp_path / "here", tmp_path / "there"
    with record.database.held(1, 7, here):
        with pytest.raises(Conflict), other.held(1, 7, there):
            pass
        with other.held(1, 8, there), other.held(2, 7, there):
            pass
        with other.writing() as session:
            entries.raise_revision(session, record.tank_id)
            session.commit()
    with other.held(1, 7, there):
        pass
    assert not here.exists()
    assert not there.exists()


NO_ROOM = """
CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = 'disk_full'; END $$;
CREATE TRIGGER no_room BEFORE INSERT ON feeding EXECUTE FUNCTION no_room()
"""


def test_a_disk_that_fills_up_during_a_save_leaves_nothing_of_it(record: Record) -> None:
    before, stamp = _counted(record), record.stamp()

    def save() -> None:
        with record.database.writing() as session:
            entries.record(session, stamp, ONE_SCOOP, now=record.now)

    _do(record, NO_ROOM)
    with pytest.raises(CannotSave, match="is full"):
        save()
    assert _counted(record) == before
    _do(record, "DROP TRIGGER no_room ON feeding")
    save()
    assert _counted(record) == before + 1


def test_a_database_that_may_only_be_read_is_read_and_says_why_it_saves_nothing(
    record: Record,
) -> None:
    name = record.database.engine.url.database
    _do(record, f"ALTER DATABASE {name} SET default_transaction_read_only = on")
    record.database.engine.dispose()
    with pytest.raises(CannotSave, match="takes no changes now"):
        record.write(ONE_SCOOP)
    assert _counted(record)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        # with the codes that the driver took from appendix "PostgreSQL Error Codes"
        (errors.DiskFull, "is full"),
        (errors.IoError, "does not answer as it should"),
        (errors.LockNotAvailable, "Save again in a minute"),
        (errors.TooManyConnections, "too much to do"),
        (errors.OutOfMemory, "too much to do"),
        (errors.ReadOnlySqlTransaction, "takes no changes now"),
        (errors.CannotConnectNow, "does not answer"),
        (errors.ConnectionFailure, "does not answer"),
        (errors.OperationalError, "does not answer"),
    ],
)
def test_what_a_server_says_becomes_a_sentence(error: type[Error], said: str) -> None:
    with pytest.raises(CannotSave, match=said), refusing():
        raise OperationalError(None, None, error("x"))


@pytest.mark.parametrize("error", [errors.UndefinedTable, errors.UniqueViolation, errors.DataError])
def test_what_is_our_own_fault_is_not_laid_on_the_server(error: type[Error]) -> None:
    with pytest.raises(DBAPIError, match="our own"), refusing():
        raise DBAPIError(None, None, error("our own"))


def test_a_server_that_goes_away_during_a_save_is_told_and_found_again(
    record: Record, other: Database
) -> None:
    def cut_off() -> None:
        with other.reading() as elsewhere, record.database.writing() as session:
            own = session.scalar(text("SELECT pg_backend_pid()"))
            elsewhere.execute(text("SELECT pg_terminate_backend(:own, 8000)"), {"own": own})
            entries.record(session, record.stamp(), ONE_SCOOP, now=record.now)

    with pytest.raises(CannotSave, match="not saved twice"):
        cut_off()
    record.write(ONE_SCOOP)


def test_a_server_that_is_not_there_is_told(tmp_path: Path) -> None:
    nowhere = Database(postgresql_engine(f"postgresql+psycopg://me@/x?host={tmp_path}"))
    with pytest.raises(CannotSave, match="does not answer"), nowhere.writing() as session:
        session.execute(select(1))


def _do(record: Record, statement: str) -> None:
    with record.database.writing() as session:
        session.execute(text(statement))
        session.commit()


def _counted(record: Record) -> int:
    with record.database.reading() as session:
        return session.scalar(select(func.count(Entry.id))) or 0
