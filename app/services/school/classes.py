"""Classes, or the children of a household: which tanks they look after, and until when."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.rota import DutySpan
from app.domain.tank import Site as Place
from app.services import sites
from app.services.access.people import Visitor
from app.services.names import required
from app.services.sharing import links
from app.services.transaction import finish, one_transaction
from app.storage.models.access import SignIn
from app.storage.models.classes import ClassTank, Duty, Helper, HelperAway, SchoolClass
from app.storage.models.tank import Tank

MOST_ON_DUTY = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassFacts:
    """What an adult says of a class; `kept_until` is the last day its nicknames are wanted."""

    name: str
    tank_ids: frozenset[int]
    duty_size: int = 2
    duty_span: DutySpan = DutySpan.DAY
    kept_until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Group(ClassFacts):
    """A class as it is kept; `ended_on` once its year is over."""

    id: int
    site_id: int
    ended_on: date | None


def classes(session: Session, visitor: Visitor | None = None) -> tuple[Group, ...]:
    """The classes, those that have not ended first, then by name.

    A `visitor` who looks after some tanks only finds the classes of those.
    """
    rows = session.scalars(
        select(SchoolClass).order_by(
            SchoolClass.ended_on.is_not(None), SchoolClass.name, SchoolClass.id
        )
    ).all()
    tanks: dict[int, set[int]] = {}
    for each in session.scalars(select(ClassTank)):
        tanks.setdefault(each.class_id, set()).add(each.tank_id)
    found = tuple(_group(row, tanks.get(row.id, set())) for row in rows)
    own = None if visitor is None else visitor.tank_ids
    return tuple(each for each in found if own is None or each.tank_ids <= own)


def one(session: Session, class_id: int, visitor: Visitor | None = None) -> Group:
    """One class.

    Raises:
        NotFound: If there is none that this visitor may see.
    """
    for each in classes(session, visitor):
        if each.id == class_id:
            return each
    raise NotFound("There is no such class.")


def place(session: Session, class_id: int) -> Place:
    """The household or school of a class, with its days.

    Raises:
        NotFound: If there is no such class.
    """
    return sites.place(session, _row(session, class_id).site_id)


def today_at(session: Session, class_id: int, *, now: datetime) -> date:
    """The local day of a class.

    Raises:
        NotFound: If there is no such class.
    """
    return local_day(now, place(session, class_id).zone)


def add(session: Session, facts: ClassFacts, *, site_id: int = sites.FIRST) -> int:
    """A new class; returns its id.

    Raises:
        Refused: If it has no name, or a name that an open class has.
    """
    row = SchoolClass(site_id=site_id, name="")
    _fill(session, row, facts)
    session.add(row)
    session.flush()
    _set_tanks(session, row, facts.tank_ids)
    finish(session)
    return row.id


def change(session: Session, class_id: int, facts: ClassFacts) -> None:
    """Change what is said of a class.

    Raises:
        NotFound: If there is no such class.
        Refused: If it has no name, or a name that another open class has.
    """
    row = _row(session, class_id)
    _fill(session, row, facts)
    _set_tanks(session, row, facts.tank_ids)
    finish(session)


def join_new_tank(session: Session, tank_id: int, site_id: int) -> None:
    """Let the one class of a place look after a new tank; of several, an adult chooses."""
    open_here = session.scalars(
        select(SchoolClass.id).where(SchoolClass.site_id == site_id, SchoolClass.ended_on.is_(None))
    ).all()
    if len(open_here) == 1:
        session.add(ClassTank(class_id=open_here[0], tank_id=tank_id))


def end_year(
    session: Session, class_id: int, *, next_name: str = "", now: datetime, today: date
) -> int | None:
    """End a class: its devices are locked, its links end, its tiles are offered no more.

    What was written stays, with its nicknames, until these are replaced. With a `next_name` a
    new class takes over the tanks; returns its id.

    Raises:
        NotFound: If there is no such class.
        Refused: If it ended before, or an open class has the new name.
    """
    with one_transaction(session):
        row = _row(session, class_id)
        if row.ended_on is not None:
            raise Refused("This class has ended already.")
        before = one(session, class_id)
        row.ended_on = today
        session.flush()
        session.execute(
            update(SignIn)
            .where(SignIn.class_id == class_id, SignIn.ended_at.is_(None))
            .values(ended_at=now, last_hands_id=None)
        )
        others = {t for each in classes(session) if each.ended_on is None for t in each.tank_ids}
        alone = before.tank_ids - others
        if alone:
            links.end_all(session, *sorted(alone), now=now)
        for helper in session.scalars(
            select(Helper).where(Helper.class_id == class_id, Helper.left_on.is_(None))
        ):
            helper.left_on = today
        forget_rota(session, class_id)
        if not next_name.strip():
            return None
        return add(
            session,
            ClassFacts(
                name=next_name,
                tank_ids=before.tank_ids,
                duty_size=before.duty_size,
                duty_span=before.duty_span,
            ),
            site_id=row.site_id,
        )


def forget_rota(session: Session, class_id: int) -> None:
    """Forget who was on duty and who was away in a class."""
    session.execute(delete(Duty).where(Duty.class_id == class_id))
    of_class = select(Helper.id).where(Helper.class_id == class_id)
    session.execute(delete(HelperAway).where(HelperAway.helper_id.in_(of_class)))


def _row(session: Session, class_id: int) -> SchoolClass:
    row = session.get(SchoolClass, class_id)
    if row is None:
        raise NotFound("There is no such class.")
    return row


def _fill(session: Session, row: SchoolClass, facts: ClassFacts) -> None:
    name = required(facts.name, "Enter a name for the class.")
    taken = session.scalar(
        select(SchoolClass.id).where(
            SchoolClass.name == name,
            SchoolClass.ended_on.is_(None),
            SchoolClass.id != (row.id or 0),
        )
    )
    if taken is not None:
        raise Refused(f"There is a class called {name} already.")
    if not 1 <= facts.duty_size <= MOST_ON_DUTY:
        raise Refused(f"Choose from 1 to {MOST_ON_DUTY} helpers.")
    row.name = name
    row.duty_size = facts.duty_size
    row.duty_span = facts.duty_span.value
    row.kept_until = facts.kept_until


def _set_tanks(session: Session, row: SchoolClass, tank_ids: Collection[int]) -> None:
    session.execute(delete(ClassTank).where(ClassTank.class_id == row.id))
    for tank_id in session.scalars(select(Tank.id).where(Tank.id.in_(tank_ids))):
        session.add(ClassTank(class_id=row.id, tank_id=tank_id))


def _group(row: SchoolClass, tank_ids: Collection[int]) -> Group:
    return Group(
        id=row.id,
        site_id=row.site_id,
        name=row.name,
        tank_ids=frozenset(tank_ids),
        duty_size=row.duty_size,
        duty_span=DutySpan(row.duty_span),
        kept_until=row.kept_until,
        ended_on=row.ended_on,
    )
