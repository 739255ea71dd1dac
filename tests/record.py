"""A filled record for tests: one site, one tank, an adult and two tiles, on a fresh file."""

import functools
import shutil
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from app.domain.drafts import Draft, NewJob, NewLook, NewMeal, NewStockEvent
from app.domain.guard import NewReading
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, StockEventKind
from app.domain.tank import TankShape
from app.services import animals, entries, people, sites, tanks
from app.services.entries import Saved, Stamp
from app.services.people import Visitor
from app.storage import schema
from app.storage.engine import Database, sqlite_engine

# Monday, 8 February 2027, 8:41 in New York
MONDAY = datetime(2027, 2, 8, 13, 41, tzinfo=UTC)
ZONE = "America/New_York"
_tokens = count(1)


@functools.cache
def _template() -> Path:
    """A database file with the newest schema, made once a process."""
    file = Path(tempfile.mkdtemp(prefix="record-")) / "template.sqlite"
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine)
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()
    return file


def empty_database(folder: Path) -> Database:
    """A database with the newest schema and nothing in it."""
    file = folder / "sillpond.sqlite"
    shutil.copyfile(_template(), file)
    return Database(sqlite_engine(file))


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
            tanks.TankDraft(
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
