"""How much went in: food, conditioned water and tests of a stretch of time, over all tanks."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus, JobKind, Treated
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding
from app.storage.models.maintenance import Job
from app.storage.models.tank import Tank
from app.storage.models.water import Reading

_POURED = (JobKind.WATER_CHANGE.value, JobKind.TOP_UP.value)


@dataclass(frozen=True, slots=True)
class Meals:
    """Meals of a stretch of time: how many, how many of them were weighed, their grams."""

    count: int
    weighed: int
    grams: float


def _of_site(query: Any, site_id: int, since: datetime, until: datetime) -> Any:
    return query.join(Tank, Tank.id == Entry.tank_id).where(
        Tank.site_id == site_id,
        Entry.status == EntryStatus.OK.value,
        Entry.happened_at > since,
        Entry.happened_at <= until,
    )


def meals(session: Session, site_id: int, since: datetime, until: datetime) -> Meals:
    """The meals of all tanks."""
    query = (
        select(
            func.count(Feeding.entry_id),
            func.count(Feeding.grams),
            func.coalesce(func.sum(Feeding.grams), 0.0),
        )
        .select_from(Entry)
        .join(Feeding, Feeding.entry_id == Entry.id)
        .where(Entry.kind == EntryKind.FEEDING.value)
    )
    return Meals(*session.execute(_of_site(query, site_id, since, until)).one())


def conditioned_liters(session: Session, site_id: int, since: datetime, until: datetime) -> float:
    """Liters of new water that was conditioned; where only what went out is known, that."""
    query = (
        select(func.coalesce(func.sum(func.coalesce(Job.liters_in, Job.liters_out)), 0.0))
        .select_from(Entry)
        .join(Job, Job.entry_id == Entry.id)
        .where(
            Entry.kind == EntryKind.JOB.value,
            Job.job.in_(_POURED),
            Job.treated == Treated.YES.value,
        )
    )
    return float(session.scalar(_of_site(query, site_id, since, until)) or 0.0)


def tests_by_kit(
    session: Session, site_id: int, since: datetime, until: datetime
) -> dict[int, int]:
    """How many tubes were filled with each kit; several readers of one tube are one."""
    query = (
        select(Reading.kit_id, func.count(Reading.entry_id.distinct()))
        .select_from(Entry)
        .join(Reading, Reading.entry_id == Entry.id)
        .where(Reading.kit_id.is_not(None), Reading.in_force.is_(True))
        .group_by(Reading.kit_id)
    )
    rows = session.execute(_of_site(query, site_id, since, until))
    return {row[0]: row[1] for row in rows}


def first_entry_at(session: Session, site_id: int) -> datetime | None:
    """When the record of the site's tanks begins."""
    query = (
        select(Entry.happened_at)
        .join(Tank, Tank.id == Entry.tank_id)
        .where(Tank.site_id == site_id, Entry.status == EntryStatus.OK.value)
        .order_by(Entry.happened_at)
        .limit(1)
    )
    return session.scalar(query)
