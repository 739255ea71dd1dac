"""What asks for the eyes of whoever is in charge, beside the tasks: told on Today."""

import functools
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import BindParameter, Select, and_, bindparam, select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.services.school.approvals import ASKED_FOR
from app.storage.base import UtcTime
from app.storage.models.classes import ClassTank, Helper, SchoolClass
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.queries import notebook as rows


@dataclass(frozen=True, slots=True)
class Reminder:
    """A class whose nicknames were to be kept until a day that has come."""

    class_id: int
    name: str
    kept_until: date


@dataclass(frozen=True, slots=True)
class Notices:
    """How many photos and notes of a tank wait, and classes that keep nicknames too long."""

    waiting: int = 0
    reminders: tuple[Reminder, ...] = ()


def of_tank(session: Session, tank_id: int, *, now: datetime) -> Notices:
    """The notices of a tank, in one statement."""
    found = session.execute(_query(), {"tank": tank_id, "since": now - ASKED_FOR}).all()
    reminders = tuple(
        Reminder(class_id, name, until)
        for _, class_id, name, until, zone in found
        if until is not None and until <= local_day(now, zone)
    )
    return Notices(found[0][0] if found else 0, reminders)


@functools.cache
def _query() -> Select[Any]:
    tank_id: BindParameter[int] = bindparam("tank")
    named = select(Helper.class_id).where(Helper.past_number.is_(None))
    kept = and_(
        SchoolClass.id == ClassTank.class_id,
        SchoolClass.kept_until.is_not(None),
        SchoolClass.id.in_(named),
    )
    return (
        select(
            rows.number_waiting(tank_id, bindparam("since", type_=UtcTime())),
            SchoolClass.id,
            SchoolClass.name,
            SchoolClass.kept_until,
            Site.zone,
        )
        .select_from(Tank)
        .join(Site, Site.id == Tank.site_id)
        .outerjoin(ClassTank, ClassTank.tank_id == Tank.id)
        .outerjoin(SchoolClass, kept)
        .where(Tank.id == tank_id)
        .order_by(SchoolClass.id)
    )
