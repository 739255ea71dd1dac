"""What may have changed a tank, and what went wrong in it, over its whole record."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus
from app.storage.models.entry import Entry
from app.storage.models.livestock import Observation, StockEvent, StockGroup
from app.storage.models.maintenance import Job


class Came(NamedTuple):
    """Animals that came, died or were missed for good."""

    entry_id: int
    at: datetime
    what: str
    number: int
    name: str


class Done(NamedTuple):
    """A job, with what tells a risky one from an ordinary one."""

    entry_id: int
    at: datetime
    job: str
    liters_out: float | None
    treated: str | None
    new_water_c: float | None


class Seen(NamedTuple):
    """A look at which a sign was seen."""

    entry_id: int
    at: datetime
    signs: str


class Fed(NamedTuple):
    """A day with more than one meal."""

    at: datetime
    meals: int


def _of(query: Any, tank_id: int, until: datetime) -> Any:
    return query.where(
        Entry.tank_id == tank_id,
        Entry.status == EntryStatus.OK.value,
        Entry.happened_at <= until,
    )


def stock(session: Session, tank_id: int, until: datetime) -> Sequence[Came]:
    """All changes in the groups of animals."""
    query = (
        select(Entry.id, Entry.happened_at, StockEvent.what, StockEvent.count, StockGroup.name)
        .join(StockEvent, StockEvent.entry_id == Entry.id)
        .join(StockGroup, StockGroup.id == StockEvent.group_id)
    )
    return [Came(*row) for row in session.execute(_of(query, tank_id, until))]


def jobs(session: Session, tank_id: int, until: datetime) -> Sequence[Done]:
    """All jobs."""
    query = select(
        Entry.id, Entry.happened_at, Job.job, Job.liters_out, Job.treated, Job.new_water_c
    ).join(Job, Job.entry_id == Entry.id)
    return [Done(*row) for row in session.execute(_of(query, tank_id, until))]


def signs(session: Session, tank_id: int, until: datetime) -> Sequence[Seen]:
    """All looks at which something odd was seen."""
    query = (
        select(Entry.id, Entry.happened_at, Observation.signs)
        .join(Observation, Observation.entry_id == Entry.id)
        .where(Entry.kind == EntryKind.OBSERVATION.value, Observation.signs != "")
    )
    return [Seen(*row) for row in session.execute(_of(query, tank_id, until))]


def days_fed_twice(session: Session, tank_id: int, until: datetime) -> Sequence[Fed]:
    """All days with more than one meal, each at its last one."""
    last, meals = func.max(Entry.happened_at, type_=Entry.happened_at.type), func.count(Entry.id)
    query = (
        select(last, meals)
        .where(Entry.kind == EntryKind.FEEDING.value)
        .group_by(Entry.local_day)
        .having(meals > 1)
    )
    return [Fed(*row) for row in session.execute(_of(query, tank_id, until))]


def days_looked(session: Session, tank_id: int, until: datetime) -> Sequence[date]:
    """All days on which somebody looked, ascending."""
    query = (
        select(Entry.local_day)
        .join(Observation, Observation.entry_id == Entry.id)
        .where(Entry.kind == EntryKind.OBSERVATION.value, Observation.is_look.is_(True))
        .distinct()
        .order_by(Entry.local_day)
    )
    return list(session.scalars(_of(query, tank_id, until)))
