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

from sqlalchemy import Dialect, Engine

from app.domain.drafts import Draft, NewJob, NewLook, NewMeal, NewStockEvent
from app.domain.guard import NewReading
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, StockEventKind
from app.domain.tank import TankFacts, TankShape
from app.services import animals, entries, people, sites, tanks
from app.services.entries import Saved, Stamp
from app.services.people import Visitor
from app.storage import schema
from app.storage.engine import Database, sqlite_engine

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


@functools.cache
def _template() -> Path:
    """A database file with the newest schema, made once a process."""
    file = _folder() / "template.sqlite"
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine)
    _end_log(engine)
    return file


def _end_log(engine: Engine) -> None:
    """Put everything into the one file, so that it can be copied, and let go of it."""
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()


def _opened(folder: Path, copied: Path) -> Database:
    """A copy of a prepared file, open; a statement is compiled once a process, not once a file."""
    file = folder / "sillpond.sqlite"
    shutil.copyfile(copied, file)
    engine = sqlite_engine(file)
    engine.dialect = _dialect()
    engine.update_execution_options(compiled_cache=_statements)
    return Database(engine)


@functools.cache
def _dialect() -> Dialect:
    """The dialect that all engines of the tests share: compiled statements belong to one."""
    engine = sqlite_engine(_template())
    with engine.connect():
        pass
    engine.dispose()
    return engine.dialect


def empty_database(folder: Path) -> Database:
    """A database with the newest schema and nothing in it."""
    return _opened(folder, _template())


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


def new_record(folder: Path, *, zone: str = ZONE, class_setting: bool = True) -> Record:
    """A class's tank of 85 L with 10 rasboras and 6 corys, fed on school days."""
    file, made = _prepared(zone, class_setting)
    return replace(made, database=_opened(folder, file))


@functools.cache
def _prepared(zone: str, class_setting: bool) -> tuple[Path, Record]:
    """The file of such a record, written once a process, and what is known of it."""
    folder = _folder()
    made = _written(folder, zone=zone, class_setting=class_setting)
    _end_log(made.database.engine)
    return folder / "sillpond.sqlite", made


def _written(folder: Path, *, zone: str, class_setting: bool) -> Record:
    database = empty_database(folder)
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
        session_token = people.use_link(session, people.make_link(session, now=MONDAY), now=MONDAY)
        adult = people.visitor_of(session, session_token, now=MONDAY)
        assert adult is not None
        otter = people.add_helper(session, "Otter")
        finch = people.add_helper(session, "Finch")
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
