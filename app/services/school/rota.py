"""The rota: who is on duty in a week, who is away, and who stands in.

A past week leaves one row per helper, the day of the last turn, which is all that "longest ago"
needs. Nothing counts turns, and nothing keeps who was not there.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from app.domain.calendar import pupils_come
from app.domain.errors import NotFound, Refused
from app.domain.rota import Candidate, Turn, Wanted, next_helpers, plan
from app.services.school import away, classes, tiles
from app.services.school.tiles import Hands
from app.services.transaction import finish
from app.storage.models.access import Author
from app.storage.models.classes import ClassTank, Duty, Helper, HelperAway, SchoolClass

_A_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyLine:
    """A helper on one day; `instead_of` is whose turn it was, "" for the helper's own."""

    id: int
    day: date
    author_id: int
    name: str
    locked: bool
    instead_of: str
    away: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyDay:
    """A day of the week; `comes` says whether pupils are meant to come at all.

    `lacks` is how many helpers are needed there in a week that is planned, 0 in one that is not.
    """

    day: date
    comes: bool
    lines: tuple[DutyLine, ...]
    lacks: int = 0


def monday_of(day: date) -> date:
    """The Monday of the week of a day."""
    return day - timedelta(days=day.weekday())


def week(session: Session, class_id: int, monday: date) -> tuple[DutyDay, ...]:
    """The days of a week on which pupils are meant to come, or somebody is put on duty.

    Raises:
        NotFound: If there is no such class.
    """
    site = classes.place(session, class_id)
    days = _days(monday)
    lines = _lines(session, Duty.class_id == class_id, Duty.day.between(days[0], days[-1]))
    wanted = _wanted(session, class_id) if lines else 0
    found = []
    for day in days:
        there, comes = tuple(line for line in lines if line.day == day), pupils_come(site, day)
        lacks = max(0, wanted - len(there)) if comes else 0
        found.append(DutyDay(day=day, comes=comes, lines=there, lacks=lacks))
    return tuple(each for each in found if each.comes or each.lines)


def lacking(session: Session, class_id: int, today: date) -> tuple[DutyDay, ...]:
    """The days of this week and the next, from this day on, that lack helpers.

    Raises:
        NotFound: If there is no such class.
    """
    monday = monday_of(today)
    weeks = (week(session, class_id, first) for first in (monday, monday + _A_WEEK))
    return tuple(each for days in weeks for each in days if each.lacks and each.day >= today)


def _wanted(session: Session, class_id: int) -> int:
    """How many helpers a day has: what the class wants, or all tiles where there are fewer."""
    size = classes.one(session, class_id).duty_size
    return min(size, len(_candidates(session, class_id, ())))


def _lines(session: Session, *which: object) -> tuple[DutyLine, ...]:
    other, other_author = aliased(Helper), aliased(Author)
    rows = session.execute(
        select(Duty, Author.id, Author.shown, other_author.shown, HelperAway.day)
        .join(Author, Author.helper_id == Duty.helper_id)
        .outerjoin(other, other.id == Duty.instead_of_id)
        .outerjoin(other_author, other_author.helper_id == other.id)
        .outerjoin(
            HelperAway, (HelperAway.helper_id == Duty.helper_id) & (HelperAway.day == Duty.day)
        )
        .where(*which)  # type: ignore[arg-type]
        .order_by(Duty.day, Duty.id)
    )
    return tuple(
        DutyLine(
            id=row.id,
            day=row.day,
            author_id=author_id,
            name=name,
            locked=row.locked,
            instead_of=instead_of or "",
            away=day_away is not None,
        )
        for row, author_id, name, instead_of, day_away in rows
    )


