"""Devices that an adult unlocked for a class: helpers' rights until one is locked again."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.services.access.people import IDLE_LIFE, Visitor
from app.services.access.sign_ins import open_session
from app.services.names import optional
from app.services.school import classes
from app.services.transaction import finish
from app.storage.models.access import Person, SignIn
from app.storage.models.classes import SchoolClass

_UNNAMED = "A device without a name"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A device of a class; `seen_at` is kept to the day."""

    session_id: int
    name: str
    class_name: str
    unlocked_by: str
    unlocked_at: datetime
    seen_at: datetime


def classes_for(session: Session, visitor: Visitor) -> dict[int, str]:
    """The classes this adult may unlock a device for, by id."""
    return {
        each.id: each.name for each in classes.classes(session, visitor) if each.ended_on is None
    }


def unlock(
    session: Session, visitor: Visitor, class_id: int | None, name: str, *, now: datetime
) -> str:
    """Give this browser to a class; returns its new session token (the adult's one ends).

    Raises:
        Refused: If there is no such class, or the name is too long.
    """
    if class_id not in classes_for(session, visitor):
        raise Refused("Choose the class that this device is for.")
    token = open_session(
        session,
        visitor.person_id,
        now,
        rights="helper",
        class_id=class_id,
        device=optional(name) or _UNNAMED,
    )
    session.get_one(SignIn, visitor.session_id).ended_at = now
    finish(session)
    return token


def devices(session: Session, visitor: Visitor, *, now: datetime) -> tuple[Device, ...]:
    """The devices that are unlocked for classes this adult may unlock them for, newest first."""
    rows = session.execute(
        select(SignIn, SchoolClass.name, Person.name)
        .join(SchoolClass, SchoolClass.id == SignIn.class_id)
        .join(Person, Person.id == SignIn.person_id)
        .where(
            SignIn.kind == "session",
            SignIn.rights == "helper",
            SignIn.ended_at.is_(None),
            SignIn.expires_at >= now,
            SignIn.class_id.in_(classes_for(session, visitor)),
        )
        .order_by(SignIn.created_at.desc(), SignIn.id.desc())
    )
    found = (
        Device(
            session_id=row.id,
            name=row.device or _UNNAMED,
            class_name=class_name,
            unlocked_by=person,
            unlocked_at=row.created_at,
            seen_at=row.seen_at or row.created_at,
        )
        for row, class_name, person in rows
    )
    return tuple(device for device in found if device.seen_at + IDLE_LIFE >= now)


def lock(session: Session, visitor: Visitor, session_id: int, *, now: datetime) -> None:
    """Lock a device: its session ends at its next request.

    Raises:
        NotFound: If no such device is unlocked.
    """
    if session_id not in {device.session_id for device in devices(session, visitor, now=now)}:
        raise NotFound("There is no such device.")
    session.execute(update(SignIn).where(SignIn.id == session_id).values(ended_at=now))
    finish(session)
