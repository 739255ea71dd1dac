"""Days on which a helper is not there. Nobody says why, and days that are over are forgotten."""

from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.services.school import tiles
from app.services.transaction import finish
from app.storage.models.access import Author
from app.storage.models.classes import Helper, HelperAway

_LONGEST_AWAY = timedelta(days=366)


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Days on which a helper is not there, both ends included."""

    author_id: int
    name: str
    first_day: date
    last_day: date


def set_away(
    session: Session, class_id: int, author_id: int, first: date, last: date, *, today: date
) -> None:
    """Write down days on which a helper is not there, both included; nobody says why.

    Raises:
        NotFound: If the class has no such tile.
        Refused: If the last day lies before the first, is over, or more than a year on.
    """
    if last < first:
        raise Refused("The last day lies before the first.")
    if last < today:
        raise Refused("These days are over.")
    if last - today > _LONGEST_AWAY:
        raise Refused("Write down the days of one year at most.")
    helper_id = tiles.in_class(session, class_id, author_id).id
    day = max(first, today)
    while day <= last:
        keep_day(session, helper_id, day)
        day += timedelta(days=1)
    finish(session)


def set_there(session: Session, class_id: int, author_id: int, first: date, last: date) -> None:
    """Take days away back: the helper is there.

    Raises:
        NotFound: If the class has no such tile.
    """
    helper_id = tiles.in_class(session, class_id, author_id).id
    session.execute(
        delete(HelperAway).where(
            HelperAway.helper_id == helper_id, HelperAway.day.between(first, last)
        )
    )
    finish(session)


def from_day(session: Session, class_id: int, today: date) -> tuple[Away, ...]:
    """The days away that are still to come, day after day as one."""
    rows = session.execute(
        select(Author.id, Author.shown, HelperAway.day)
        .join(Author, Author.helper_id == HelperAway.helper_id)
        .join(Helper, Helper.id == HelperAway.helper_id)
        .where(Helper.class_id == class_id, HelperAway.day >= today)
        .order_by(Author.shown, Author.id, HelperAway.day)
    )
    found: list[Away] = []
    for author_id, name, day in rows:
        before = found[-1] if found else None
        if before and before.author_id == author_id and day - before.last_day <= timedelta(days=1):
            first = found.pop().first_day
            found.append(Away(author_id=author_id, name=name, first_day=first, last_day=day))
        else:
            found.append(Away(author_id=author_id, name=name, first_day=day, last_day=day))
    return tuple(found)


def between(session: Session, class_id: int, first: date, last: date) -> set[tuple[int, date]]:
    """Which helpers (ids of `helper`) of a class are away on which of these days."""
    rows = session.execute(
        select(HelperAway.helper_id, HelperAway.day)
        .join(Helper, Helper.id == HelperAway.helper_id)
        .where(Helper.class_id == class_id, HelperAway.day.between(first, last))
    )
    return {(helper_id, day) for helper_id, day in rows}


def keep_day(session: Session, helper_id: int, day: date) -> None:
    """Keep one day as a part of a larger use case."""
    session.merge(HelperAway(helper_id=helper_id, day=day))


def forget_day(session: Session, helper_id: int, day: date) -> None:
    """Forget one day as a part of a larger use case."""
    session.execute(
        delete(HelperAway).where(HelperAway.helper_id == helper_id, HelperAway.day == day)
    )


def forget(session: Session, class_id: int, *, before: date) -> None:
    """Forget the days of a class that lie before one, as a part of a larger use case."""
    of_class = select(Helper.id).where(Helper.class_id == class_id)
    session.execute(
        delete(HelperAway).where(HelperAway.helper_id.in_(of_class), HelperAway.day < before)
    )