def on_duty(
    session: Session, tank_id: int, day: date, class_id: int | None = None
) -> tuple[Hands, ...]:
    """Who is on duty at a tank on a day, of one class or of all that look after it."""
    query = (
        select(Author.id, Author.shown)
        .join(Duty, Duty.helper_id == Author.helper_id)
        .join(SchoolClass, SchoolClass.id == Duty.class_id)
        .join(ClassTank, ClassTank.class_id == Duty.class_id)
        .where(ClassTank.tank_id == tank_id, Duty.day == day, SchoolClass.ended_on.is_(None))
        .order_by(Duty.class_id, Duty.id)
    )
    if class_id is not None:
        query = query.where(Duty.class_id == class_id)
    return tuple(Hands(author_id, name, "helper") for author_id, name in session.execute(query))


def plan_week(session: Session, class_id: int, monday: date, *, today: date) -> None:
    """Plan a week; planned again it changes only days to come, and there only who is not kept.

    Raises:
        NotFound: If there is no such class.
        Refused: If the week is over, nobody comes in it, or no tile can be on duty.
    """
    if monday + _A_WEEK <= today:
        raise Refused("This week is over.")
    rows = _rows(session, class_id)
    loose = [r for r in rows if r.day in _days(monday) and r.day > today and not r.locked]
    _plan(session, class_id, monday, loose, today)


def fill_week(session: Session, class_id: int, monday: date, *, today: date) -> int:
    """Fill the gaps of a planned week, and change nothing else; returns how many turns came.

    Raises:
        NotFound: If there is no such class.
        Refused: If the week is over, nobody comes in it, or nobody else can be on duty.
    """
    if monday + _A_WEEK <= today:
        raise Refused("This week is over.")
    came = _plan(session, class_id, monday, (), today, fills_today=True)
    if not came:
        raise Refused("Nobody else can be on duty on these days.")
    return came


def _plan(
    session: Session,
    class_id: int,
    monday: date,
    loose: Sequence[Duty],
    today: date,
    *,
    fills_today: bool = False,
) -> int:
    """Put helpers on the days to come in place of `loose` turns; returns how many came.

    Where somebody is on duty today, nobody comes to it unless `fills_today`.
    """
    group, site = classes.one(session, class_id), classes.place(session, class_id)
    days = [d for d in _days(monday) if pupils_come(site, d)]
    if not days:
        raise Refused("Nobody is meant to come in this week.")
    stay = [r for r in _rows(session, class_id) if r not in loose]
    candidates = _candidates(session, class_id, stay)
    if not candidates:
        raise Refused("No tile can be on duty. Add tiles first.")
    kept = {d: [r.helper_id for r in stay if r.day == d] for d in _days(monday)}
    planned = plan(
        candidates,
        Wanted(
            days=[d for d in days if d > today or (d == today and (fills_today or not kept[d]))],
            size=group.duty_size,
            span=group.duty_span,
            kept=kept,
            away=away.between(session, class_id, monday, _days(monday)[-1]),
        ),
    )
    for row in loose:
        session.delete(row)
    session.flush()
    fresh = [(day, h) for day, helpers in planned.items() for h in helpers[len(kept[day]) :]]
    for day, helper in fresh:
        session.add(Duty(class_id=class_id, day=day, helper_id=helper))
        session.flush()
    _forget_past(session, class_id, today)
    finish(session)
    return len(fresh)


def _days(monday: date) -> list[date]:
    return [monday + timedelta(days=n) for n in range(7)]


def stand_in(session: Session, class_id: int, duty_id: int, author_id: int, *, today: date) -> str:
    """Let the next helper stand in for this one, who is away that day; returns who does.

    Whose turn it was keeps it: the next plan begins with them. Twice is the same as once.

    Raises:
        NotFound: If there is no such turn.
        Refused: If its day is over, or nobody else is there.
    """
    row = _row(session, class_id, duty_id, today)
    rows = _rows(session, class_id)
    if tiles.one(session, author_id).helper_id != row.helper_id:
        return session.get_one(Helper, row.helper_id).nickname
    there = {r.helper_id for r in rows if r.day == row.day}
    gone = {helper for helper, _ in away.between(session, class_id, row.day, row.day)} | there
    others = next_helpers(_candidates(session, class_id, [r for r in rows if r.id != row.id]), gone)
    if not others:
        raise Refused("Nobody else can be on duty that day.")
    away.keep_day(session, row.helper_id, row.day)
    row.instead_of_id = row.instead_of_id or row.helper_id
    row.helper_id = others[0].id
    row.locked = False
    _forget_past(session, class_id, today)
    finish(session)
    return others[0].name


