"""The adults of a record: who is there, in which role, with which tanks."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import Select, delete, func, or_, select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.services.names import required
from app.services.transaction import finish
from app.storage.base import folded
from app.storage.models.access import Author, Person, SignIn, TankAccess
from app.storage.models.api import ApiToken
from app.storage.models.tank import Tank

ADULT_ROLES = (Role.KEEPER, Role.TECHNICIAN, Role.COORDINATOR)
IDLE_LIFE = timedelta(days=60)
"""A session that nobody used for so long has ended."""
_FIRST_NAME = "Grown-up in charge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """Who is signed in on this browser, and in which role.

    Of a helper's device, person and author are the adult who unlocked it, and `class_id` is the
    class it was unlocked for. `tank_ids` are the tanks that may be opened, None for all;
    `last_day` is the last day (UTC) of use that is kept.
    """

    session_id: int
    person_id: int
    author_id: int
    role: Role
    name: str
    last_hands_id: int | None
    tank_ids: frozenset[int] | None = None
    class_id: int | None = None
    last_day: date | None = None

    @property
    def is_adult(self) -> bool:
        """Whether an adult holds this browser."""
        return self.role is not Role.HELPER

    @property
    def sees_pupils(self) -> bool:
        """Whether pupils' tiles have their nicknames here, and are no mere helpers."""
        return self.role in {Role.HELPER, Role.KEEPER}

    @property
    def writes(self) -> bool:
        """Whether entries may be written, taken back and fixed."""
        return self.role is not Role.COORDINATOR

    def may_see(self, tank_id: int) -> bool:
        """Whether the tank, if there is one of that number, may be opened."""
        return self.tank_ids is None or tank_id in self.tank_ids


@dataclass(frozen=True, slots=True, kw_only=True)
class Adult:
    """An adult as the list of people shows them.

    `tank_ids` is None for all tanks; `is_there` is false before an invitation was used,
    `has_passphrase` says whether they can come back by themselves. `invited_until` is the last
    moment of an open invitation, `seen_at` is kept to the day, `sessions` counts the browsers
    that are signed in.
    """

    person_id: int
    name: str
    role: Role
    tank_ids: frozenset[int] | None
    is_there: bool
    has_passphrase: bool
    invited_until: datetime | None
    seen_at: datetime | None
    sessions: int


def first_keeper(session: Session) -> Person:
    """The keeper who came first and is still there: whom the machine's own link signs in.

    In a record without any one is made.
    """
    person = session.scalar(
        select(Person).where(Person.id.in_(_keepers_there())).order_by(Person.id).limit(1)
    )
    if person is None:
        person = Person(name=_FIRST_NAME, role=Role.KEEPER.value)
        session.add(person)
        session.flush()
        author_of_person(session, person.id)
    return person


def _keepers_there() -> Select[int]:
    return select(Person.id).where(
        Person.role == Role.KEEPER.value, Person.all_tanks.is_(True), Person.ended_at.is_(None)
    )


def author_of_person(session: Session, person_id: int) -> int:
    """The author row of an adult, made when they first come."""
    found = session.scalar(select(Author).where(Author.person_id == person_id))
    if found is None:
        name = session.get_one(Person, person_id).name
        found = Author(kind="adult", name=name, person_id=person_id)
        session.add(found)
        session.flush()
    return found.id


def adults(session: Session, *, now: datetime) -> tuple[Adult, ...]:
    """The adults who are there or invited, by name; those who came no more are left out."""
    open_now = (SignIn.ended_at.is_(None), SignIn.expires_at >= now, SignIn.used_at.is_(None))
    signed_in = {
        person_id: (count, seen)
        for person_id, count, seen in session.execute(
            select(SignIn.person_id, func.count(), func.max(SignIn.seen_at))
            .where(
                SignIn.kind == "session",
                SignIn.rights == "adult",
                SignIn.seen_at >= now - IDLE_LIFE,
                *open_now,
            )
            .group_by(SignIn.person_id)
        )
    }
    invited = {
        row.person_id: row.expires_at
        for row in session.scalars(select(SignIn).where(SignIn.kind == "invite", *open_now))
    }
    tanks: dict[int, set[int]] = {}
    for access in session.scalars(select(TankAccess)):
        tanks.setdefault(access.person_id, set()).add(access.tank_id)
    rows = session.scalars(
        select(Person).where(or_(Person.ended_at.is_(None), Person.id.in_(invited)))
    )
    found = [
        Adult(
            person_id=person.id,
            name=person.name,
            role=Role(person.role),
            tank_ids=None if person.all_tanks else frozenset(tanks.get(person.id, ())),
            is_there=person.ended_at is None,
            has_passphrase=person.passphrase_hash != "",
            invited_until=invited.get(person.id),
            seen_at=signed_in.get(person.id, (0, None))[1],
            sessions=signed_in.get(person.id, (0, None))[0],
        )
        for person in rows
    ]
    return tuple(sorted(found, key=lambda adult: (folded(adult.name), adult.person_id)))


