"""How much went in: food, conditioned water and tests of a stretch of time, over all tanks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus, JobKind, Treated
from app.storage.models.entry import Entry
from app.storage.models.feeding import Feeding
from app.storage.models.maintenance import Job
from app.storage.models.tank import Tank
from app.storage.models.water import Reading

_NEW_WATER = (JobKind.WATER_CHANGE.value, JobKind.TOP_UP.value)


@dataclass(frozen=True, slots=True)
class Meals:
    """Meals of a stretch of time: how many, how many of them were weighed, their grams."""

    count: int
    weighed: int
    grams: float


@dataclass(frozen=True, slots=True)
class Use:
    """What went in since a moment, over all tanks: meals, liters, tubes by kit.

    `liters` are of new water that was conditioned; where only what went out is known, that.
    Several readers of one tube are one.
    """

    meals: Meals
    liters: float
    tubes: Mapping[int, int]


def since_each(
    session: Session, site_id: int, moments: Sequence[datetime], until: datetime
) -> dict[datetime, Use]:
    """What went in from each of these moments on, in three statements for any number of them."""
    asked = sorted(set(moments))
    if not asked:
        return {}
    meals = _ask(session, _meals(asked), site_id, asked[0], until)[0]
    poured = _ask(session, _poured(asked), site_id, asked[0], until)[0]
    tubes = _ask(session, _tubes(asked), site_id, asked[0], until)
    return {
        moment: Use(
            Meals(*meals[3 * place : 3 * place + 3]),
            float(poured[place]),
            {row[0]: row[1 + place] for row in tubes},
        )
        for place, moment in enumerate(asked)
    }


def _ask(
    session: Session, query: Any, site_id: int, since: datetime, until: datetime
) -> Sequence[Any]:
    """The rows of a query over entries, of a site and a stretch of time."""
    return session.execute(
        query.join(Tank, Tank.id == Entry.tank_id).where(
            Tank.site_id == site_id,
            Entry.status == EntryStatus.OK.value,
            Entry.happened_at > since,
            Entry.happened_at <= until,
        )
    ).all()


def _after(moment: datetime, column: Any) -> Any:
    """A column where the entry is later than a moment, else nothing."""
    return case((Entry.happened_at > moment, column))


def _sum_after(moment: datetime, column: Any) -> Any:
    return func.coalesce(func.sum(_after(moment, column)), 0.0)


def _meals(moments: Sequence[datetime]) -> Any:
    columns = [
        column
        for moment in moments
        for column in (
            func.count(_after(moment, Feeding.entry_id)),
            func.count(_after(moment, Feeding.grams)),
            _sum_after(moment, Feeding.grams),
        )
    ]
    return (
        select(*columns)
        .select_from(Entry)
        .join(Feeding, Feeding.entry_id == Entry.id)
        .where(Entry.kind == EntryKind.FEEDING.value)
    )


def _poured(moments: Sequence[datetime]) -> Any:
    liters = func.coalesce(Job.liters_in, Job.liters_out)
    return (
        select(*(_sum_after(moment, liters) for moment in moments))
        .select_from(Entry)
        .join(Job, Job.entry_id == Entry.id)
        .where(
            Entry.kind == EntryKind.JOB.value,
            Job.job.in_(_NEW_WATER),
            Job.treated == Treated.YES.value,
        )
    )


def _tubes(moments: Sequence[datetime]) -> Any:
    tubes = (func.count(_after(moment, Reading.entry_id).distinct()) for moment in moments)
    return (
        select(Reading.kit_id, *tubes)
        .select_from(Entry)
        .join(Reading, Reading.entry_id == Entry.id)
        .where(Reading.kit_id.is_not(None), Reading.in_force.is_(True))
        .group_by(Reading.kit_id)
    )


def first_entry_at(session: Session, site_id: int) -> datetime | None:
    """When the record of the site's tanks begins."""
    # one step along the index for each tank, however long its record is
    first = (
        select(Entry.happened_at)
        .where(Entry.tank_id == Tank.id, Entry.status == EntryStatus.OK.value)
        .order_by(Entry.happened_at)
        .limit(1)
        .scalar_subquery()
    )
    return session.scalar(select(func.min(first)).select_from(Tank).where(Tank.site_id == site_id))
