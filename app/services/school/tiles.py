"""Helpers' tiles: a nickname from the shipped list, and no other fact about a child."""

import functools
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import and_, bindparam, or_, select
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.services import sites, words
from app.services.access.people import Visitor
from app.services.transaction import finish
from app.storage.models.access import Author, Person
from app.storage.models.classes import ClassTank, Helper, SchoolClass
from app.storage.models.tank import Tank

FIRST_CLASS = 1
"""The class that a record begins with, once somebody has a tile."""
_USUAL_CLASS = "Helpers"


@dataclass(frozen=True, slots=True)
class Hands:
    """A tile: whose hands did it."""

    author_id: int
    name: str
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """A helper's tile as an adult sees it; `left_on` since it was put away."""

    helper_id: int
    author_id: int
    class_id: int
    name: str
    on_duty: bool
    left_on: date | None
    past_number: int | None

    @property
    def is_there(self) -> bool:
        """Whether it is offered in the forms."""
        return self.left_on is None


def hands(
    session: Session, tank_id: int | None = None, visitor: Visitor | None = None
) -> tuple[Hands, ...]:
    """The tiles to choose from: adults first, then the helpers who are there, by name.

    Args:
        session: Any session.
        tank_id: Only the classes that look after this tank; None: all classes.
        visitor: A class's device is offered its own class; adults who have nothing to do with
            pupils are offered none.
    """
    class_id = None if visitor is None else visitor.class_id
    query = _hands_query(
        of_tank=tank_id is not None,
        of_class=class_id is not None,
        pupils=visitor is None or visitor.sees_pupils,
    )
    rows = session.execute(query, {"tank": tank_id, "class": class_id})
    return tuple(Hands(author_id, name, kind) for author_id, name, kind in rows)


@functools.cache
def _hands_query(*, of_tank: bool, of_class: bool, pupils: bool) -> Any:
    helps = and_(Author.kind == "helper", Helper.left_on.is_(None), SchoolClass.ended_on.is_(None))
    if of_tank:
        theirs = select(ClassTank.class_id).where(ClassTank.tank_id == bindparam("tank"))
        helps = and_(helps, Helper.class_id.in_(theirs))
    if of_class:
        helps = and_(helps, Helper.class_id == bindparam("class"))
    adults = and_(Author.kind == "adult", Person.ended_at.is_(None))
    return (
        select(Author.id, Author.name, Author.kind)
        .outerjoin(Helper, Author.helper_id == Helper.id)
        .outerjoin(SchoolClass, SchoolClass.id == Helper.class_id)
        .outerjoin(Person, Person.id == Author.person_id)
        .where(or_(adults, helps) if pupils else adults)
        .order_by(Author.kind, Author.name, Author.id)
    )


def of_class(session: Session, class_id: int) -> tuple[Tile, ...]:
    """All tiles of a class by name; what was put away and what was replaced too."""
    rows = session.execute(
        select(Helper, Author.id)
        .join(Author, Author.helper_id == Helper.id)
        .where(Helper.class_id == class_id)
        .order_by(Helper.nickname, Helper.id)
    )
    return tuple(_tile(helper, author_id) for helper, author_id in rows)


def one(session: Session, author_id: int) -> Tile:
    """One tile.

    Raises:
        NotFound: If there is no such tile.
    """
    return _tile(_helper(session, author_id), author_id)


def _helper(session: Session, author_id: int) -> Helper:
    found = session.scalar(
        select(Helper).join(Author, Author.helper_id == Helper.id).where(Author.id == author_id)
    )
    if found is None:
        raise NotFound("There is no such tile.")
    return found


def in_class(session: Session, class_id: int, author_id: int) -> Helper:
    """The row of a tile that is there, for services of the same class.

    Raises:
        NotFound: If the class has no such tile.
    """
    found = _helper(session, author_id)
    if found.class_id != class_id or found.left_on is not None:
        raise NotFound("This class has no such tile.")
    return found


def _tile(helper: Helper, author_id: int) -> Tile:
    return Tile(
        helper_id=helper.id,
        author_id=author_id,
        class_id=helper.class_id,
        name=helper.nickname,
        on_duty=helper.on_duty,
        left_on=helper.left_on,
        past_number=helper.past_number,
    )


def free_nicknames(session: Session, class_id: int) -> tuple[str, ...]:
    """The nicknames of the shipped list that nobody of this class has."""
    taken = set(
        session.scalars(
            select(Helper.nickname).where(Helper.class_id == class_id, Helper.left_on.is_(None))
        )
    )
    return tuple(name for name in words.nicknames() if name not in taken)


def add_helper(session: Session, nickname: str, class_id: int | None = None) -> int:
    """One new tile; returns its author's id. See `add_helpers`."""
    (author_id,) = add_helpers(session, (nickname,), class_id)
    return author_id


def add_helpers(
    session: Session, nicknames: Iterable[str], class_id: int | None = None
) -> tuple[int, ...]:
    """New tiles with nicknames from the shipped list; returns the ids of their authors.

    Without a class they join the first one of the place, which is made when there is none.

    Raises:
        NotFound: If there is no such class.
        Refused: If a name is not on the list, or a tile of the class has it already.
    """
    owner = _first_class(session) if class_id is None else session.get(SchoolClass, class_id)
    if owner is None:
        raise NotFound("There is no such class.")
    free = set(free_nicknames(session, owner.id))
    made = []
    for nickname in nicknames:
        if nickname not in words.nicknames():
            raise Refused("Choose a nickname from the list.")
        if nickname not in free:
            raise Refused(f"There is a tile called {nickname} already.")
        free.discard(nickname)
        helper = Helper(class_id=owner.id, nickname=nickname)
        session.add(helper)
        session.flush()
        author = Author(kind="helper", name=nickname, helper_id=helper.id)
        session.add(author)
        session.flush()
        made.append(author.id)
    finish(session)
    return tuple(made)


def add_some(session: Session, number: int, class_id: int) -> tuple[int, ...]:
    """So many new tiles with the next free nicknames; returns the ids of their authors.

    Raises:
        NotFound: If there is no such class.
        Refused: If the list has not so many nicknames left.
    """
    free = free_nicknames(session, class_id)
    if number > len(free):
        raise Refused(f"{len(free)} nicknames are left. Choose a smaller number.")
    return add_helpers(session, free[:number], class_id)


def _first_class(session: Session) -> SchoolClass:
    found = session.scalar(
        select(SchoolClass)
        .where(SchoolClass.site_id == sites.FIRST, SchoolClass.ended_on.is_(None))
        .order_by(SchoolClass.id)
        .limit(1)
    )
    if found is None:
        found = SchoolClass(site_id=sites.FIRST, name=_USUAL_CLASS)
        session.add(found)
        session.flush()
        for tank_id in session.scalars(select(Tank.id).where(Tank.site_id == sites.FIRST)):
            session.add(ClassTank(class_id=found.id, tank_id=tank_id))
    return found


def put_away(session: Session, author_id: int, *, now: datetime) -> None:
    """Offer a tile no more; its nickname stays in the record until it is replaced.

    Raises:
        NotFound: If there is no such tile.
    """
    helper = _helper(session, author_id)
    helper.left_on = helper.left_on or now.date()
    finish(session)


def set_on_duty(session: Session, author_id: int, on_duty: bool) -> None:
    """Whether a tile may be put on the rota; nothing says why not.

    Raises:
        NotFound: If there is no such tile.
    """
    _helper(session, author_id).on_duty = on_duty
    finish(session)