def swap_back(session: Session, class_id: int, duty_id: int, *, today: date) -> None:
    """Let the helper whose turn it was come after all.

    Raises:
        NotFound: If there is no such turn.
        Refused: If its day is over, or the helper has a turn that day anyway.
    """
    row = _row(session, class_id, duty_id, today)
    if row.instead_of_id is None:
        return
    if any(r.helper_id == row.instead_of_id for r in _rows(session, class_id) if r.day == row.day):
        raise Refused("This tile is on duty that day already.")
    away.forget_day(session, row.instead_of_id, row.day)
    row.helper_id, row.instead_of_id = row.instead_of_id, None
    finish(session)


def set_locked(session: Session, class_id: int, duty_id: int, locked: bool, *, today: date) -> None:
    """Keep a turn when the week is planned again, or let it go.

    Raises:
        NotFound: If there is no such turn.
        Refused: If its day is over.
    """
    _row(session, class_id, duty_id, today).locked = locked
    finish(session)


def take_off(session: Session, class_id: int, duty_id: int, *, today: date) -> None:
    """Take a helper off a day.

    Raises:
        NotFound: If there is no such turn.
        Refused: If its day is over.
    """
    session.delete(_row(session, class_id, duty_id, today))
    finish(session)


def put_on(session: Session, class_id: int, day: date, author_id: int, *, today: date) -> None:
    """Put a tile that an adult chose on a day, and keep it there.

    Raises:
        NotFound: If the class has no such tile.
        Refused: If the day is over, or the tile is on duty then.
    """
    if day < today:
        raise Refused("That day is over.")
    helper_id = tiles.in_class(session, class_id, author_id).id
    if any(r.day == day and r.helper_id == helper_id for r in _rows(session, class_id)):
        raise Refused("This tile is on duty that day already.")
    session.add(Duty(class_id=class_id, day=day, helper_id=helper_id, locked=True))
    finish(session)


def _rows(session: Session, class_id: int) -> Sequence[Duty]:
    """All turns of a class that are kept, in order."""
    query = select(Duty).where(Duty.class_id == class_id).order_by(Duty.day, Duty.id)
    return session.scalars(query).all()


def _row(session: Session, class_id: int, duty_id: int, today: date) -> Duty:
    row = session.get(Duty, duty_id)
    if row is None or row.class_id != class_id:
        raise NotFound("There is no such turn.")
    if row.day < today:
        raise Refused("That day is over.")
    return row


def _candidates(session: Session, class_id: int, rows: Iterable[Duty]) -> list[Candidate]:
    """The tiles that may be on duty, with their last turn among these rows."""
    last: dict[int, Turn] = {}
    of_day: dict[date, int] = {}
    for row in rows:
        place = of_day.get(row.day, 0)
        of_day[row.day] = place + 1
        last[row.helper_id] = (row.day, place)
    helpers = session.scalars(
        select(Helper).where(
            Helper.class_id == class_id, Helper.left_on.is_(None), Helper.on_duty.is_(True)
        )
    )
    return [Candidate(id=h.id, name=h.nickname, last=last.get(h.id)) for h in helpers]


def _forget_past(session: Session, class_id: int, today: date) -> None:
    """Forget the weeks that are over, but for the last turn of each helper."""
    session.flush()
    monday = monday_of(today)
    rows = _rows(session, class_id)
    newest = {row.helper_id: row.id for row in rows}
    for row in rows:
        if row.day < monday and newest[row.helper_id] != row.id:
            session.delete(row)
        elif row.day < monday:
            row.instead_of_id, row.locked = None, False
    away.forget(session, class_id, before=monday)
