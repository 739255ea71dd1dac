"""What lessons read of a tank's record: a month of readings, water changes, weighings, a year."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus, JobKind
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding, Scoop
from app.storage.models.maintenance import Job
from app.storage.models.water import Reading


class Measured(NamedTuple):
    """One value as it was read, in the kept unit, with what became of its entry."""

    entry_id: int
    at: datetime
    quantity: str
    value: float | None
    low: float | None
    high: float | None
    kit_id: int | None
    in_force: bool
    kind: str
    status: str
    replaces_id: int | None
    happened_at: datetime
    recorded_at: datetime


class Poured(NamedTuple):
    """A water change, and the liters that went out."""

    at: datetime
    liters: float


class Used(NamedTuple):
    """What went in over a stretch of time: liters of new water, meals, and their grams."""

    liters: float
    meals: int
    weighed: int
    grams: float


def measured(
    session: Session, tank_id: int, start: datetime, end: datetime, quantity: str = ""
) -> Sequence[Measured]:
    """What was read from a moment until before another, without what was taken back; ascending."""
    query = (
        select(
            Reading.entry_id,
            Reading.at,
            Reading.quantity,
            Reading.value,
            Reading.low,
            Reading.high,
            Reading.kit_id,
            Reading.in_force,
            Entry.kind,
            Entry.status,
            Entry.replaces_id,
            Entry.happened_at,
            Entry.recorded_at,
        )
        .join(Entry, Entry.id == Reading.entry_id)
        .where(
            Reading.tank_id == tank_id,
            Reading.at >= start,
            Reading.at < end,
            Entry.status != EntryStatus.WITHDRAWN.value,
        )
        .order_by(Reading.at, Reading.entry_id, Reading.id)
    )
    if quantity:
        query = query.where(Reading.quantity == quantity)
    rows: Iterable[Any] = session.execute(query)
    return [Measured(*row) for row in rows]


def first_reading_at(session: Session, tank_id: int) -> datetime | None:
    """When the first reading that counts was taken."""
    query = select(func.min(Reading.at, type_=Reading.at.type)).where(
        Reading.tank_id == tank_id, Reading.in_force.is_(True)
    )
    return session.scalar(query)


def changes(session: Session, tank_id: int, start: datetime, end: datetime) -> Sequence[Poured]:
    """The water changes with their liters from a moment until before another, ascending."""
    query = (
        select(Entry.happened_at, Job.liters_out)
        .join(Job, Job.entry_id == Entry.id)
        .where(
            Entry.tank_id == tank_id,
            Entry.kind == EntryKind.JOB.value,
            Entry.status == EntryStatus.OK.value,
            Job.job == JobKind.WATER_CHANGE.value,
            Job.liters_out.is_not(None),
            Entry.happened_at >= start,
            Entry.happened_at < end,
        )
        .order_by(Entry.happened_at, Entry.id)
    )
    rows: Iterable[Any] = session.execute(query)
    return [Poured(*row) for row in rows]


def weighings(session: Session, tank_id: int) -> Sequence[float]:
    """The grams of one flat scoop at each weighing, oldest first."""
    query = select(Scoop.grams).where(Scoop.tank_id == tank_id).order_by(Scoop.weighed_at, Scoop.id)
    return list(session.scalars(query))


def used(session: Session, tank_id: int, start: datetime, end: datetime) -> Used:
    """What went into a tank from a moment until before another."""
    whole = (
        Entry.tank_id == tank_id,
        Entry.status == EntryStatus.OK.value,
        Entry.happened_at >= start,
        Entry.happened_at < end,
    )
    poured = (
        select(func.coalesce(func.sum(func.coalesce(Job.liters_in, Job.liters_out)), 0.0))
        .join(Entry, Entry.id == Job.entry_id)
        .where(*whole, Job.job.in_((JobKind.WATER_CHANGE.value, JobKind.TOP_UP.value)))
    )
    fed = (
        select(
            func.count(Feeding.entry_id),
            func.count(Feeding.grams),
            func.coalesce(func.sum(Feeding.grams), 0.0),
        )
        .join(Entry, Entry.id == Feeding.entry_id)
        .where(*whole)
    )
    meals, weighed, grams = session.execute(fed).one()
    return Used(session.scalar(poured) or 0.0, meals, weighed, grams or 0.0)


def first_entry_at(session: Session, tank_id: int) -> datetime | None:
    """When the tank's record begins."""
    query = select(func.min(Entry.happened_at, type_=Entry.happened_at.type)).where(
        Entry.tank_id == tank_id, Entry.status == EntryStatus.OK.value
    )
    return session.scalar(query)


def last_tube(
    session: Session, tank_id: int, readers: int, since: datetime, until: datetime
) -> tuple[datetime, str] | None:
    """When the last tube was read that so many read, and its quantity; None for none."""
    query = (
        select(Reading.at, Reading.quantity)
        .where(
            Reading.tank_id == tank_id,
            Reading.in_force.is_(True),
            Reading.at >= since,
            Reading.at <= until,
        )
        .group_by(Reading.entry_id, Reading.quantity, Reading.at)
        .having(func.count(Reading.id) >= readers)
        .order_by(Reading.at.desc(), Reading.entry_id.desc())
        .limit(1)
    )
    row = session.execute(query).first()
    return None if row is None else (row[0], row[1])
