"""Writing down: record once, take back, correct. The one path for all kinds of entries."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.drafts import (
    Draft,
    NewJob,
    NewLoggerImport,
    NewLook,
    NewMeal,
    NewStockEvent,
    NewTest,
)
from app.domain.errors import Conflict, NotFound, Refused, TokenReused
from app.domain.guard import NewReading
from app.domain.records import EntryKind, EntryStatus
from app.services.people import Visitor
from app.services.transaction import finish
from app.storage.models.entry import Entry
from app.storage.models.feeding import Scoop
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.queries import entries, livestock

CLOCK_SLIP = timedelta(minutes=5)
UNDO_TIME = timedelta(seconds=20)
FIX_TIME = timedelta(minutes=10)

_KINDS: Mapping[type[Any], EntryKind] = {
    NewMeal: EntryKind.FEEDING,
    NewTest: EntryKind.WATER_TEST,
    NewJob: EntryKind.JOB,
    NewStockEvent: EntryKind.STOCK_EVENT,
    NewLook: EntryKind.OBSERVATION,
    NewLoggerImport: EntryKind.LOGGER,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What every entry carries: where, when, who wrote it, whose hands, and the form's token."""

    tank_id: int
    token: str
    happened_at: datetime
    author_id: int
    done_by_id: int | None = None


@dataclass(frozen=True, slots=True)
class Saved:
    """An entry that stands written; `fresh` is False when the same form was saved before."""

    entry_id: int
    fresh: bool


def record(
    session: Session,
    stamp: Stamp,
    draft: Draft,
    readings: Sequence[NewReading] = (),
    *,
    now: datetime,
) -> Saved:
    """Write an entry down once.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the time lies ahead of the clock, or the tank is closed.
        TokenReused: If the same form was saved before with other values.
    """
    entries.raise_revision(session, stamp.tank_id)
    saved = saved_before(session, stamp, draft, readings)
    if saved is not None:
        session.rollback()
        return saved
    entry_id = _add(session, stamp, draft, readings, now=now)
    finish(session)
    return Saved(entry_id, fresh=True)


def raise_revision(session: Session, tank_id: int) -> None:
    """Begin a write: count one more change of the tank, which is also the lock."""
    entries.raise_revision(session, tank_id)


def saved_before(
    session: Session, stamp: Stamp, draft: Draft, readings: Sequence[NewReading]
) -> Saved | None:
    """What the same form saved before, or None.

    Raises:
        TokenReused: If it was saved with other values.
    """
    before = entries.by_token(session, stamp.tank_id, stamp.token)
    if before is None:
        return None
    if before.digest != digest_of(stamp, draft, readings):
        raise TokenReused(before.id)
    return Saved(before.id, fresh=False)


def digest_of(stamp: Stamp, draft: Draft, readings: Sequence[NewReading]) -> str:
    """What tells two posts of one form apart: what was done, by whom, and what was measured.

    The time is left out: "now" is another moment at the second press of the same button.
    """
    what = (
        type(draft).__name__,
        sorted(asdict(draft).items(), key=lambda item: item[0]),
        stamp.done_by_id,
        [sorted(asdict(r).items(), key=lambda item: item[0]) for r in readings],
    )
    return hashlib.sha256(repr(what).encode()).hexdigest()


def zone_of(session: Session, tank_id: int) -> str:
    """The tank's time zone.

    Raises:
        NotFound: If there is no such tank.
    """
    zone = session.scalar(
        select(Site.zone).join(Tank, Tank.site_id == Site.id).where(Tank.id == tank_id)
    )
    if zone is None:
        raise NotFound("There is no such tank.")
    return zone


def _add(
    session: Session,
    stamp: Stamp,
    draft: Draft,
    readings: Sequence[NewReading],
    *,
    now: datetime,
    replaces_id: int | None = None,
    reason: str = "",
) -> int:
    if stamp.happened_at > now + CLOCK_SLIP:
        raise Refused("That time has not come yet. Pick a time up to now.")
    zone = zone_of(session, stamp.tank_id)
    header = {
        "tank_id": stamp.tank_id,
        "kind": _KINDS[type(draft)].value,
        "happened_at": stamp.happened_at,
        "local_day": local_day(stamp.happened_at, zone),
        "recorded_at": now,
        "author_id": stamp.author_id,
        "done_by_id": stamp.done_by_id,
        "token": stamp.token,
        "digest": digest_of(stamp, draft, readings),
        "replaces_id": replaces_id,
        "reason": reason,
    }
    return entries.add(
        session,
        header,
        _detail(session, stamp, draft),
        [_reading_row(r, stamp.happened_at) for r in readings],
    )