def adult(session: Session, person_id: int, *, now: datetime) -> Adult:
    """One adult who is there or invited.

    Raises:
        NotFound: If there is no such adult.
    """
    found = next((a for a in adults(session, now=now) if a.person_id == person_id), None)
    if found is None:
        raise NotFound("There is nobody with this number.")
    return found


def named(session: Session, name: str) -> Person | None:
    """The person of that name, in whatever letters it was typed; also one who came no more."""
    wanted = folded(name.strip())
    return next((p for p in session.scalars(select(Person)) if folded(p.name) == wanted), None)


def set_role(
    session: Session,
    by: Visitor,
    person_id: int,
    role: Role,
    tank_ids: Collection[int] | None,
    *,
    now: datetime,
) -> None:
    """Give an adult another role and other tanks (None: all); it counts from the next request.

    Raises:
        NotFound: If there is no such adult or tank.
        Refused: If nobody would be left who keeps all tanks, or `by` may not do it.
    """
    refuse_limited(by)
    person = session.get_one(Person, adult(session, person_id, now=now).person_id)
    if role is not Role.KEEPER or tank_ids is not None:
        _refuse_last_keeper(session, person_id)
    grant(session, person, role, tank_ids)
    finish(session)


def grant(session: Session, person: Person, role: Role, tank_ids: Collection[int] | None) -> None:
    """Set role and tanks of a person inside a larger change.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the role is none of an adult, or no tank was chosen.
    """
    if role not in ADULT_ROLES:
        raise Refused("Choose what this person is here for.")
    if tank_ids is not None and not tank_ids:
        raise Refused("Choose at least one tank, or all of them.")
    person.role = role.value
    person.all_tanks = tank_ids is None
    session.flush()
    session.execute(delete(TankAccess).where(TankAccess.person_id == person.id))
    wanted = set(tank_ids or ())
    if session.scalar(select(func.count(Tank.id)).where(Tank.id.in_(wanted))) != len(wanted):
        raise NotFound("There is no such tank.")
    session.add_all(TankAccess(person_id=person.id, tank_id=tank_id) for tank_id in wanted)
    session.flush()


def rename(session: Session, person_id: int, name: str) -> None:
    """Give an adult another name, also in all that they wrote.

    Raises:
        NotFound: If there is no such adult.
        Refused: If it is empty or taken.
    """
    person = there(session, person_id)
    wanted = required(name, "Enter a name.")
    other = named(session, wanted)
    if other is not None and other.id != person_id:
        raise Refused(f"There is somebody called {other.name} already.")
    person.name = wanted
    session.execute(update(Author).where(Author.person_id == person_id).values(name=wanted))
    finish(session)


def end(session: Session, by: Visitor, person_id: int, *, now: datetime) -> None:
    """Let an adult come no more: sessions, links, devices and programs end; entries stay.

    Raises:
        NotFound: If there is no such adult.
        Refused: If nobody would be left who keeps all tanks, or `by` may not do it.
    """
    refuse_limited(by)
    person = there(session, person_id)
    _refuse_last_keeper(session, person_id)
    person.ended_at = now
    person.passphrase_hash = ""
    session.execute(
        update(SignIn)
        .where(SignIn.person_id == person_id, SignIn.ended_at.is_(None))
        .values(ended_at=now)
    )
    # should they be invited again, their programs do not come with them
    session.execute(
        update(ApiToken)
        .where(ApiToken.made_by_id == person_id, ApiToken.ended_at.is_(None))
        .values(ended_at=now)
    )
    finish(session)


def there(session: Session, person_id: int) -> Person:
    """An adult who has not ended.

    Raises:
        NotFound: If there is no such adult.
    """
    person = session.get(Person, person_id)
    if person is None or person.ended_at is not None:
        raise NotFound("There is nobody with this number.")
    return person


def refuse_limited(by: Visitor) -> None:
    """Refuse whoever might give away what is not theirs.

    Raises:
        Refused: If `by` is no keeper of all tanks.
    """
    if by.role is not Role.KEEPER or by.tank_ids is not None:
        raise Refused("Only a keeper of all tanks decides who comes and what they may do.")


def _refuse_last_keeper(session: Session, person_id: int) -> None:
    keepers = set(session.scalars(_keepers_there()))
    if keepers == {person_id}:
        raise Refused("One keeper of all tanks has to stay. Invite another one first.")
