"""The record on a PostgreSQL server: one schema, one writer at a time, one moment a page."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier, Event

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Engine, func, select, text, update
from sqlalchemy.exc import DBAPIError

from app.domain.errors import Refused
from app.services import entries, server_record
from app.storage import schema
from app.storage.base import Base
from app.storage.engine import Database
from app.storage.models.entry import Entry
from app.storage.models.tank import Tank
from app.storage.postgresql import postgresql_engine
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


def _counted(record: Record) -> int:
    with record.database.reading() as session:
        return session.scalar(select(func.count(Entry.id))) or 0
