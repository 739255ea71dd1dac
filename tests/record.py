"""A filled record for tests: one site, one tank, an adult and two tiles, on a fresh file."""

import atexit
import functools
import shutil
import tempfile
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import Dialect

from app.domain.drafts import Draft, NewJob, NewLook, NewMeal, NewStockEvent
from app.domain.guard import NewReading
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, StockEventKind
from app.domain.tank import TankFacts, TankShape
from app.services import entries, sites, tanks
from app.services.access import sign_ins
from app.services.access.people import Visitor
from app.services.entries import Saved, Stamp
from app.services.livestock import animals
from app.services.school import tiles
from app.storage import schema
from app.storage.engine import Database, sqlite_engine
from app.storage.postgresql import postgresql_engine
from tests import server

# Monday, 8 February 2027, 8:41 in New York
MONDAY = datetime(2027, 2, 8, 13, 41, tzinfo=UTC)
ZONE = "America/New_York"
_tokens = count(1)
_statements: dict[Any, Any] = {}


def _folder() -> Path:
    """A folder for a file that tests copy; it goes when the process ends."""
    folder = Path(tempfile.mkdtemp(prefix="record-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


class Files:
    """Records as SQLite files, each a copy of a prepared one."""

    def empty(self) -> str:
        """A prepared file with the newest schema, made once a process."""
        return _empty_file()

    def kept(self, database: Database) -> str:
        """A file that may be copied from now on: all in one, and nobody has it open."""
        with database.engine.connect() as connection:
            connection.exec_driver_sql("COMMIT")
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        database.close()
        return str(database.engine.url.database)

    def opened(self, folder: Path, copied: str) -> Database:
        """A copy, open; a statement is compiled once a process, not once a file."""
        file = folder / "sillpond.sqlite"
        shutil.copyfile(copied, file)
        engine = sqlite_engine(file)
        engine.dialect = _dialect()
        engine.update_execution_options(compiled_cache=_statements)
        return Database(engine)


@functools.cache
def _empty_file() -> str:
    file = _folder() / "template.sqlite"
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine)
    return FILES.kept(Database(engine))


@functools.cache
def _dialect() -> Dialect:
    """The dialect that all engines of the tests share: compiled statements belong to one."""
    engine = sqlite_engine(Path(_empty_file()))
    with engine.connect():
        pass
    engine.dispose()
    return engine.dialect


class Server:
    """Records as databases of a PostgreSQL server, each a copy of a prepared one."""

    def empty(self) -> str:
        """A prepared database with the newest schema, made once a process."""
        return _empty_on_server()

    def kept(self, database: Database) -> str:
        """A database that may be copied from now on: nobody is connected."""
        database.engine.dispose()
        return str(database.engine.url.database)

    def opened(self, _folder: Path, copied: str) -> Database:
        """A copy, open; it is dropped when it is closed."""
        name = server.new_name()
        server.make(name, copied)
        return _Dropped(postgresql_engine(server.url(name)))


class _Dropped(Database):
    def close(self) -> None:
        super().close()
        server.drop(str(self.engine.url.database))


@functools.cache
def _empty_on_server() -> str:
    name = server.new_name()
    server.make(name)
    engine = postgresql_engine(server.url(name))
    schema.upgrade(engine)
    return ON_SERVER.kept(Database(engine))


FILES, ON_SERVER = Files(), Server()
Place = Files | Server
_HERE: Place = ON_SERVER if server.WHOLE_RUN else FILES


def empty_database(folder: Path, place: Place = _HERE) -> Database:
    """A database with the newest schema and nothing in it."""
    return place.opened(folder, place.empty())


def opened_again(database: Database) -> Database:
    """The same record as another process has it."""
    url = database.engine.url
    if database.engine.dialect.name == "sqlite":
        return Database(sqlite_engine(Path(str(url.database))))
    return Database(postgresql_engine(url.render_as_string(hide_password=False)))


@dataclass
class Record:
    """A record with one tank; `now` moves only by hand."""

    database: Database
    tank_id: int
    adult: Visitor
    otter: int
    finch: int
    now: datetime = MONDAY

    def write(
        self,
        draft: Draft,
        *readings: NewReading,
        at: datetime | None = None,
        by: int | None = None,
        token: str = "",
    ) -> Saved:
        """Write one entry down, by default now and by the adult."""
        stamp = self.stamp(at=at, by=by, token=token)
        with self.database.writing() as session:
            return entries.record(session, stamp, draft, readings, now=self.now)

    def stamp(self, *, at: datetime | None = None, by: int | None = None, token: str = "") -> Stamp:
        """The stamp of one post; a new token unless one is given."""
        return Stamp(
            tank_id=self.tank_id,
            token=token or f"token-{next(_tokens)}",
            happened_at=at or self.now,
            author_id=self.adult.author_id,
            done_by_id=by,
        )

    def write_checks(self, at: datetime) -> None:
        """The round with dry hands that is due every month."""
        for job in (JobKind.EQUIPMENT_CHECK, JobKind.OUTLET_TEST):
            self.write(NewJob(job=job), at=at)

    def pass_time(self, **parts: float) -> None:
        """Move the clock, as `pass_time(minutes=3)`."""
        self.now += timedelta(**parts)


def reading(quantity: Quantity, value: float, **more: object) -> NewReading:
    """A meter reading in the kept unit."""
    facts = FACTS[quantity]
    fields = {"low": None, "high": None, "typed": f"{value:g}"} | more
    return NewReading(
        quantity=quantity,
        value=value,
        unit=facts.unit,
        basis=facts.basis,
        **fields,  # type: ignore[arg-type]
    )


def new_record(
    folder: Path, *, zone: str = ZONE, class_setting: bool = True, place: Place = _HERE
) -> Record:
    """A class's tank of 85 L with 10 rasboras and 6 corys, fed on school days."""
    prepared, made = _prepared(zone, class_setting, place)
    return replace(made, database=place.opened(folder, prepared))


@functools.cache
def _prepared(zone: str, class_setting: bool, place: Place) -> tuple[str, Record]:
    """What such a record is copied from, written once a process, and what is known of it."""
    made = _written(empty_database(_folder(), place), zone=zone, class_setting=class_setting)
    return place.kept(made.database), made


def _written(database: Database, *, zone: str, class_setting: bool) -> Record:
    start = MONDAY - timedelta(days=200)
    with database.writing() as session:
        weekdays = frozenset(range(5)) if class_setting else frozenset(range(7))
        sites.set_site(
            session, sites.SiteDraft(name="Hill School", zone=zone, present_weekdays=weekdays)
        )
        shape = TankShape(
            length_cm=78,
            width_cm=34,
            rim_cm=42,
            water_depth_cm=36,
            sand_front_cm=5,
            sand_back_cm=5,
            displacement_l=2.5,
        )
        tank_id = tanks.add_tank(
            session,
            TankFacts(
                name="Brook",
                shape=shape,
                setting="class" if class_setting else "home",
                started_on=start.date(),
                mature_on=(start + timedelta(days=60)).date(),
            ),
        )
        session_token = sign_ins.use_link(
            session, sign_ins.make_link(session, now=MONDAY), now=MONDAY
        )
        adult = sign_ins.visitor_of(session, session_token, now=MONDAY)
        assert adult is not None
        otter = tiles.add_helper(session, "Otter")
        finch = tiles.add_helper(session, "Finch")
        rasboras = animals.add_group(session, tank_id, "harlequin rasbora", "middle", 4.5)
        corys = animals.add_group(session, tank_id, "peppered cory", "bottom", 7.0)
    record = Record(database, tank_id, adult, otter, finch)
    for group, number in ((rasboras, 10), (corys, 6)):
        record.write(
            NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=number), at=start
        )
    return record


ONE_SCOOP = NewMeal(scoops=1.0)
ALL_FINE = NewLook(seen=16, lid_closed=True, plug_on=True, breathing_calm=True)