def _reading_row(reading: NewReading, at: datetime) -> dict[str, Any]:
    row = asdict(reading)
    return {**row, "quantity": reading.quantity.value, "at": at}


def _detail(session: Session, stamp: Stamp, draft: Draft) -> dict[str, Any]:
    match draft:
        case NewMeal():
            return _meal_detail(session, stamp.tank_id, draft)
        case NewLook():
            expected = livestock.expected(session, stamp.tank_id)
            return {
                **asdict(draft),
                "signs": " ".join(s.value for s in draft.signs),
                "expected": expected,
            }
        case NewJob():
            return {
                **asdict(draft),
                "job": draft.job.value,
                "treated": draft.treated.value if draft.treated else None,
                "rinse": draft.rinse.value if draft.rinse else None,
            }
        case NewStockEvent():
            return {**asdict(draft), "what": draft.what.value}
        case _:
            return asdict(draft)


def _meal_detail(session: Session, tank_id: int, meal: NewMeal) -> dict[str, Any]:
    scoop = session.scalar(
        select(Scoop)
        .where(Scoop.tank_id == tank_id)
        .order_by(Scoop.weighed_at.desc(), Scoop.id.desc())
        .limit(1)
    )
    grams = None if scoop is None or meal.scoops is None else scoop.grams * meal.scoops
    return {**asdict(meal), "grams": grams, "scoop_id": scoop.id if scoop else None}


def withdraw(
    session: Session,
    tank_id: int,
    entry_id: int,
    *,
    visitor: Visitor,
    reason: str = "undone",
    now: datetime,
) -> None:
    """Take an entry back; what it had replaced counts again. Twice is the same as once.

    Raises:
        NotFound: If the tank has no such entry.
        Refused: If a helper asks after 20 seconds, or a correction stands in front of it.
    """
    entries.raise_revision(session, tank_id)
    target = entry_row(session, tank_id, entry_id)
    if target.status == EntryStatus.WITHDRAWN.value:
        session.rollback()
        return
    if not visitor.is_adult and now - target.recorded_at > UNDO_TIME:
        raise Refused("The 20 seconds are over. Fix it, or ask the grown-up in charge.")
    if target.status == EntryStatus.CORRECTED.value:
        raise Refused("This entry was corrected. Take the correction back first.")
    entries.set_status(session, target.id, EntryStatus.WITHDRAWN)
    older = entries.replaced_ancestor(session, target)
    if older is not None:
        entries.set_status(session, older.id, EntryStatus.OK)
    header = {
        "tank_id": tank_id,
        "kind": EntryKind.WITHDRAWAL.value,
        "happened_at": now,
        "local_day": local_day(now, zone_of(session, tank_id)),
        "recorded_at": now,
        "author_id": visitor.author_id,
        "done_by_id": visitor.last_hands_id,
        "token": f"withdraw-{entry_id}",
        "digest": "",
        "reason": reason,
    }
    entries.add(session, header, {"target_id": target.id})
    finish(session)


def correct(
    session: Session,
    stamp: Stamp,
    entry_id: int,
    draft: Draft,
    readings: Sequence[NewReading],
    *,
    reason: str,
    visitor: Visitor,
    now: datetime,
) -> Saved:
    """Write a correction: a new entry that replaces the old one, which stays in the history.

    Raises:
        NotFound: If the tank has no such entry.
        Conflict: If somebody corrected or took it back meanwhile.
        Refused: If a helper asks after 10 minutes, or the kinds differ.
    """
    entries.raise_revision(session, stamp.tank_id)
    saved = saved_before(session, stamp, draft, readings)
    if saved is not None:
        session.rollback()
        return saved
    old = entry_row(session, stamp.tank_id, entry_id)
    if old.status != EntryStatus.OK.value:
        raise Conflict("Somebody changed this entry meanwhile. Look at what stands there now.")
    if old.kind != _KINDS[type(draft)].value:
        raise Refused("A correction keeps the kind of entry. Take this one back instead.")
    if not visitor.is_adult and now - old.recorded_at > FIX_TIME:
        raise Refused("The 10 minutes are over. Ask the grown-up in charge.")
    tip = entries.tip_of(session, old)
    new_id = _add(session, stamp, draft, readings, now=now, replaces_id=tip.id, reason=reason)
    entries.set_status(session, old.id, EntryStatus.CORRECTED)
    finish(session)
    return Saved(new_id, fresh=True)


def entry_row(session: Session, tank_id: int, entry_id: int) -> Entry:
    """The header of an entry of this tank.

    Raises:
        NotFound: If the tank has no such entry.
    """
    row = session.get(Entry, entry_id)
    if row is None or row.tank_id != tank_id or row.kind == EntryKind.WITHDRAWAL.value:
        raise NotFound("This tank has no such entry.")
    return row
