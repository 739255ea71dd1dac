"""Writing down: record once, take back, correct. The one path for all kinds of entries."""

import hashlib
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields, replace
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.drafts import Draft, NewJob
from app.domain.errors import ChangedMeanwhile, NotFound, Refused, TokenReused
from app.domain.guard import NewReading
from app.domain.records import EntryKind, EntryStatus
from app.domain.trace import Sharing
from app.services.access.people import Visitor
from app.services.details import KINDS, carried_over, columns_of
from app.services.transaction import finish
from app.services.unseen import kept_words
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.queries import contacts, entries, evaluations

CLOCK_SLIP = timedelta(minutes=5)
UNDO_TIME = timedelta(seconds=20)
FIX_TIME = timedelta(minutes=10)
# the kinds of entries that tell how far a filter has grown
_TELL_STAGES = frozenset({EntryKind.FEEDING, EntryKind.WATER_TEST, EntryKind.JOB})
# left out of a digest while they are empty: a form that was saved before they came is known by it
_LATER_FIELDS = frozenset(
    {
        "left_over", "minutes_to_eat", "media_share", "mg_per_l", "grams", "plant_id", "step",
        "treatment", "batch_id", "length_cm", "apart_days", "hidden", "algae",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What every entry carries: where, when, who wrote it, whose hands, and the form's token.

    `reason` is what was asked and answered before it was written, or "". `shared` is what the work
    shared with other tanks; None where that was not asked.
    """

    tank_id: int
    token: str
    happened_at: datetime
    author_id: int
    done_by_id: int | None = None
    reason: str = ""
    shared: tuple[Sharing, ...] | None = None


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
    return put(session, stamp, draft, readings, now=now)


def put(
    session: Session,
    stamp: Stamp,
    draft: Draft,
    readings: Sequence[NewReading] = (),
    *,
    now: datetime,
) -> Saved:
    """Write an entry down, after `raise_revision`, where nothing was `saved_before`.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the time lies ahead of the clock, or the tank is closed.
    """
    digest = digest_of(stamp, draft, readings)
    entry_id = _add(session, stamp, draft, readings, digest=digest, now=now, reason=stamp.reason)
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
    empty = {f.name: f.default for f in fields(draft) if f.name in _LATER_FIELDS}
    typed = {
        name: value
        for name, value in asdict(draft).items()
        if name not in empty or value != empty[name]
    }
    what = (
        type(draft).__name__,
        sorted(typed.items(), key=lambda item: item[0]),
        stamp.done_by_id,
        *([sorted(stamp.shared)] if stamp.shared else []),
        [sorted(asdict(r).items(), key=lambda item: item[0]) for r in readings],
    )
    return hashlib.sha256(repr(what).encode()).hexdigest()


def zone_of(session: Session, tank_id: int) -> str:
    """The tank's time zone.

    Raises:
        NotFound: If there is no such tank.
    """
    return place_of(session, tank_id)[0]


def place_of(session: Session, tank_id: int) -> tuple[str, date | None]:
    """The tank's time zone, and the day on which it was closed.

    Raises:
        NotFound: If there is no such tank.
    """
    row = session.execute(
        select(Site.zone, Tank.closed_on)
        .join(Tank, Tank.site_id == Site.id)
        .where(Tank.id == tank_id)
    ).one_or_none()
    if row is None:
        raise NotFound("There is no such tank.")
    return row.zone, row.closed_on


def _add(
    session: Session,
    stamp: Stamp,
    draft: Draft,
    readings: Sequence[NewReading],
    *,
    digest: str,
    now: datetime,
    replaces_id: int | None = None,
    reason: str = "",
) -> int:
    if stamp.happened_at > now + CLOCK_SLIP:
        raise Refused("That time has not come yet. Pick a time up to now.")
    zone, closed_on = place_of(session, stamp.tank_id)
    day = local_day(stamp.happened_at, zone)
    if closed_on is not None and day > closed_on:
        raise Refused(f"This tank was closed on {closed_on}. Open it again to write more.")
    header = {
        "tank_id": stamp.tank_id,
        "kind": KINDS[type(draft)].value,
        "happened_at": stamp.happened_at,
        "local_day": day,
        "recorded_at": now,
        "author_id": stamp.author_id,
        "done_by_id": stamp.done_by_id,
        "token": stamp.token,
        "digest": digest,
        "replaces_id": replaces_id,
        "reason": reason,
    }
    _forget_stages(session, stamp.tank_id, KINDS[type(draft)], day)
    treatment = draft.treatment if isinstance(draft, NewJob) else None
    entry_id = entries.add(
        session,
        header,
        columns_of(session, stamp.tank_id, draft),
        [_reading_row(r, stamp.happened_at) for r in readings],
        treatment=None if treatment is None else asdict(treatment),
    )
    contacts.put(session, entry_id, stamp.shared or ())
    return entry_id


def _forget_stages(session: Session, tank_id: int, kind: str, day: date) -> None:
    """Let the stages of the filter be told anew where this entry may change them."""
    if kind in _TELL_STAGES:
        evaluations.forget_stages(session, tank_id, day)


def _reading_row(reading: NewReading, at: datetime) -> dict[str, Any]:
    row = asdict(reading)
    return {**row, "quantity": reading.quantity.value, "at": at}


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

    A move is taken back in both tanks.

    Raises:
        NotFound: If the tank has no such entry.
        Refused: If a helper asks after 20 seconds or about what a grown-up did, or a correction
            stands in front of it.
    """
    entries.raise_revision(session, tank_id)
    target = entry_row(session, tank_id, entry_id)
    if target.status == EntryStatus.WITHDRAWN.value:
        session.rollback()
        return
    _may_touch(session, target, visitor)
    if not visitor.is_adult and now - target.recorded_at > UNDO_TIME:
        raise Refused("The 20 seconds are over. Fix it, or ask the grown-up in charge.")
    if target.status == EntryStatus.CORRECTED.value:
        raise Refused("This entry was corrected. Take the correction back first.")
    _take_back(session, target, visitor=visitor, reason=reason, now=now)
    half = entries.other_half(session, target)
    if half is not None:
        entries.raise_revision(session, half.tank_id)
        _take_back(session, half, visitor=visitor, reason=reason, now=now)
    finish(session)


def _may_touch(session: Session, entry: Entry, visitor: Visitor) -> None:
    """Refuse a helper's device what no helper did."""
    if visitor.is_adult:
        return
    doer = session.get_one(Author, entry.done_by_id or entry.author_id)
    if doer.kind != "helper":
        raise Refused("A grown-up wrote this. Ask the grown-up in charge.")


def _take_back(
    session: Session, target: Entry, *, visitor: Visitor, reason: str, now: datetime
) -> None:
    _forget_stages(session, target.tank_id, target.kind, target.local_day)
    entries.set_status(session, target.id, EntryStatus.WITHDRAWN)
    older = entries.replaced_ancestor(session, target)
    if older is not None:
        entries.set_status(session, older.id, EntryStatus.OK)
    header = {
        "tank_id": target.tank_id,
        "kind": EntryKind.WITHDRAWAL.value,
        "happened_at": now,
        "local_day": local_day(now, zone_of(session, target.tank_id)),
        "recorded_at": now,
        "author_id": visitor.author_id,
        "done_by_id": visitor.last_hands_id,
        "token": f"withdraw-{target.id}",
        "digest": "",
        "reason": reason,
    }
    entries.add(session, header, {"target_id": target.id})


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

    What no form asks again is carried over: the batch, a hidden loss, a step, a treatment, what
    was shared with other tanks, and nicknames that were not shown.

    Raises:
        NotFound: If the tank has no such entry.
        ChangedMeanwhile: If somebody corrected or took it back meanwhile.
        Refused: If a helper asks after 10 minutes or about what a grown-up did, the kinds differ,
            it is half of a move, or words with a nickname that was not shown came back changed.
    """
    entries.raise_revision(session, stamp.tank_id)
    saved = saved_before(session, stamp, draft, readings)
    if saved is not None:
        session.rollback()
        return saved
    old = entry_row(session, stamp.tank_id, entry_id)
    if old.status != EntryStatus.OK.value:
        raise ChangedMeanwhile(entries.tip_of(session, old).id)
    if old.kind != KINDS[type(draft)].value:
        raise Refused("A correction keeps the kind of entry. Take this one back instead.")
    _may_touch(session, old, visitor)
    if not visitor.is_adult and now - old.recorded_at > FIX_TIME:
        raise Refused("The 10 minutes are over. Ask the grown-up in charge.")
    _forget_stages(session, stamp.tank_id, old.kind, old.local_day)
    tip = entries.tip_of(session, old)
    if stamp.shared is None:
        before = contacts.sharings_of(session, [old.id])
        stamp = replace(stamp, shared=before.get(old.id))
    new_id = _add(
        session,
        stamp,
        carried_over(session, old.id, _with_names(session, visitor, old, draft)),
        readings,
        digest=digest_of(stamp, draft, readings),
        now=now,
        replaces_id=tip.id,
        reason=reason,
    )
    entries.set_status(session, old.id, EntryStatus.CORRECTED)
    finish(session)
    return Saved(new_id, fresh=True)


def _with_names(session: Session, visitor: Visitor, old: Entry, draft: Draft) -> Draft:
    """The draft with the nicknames of the old entry that whoever fixes it was not shown."""
    detail = session.get_one(entries.DETAIL_TABLES[EntryKind(old.kind)], old.id)
    # words that were emptied stay in the history
    typed = {f.name: value for f in fields(draft) if (value := getattr(draft, f.name)) != ""}
    return replace(draft, **kept_words(session, visitor, detail, typed))


def entry_row(session: Session, tank_id: int, entry_id: int) -> Entry:
    """The header of an entry of this tank.

    Raises:
        NotFound: If the tank has no such entry.
    """
    row = session.get(Entry, entry_id)
    if row is None or row.tank_id != tank_id or row.kind == EntryKind.WITHDRAWAL.value:
        raise NotFound("This tank has no such entry.")
    return row
