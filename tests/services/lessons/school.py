"""A class's record with five weeks of life in it, and lessons filled from it."""

from dataclasses import replace
from datetime import date, timedelta

from app.domain.drafts import NewJob, NewLook, NewMeal, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind, Treated
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.services import equipment, sites, tanks, tasks
from app.services.equipment import EquipmentDraft
from app.services.lessons import month
from app.services.lessons.model import Filled
from app.services.lessons.month import Month
from app.services.lessons.registry import guided
from tests.record import MONDAY, Record, reading

JANUARY = MONDAY.replace(month=1, day=4, hour=14, minute=0)  # a Monday, 9 in New York
WARMTH = (24.5, 24.4, 24.6, 24.5, 24.3, 24.1, 24.4, 24.6, 24.5, 24.4)
NITRATE = (20.0, 19.0, 18.0, 18.0, 17.0)


def told(record: Record) -> TankSnapshot:
    """The tank as a lesson sees it."""
    with record.database.reading() as session:
        seen = tasks.look(session, [record.tank_id], now=record.now, pupils=True)
        return seen[record.tank_id][0]


def filled(record: Record, key: str) -> Filled:
    """A guided lesson, filled from the record."""
    lesson = guided(key)
    assert lesson is not None
    snapshot = told(record)
    with record.database.reading() as session:
        return lesson.fill(session, snapshot, load())


def looked(record: Record, year: int, number: int) -> Month:
    """What a month shows."""
    snapshot = told(record)
    with record.database.reading() as session:
        return month.look(session, snapshot, load(), date(year, number, 1))


def live(record: Record) -> None:
    """Five weeks of January and February: meals, temperatures, tests, changes, one odd sign."""
    start, day = JANUARY, timedelta
    _set_up(record)
    for n in range(25):
        at = start + day(days=n // 5 * 7 + n % 5)
        record.write(
            NewMeal(scoops=1.0), reading(Quantity.TEMPERATURE, WARMTH[n % len(WARMTH)]), at=at
        )
    for n, value in enumerate(NITRATE):
        at = start + day(days=7 * n, hours=1)
        record.write(NewTest(), reading(Quantity.NITRATE, value), at=at)
        change = NewJob(
            job=JobKind.WATER_CHANGE, liters_out=21.25, liters_in=21.25, treated=Treated.YES
        )
        record.write(change, at=at + day(days=2))
    for hours, value in ((0, 7.1), (8, 7.4)):
        at = start + day(days=24, hours=hours)
        record.write(NewTest(), reading(Quantity.PH, value), at=at)
    record.write(NewJob(job=JobKind.FILTER_RINSE), at=start + day(days=10))
    record.write(NewLook(signs=(Sign.CLOUDY,)), at=start + day(days=13))


def _set_up(record: Record) -> None:
    with record.database.writing() as session:
        facts = tanks.tank(session, record.tank_id).facts
        known = replace(
            facts, food_protein_percent=45.0, coldest_room_c=16.0, set_point_c=24.5,
            light_on="08:00", light_hours=8.0, cover="closed",
        )  # fmt: skip
        tanks.change_tank(session, record.tank_id, known)
        sites.set_tap(session, sites.FIRST, Quantity.NITRATE, 5.0, None)
        for grams, scoops in ((2.4, 20), (1.5, 10)):
            at = MONDAY - timedelta(days=60)
            tanks.weigh_scoop(session, record.tank_id, grams, scoops, now=at)
        for draft in (
            EquipmentDraft(kind="filter", name="Sponge filter", watts=5.0),
            EquipmentDraft(kind="lamp", name="Lamp", watts=12.0),
        ):
            equipment.add(session, record.tank_id, draft)


def lose_one_in_secret(record: Record) -> None:
    """A rasbora died, and no pupil was told; on the day, a dead fish was seen."""
    at = MONDAY - timedelta(days=20)
    gone = NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, hidden=True, note="by Moss")
    record.write(gone, at=at)
    record.write(NewLook(signs=(Sign.DEAD_FISH,)), at=at)
