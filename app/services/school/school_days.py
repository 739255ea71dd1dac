"""Days out of the ordinary at a place: breaks, holidays, staff days, by hand or from a calendar."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.tank import DayKind
from app.services.school.calendar_file import LONGEST_NAME, FileEvent
from app.services.transaction import begin_at_site, finish
from app.storage.models.site import Break

# words by which an event is guessed to be one of ours, until somebody says so
_STAFF = ("staff", "teacher", "in-service", "inservice", "professional", "pupil-free", "training")
_NOT_FREE = ("early", "late", "delay")
_HOLIDAY = ("holiday", "no school", "closed", "closure", "break", "vacation", "recess")


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenDays:
    """Days as they stand in the settings; `uid` is that of an event of a calendar, or ""."""

    id: int
    first_day: date
    last_day: date
    name: str
    kind: DayKind
    uid: str = ""


class News(StrEnum):
    """What an event of a file is to the days that are written."""

    NEW = "new"
    SAME = "same"
    CHANGED = "changed"
    CALLED_OFF = "called off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """An event of a file beside what is written of it; `guess` is what it may be, or None."""

    event: FileEvent
    known: tuple[WrittenDays, ...]
    news: News
    guess: DayKind | None


def written(session: Session, site_id: int) -> tuple[WrittenDays, ...]:
    """All such days of a place, in order."""
    rows = session.scalars(
        select(Break).where(Break.site_id == site_id).order_by(Break.first_day, Break.id)
    )
    return tuple(
        WrittenDays(
            id=row.id, first_day=row.first_day, last_day=row.last_day, name=row.name,
            kind=DayKind(row.kind), uid=row.uid,
        )
        for row in rows
    )  # fmt: skip


def add(
    session: Session,
    site_id: int,
    first: date,
    last: date,
    name: str,
    *,
    kind: DayKind = DayKind.BREAK,
) -> None:
    """Write days down, both ends included; what stands there already is not written twice.

    Raises:
        NotFound: If there is no such place.
        Refused: If the last day is before the first.
    """
    if last < first:
        raise Refused("The last day lies before the first.")
    begin_at_site(session, site_id)
    called = name.strip()[:LONGEST_NAME]
    known = {(d.first_day, d.last_day, d.name, d.kind) for d in written(session, site_id)}
    if (first, last, called, kind) not in known:
        session.add(
            Break(site_id=site_id, first_day=first, last_day=last, name=called, kind=kind.value)
        )
    finish(session)


def strike(session: Session, site_id: int, days_id: int) -> None:
    """Strike days of a place."""
    begin_at_site(session, site_id)
    session.execute(delete(Break).where(Break.id == days_id, Break.site_id == site_id))
    finish(session)


def offers(
    events: Sequence[FileEvent], known: Sequence[WrittenDays], *, today: date
) -> tuple[Offer, ...]:
    """What each event of a file is to the days that are written; likely ones come first.

    Days that are over count for nothing.
    """
    ahead = [days for days in known if days.last_day >= today]
    found = [_offer(event, [d for d in ahead if _is_of(d, event)]) for event in events]
    return tuple(sorted(found, key=lambda o: o.news is News.NEW and o.guess is None))


def bring_in(
    session: Session,
    site_id: int,
    found: Sequence[Offer],
    choices: Mapping[str, DayKind | None],
    *,
    today: date,
) -> int:
    """Write down the events that somebody chose, each as its kind; returns how many changed.

    An event that is written already gets its new days; with None as its kind it is struck.
    Days that are over stay. What nobody chose stays as it is.

    Raises:
        NotFound: If there is no such place.
    """
    begin_at_site(session, site_id)
    changed = 0
    for offer in found:
        if offer.event.uid in choices:
            kind = choices[offer.event.uid]
            changed += _take(session, site_id, offer, kind, today)
    finish(session)
    return changed


def _take(session: Session, site_id: int, offer: Offer, kind: DayKind | None, today: date) -> bool:
    event = offer.event
    wanted = {} if kind is None else _wanted(event)
    kept = {row.uid: row for row in _rows(session, offer) if row.last_day >= today}
    before = {uid: _facts(row) for uid, row in kept.items()}
    for uid, row in kept.items():
        if uid not in wanted:
            session.delete(row)
    for uid, (first, last) in wanted.items():
        row = kept.get(uid) or Break(site_id=site_id, uid=uid)
        row.first_day, row.last_day, row.name = first, last, event.name
        row.kind = "" if kind is None else kind.value
        session.add(row)
    after = {uid: (*ends, event.name, kind and kind.value) for uid, ends in wanted.items()}
    return before != after


def _offer(event: FileEvent, known: Sequence[WrittenDays]) -> Offer:
    wanted = {} if event.called_off else _wanted(event)
    coming = {d.uid: (d.first_day, d.last_day, d.name) for d in known}
    if not known:
        news = News.SAME if event.called_off else News.NEW
    elif event.called_off:
        news = News.CALLED_OFF
    else:
        same = coming == {uid: (*ends, event.name) for uid, ends in wanted.items()}
        news = News.SAME if same else News.CHANGED
    guess = known[0].kind if known else _guess(event)
    return Offer(event=event, known=tuple(known), news=news, guess=guess)


def _guess(event: FileEvent) -> DayKind | None:
    """What an event may be by its words: a first choice for somebody who looks at it."""
    name = event.name.casefold()
    if any(word in name for word in _STAFF):
        return DayKind.STAFF
    free = event.whole_days and not any(word in name for word in _NOT_FREE)
    return DayKind.HOLIDAY if free and any(word in name for word in _HOLIDAY) else None


def _wanted(event: FileEvent) -> dict[str, tuple[date, date]]:
    return {event.uid_of(days): (days.first, days.last) for days in event.days}


def _is_of(days: WrittenDays, event: FileEvent) -> bool:
    return bool(days.uid) and days.uid.partition("#")[0] == event.uid


def _rows(session: Session, offer: Offer) -> Sequence[Break]:
    ids = [days.id for days in offer.known]
    return session.scalars(select(Break).where(Break.id.in_(ids))).all()


def _facts(row: Break) -> tuple[date, date, str, str]:
    return row.first_day, row.last_day, row.name, row.kind
