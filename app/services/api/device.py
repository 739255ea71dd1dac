"""What a device measures by itself: all readings of one local day are one entry of the story.

The moment and the quantity are the name of a reading: what is sent again is the same reading. So
a device that does not know whether its last post arrived sends it once more.
"""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from itertools import groupby
from typing import Any, Final

from sqlalchemy import insert, update
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.drafts import NewLoggerImport
from app.domain.errors import Refused
from app.domain.guard import NewReading
from app.domain.records import EntryKind, EntryStatus
from app.services.access.api_tokens import Program
from app.services.api.measured import Judge, Measured
from app.services.details import columns_of
from app.services.entries import CLOCK_SLIP, place_of
from app.services.transaction import begin, finish
from app.storage.models.water import Logger, Reading
from app.storage.queries import entries, logger_days, programs

MOST_AT_ONCE: Final = 500
MOST_A_DAY: Final = 3000
"""Of one device in one tank: two quantities a minute, and some more."""


@dataclass(frozen=True, slots=True)
class DeviceReading:
    """A value with its moment; `at` None: just now."""

    measured: Measured
    at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of a post.

    `known` were there already; `different` are places of those whose moment had another value,
    which stays. `entry_ids` are the entries that hold them all.
    """

    added: int
    known: int
    different: tuple[int, ...]
    entry_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Post:
    """Who sends something, of which tank, and when."""

    session: Session
    program: Program
    tank_id: int
    now: datetime


@dataclass(frozen=True, slots=True)
class _Judged:
    """A reading with its moment, and its place in the post."""

    place: int
    at: datetime
    reading: NewReading

    @property
    def key(self) -> tuple[str, datetime]:
        """What tells it from the other readings of its device."""
        return self.reading.quantity.value, self.at


def take(
    session: Session,
    program: Program,
    tank_id: int,
    sent: Sequence[DeviceReading],
    *,
    now: datetime,
) -> Taken:
    """Write a device's readings down: all of them, or none.

    Args:
        session: A session that writes.
        program: Whose they are.
        tank_id: Of which tank.
        sent: 1 to `MOST_AT_ONCE` readings, in any order.
        now: The present moment.

    Raises:
        NotFound: If there is no such tank.
        NotTaken: If a value or a time is not possible, or a value has to be confirmed.
        Refused: If the tank was closed before, or the device sent too many that day.
    """
    begin(session, tank_id)
    post = _Post(session, program, tank_id, now)
    zone, closed_on = place_of(session, tank_id)
    judged = _judged(post, sent)
    added, different, entry_ids = 0, [], []
    for day, of_day in groupby(judged, key=lambda each: local_day(each.at, zone)):
        if closed_on is not None and day > closed_on:
            raise Refused(f"This tank was closed on {closed_on}. Open it again to write more.")
        entry_id, fresh, others = _take_day(post, day, list(of_day))
        added += fresh
        different += others
        entry_ids.append(entry_id)
    if added:
        finish(session)
    else:
        session.rollback()
    return Taken(
        added=added,
        known=len(judged) - added - len(different),
        different=tuple(sorted(different)),
        entry_ids=tuple(entry_ids),
    )


def _judged(post: _Post, sent: Sequence[DeviceReading]) -> list[_Judged]:
    """The readings by their times."""
    judge = Judge(post.session, post.tank_id)
    timed = [(each.at or post.now, place, each.measured) for place, each in enumerate(sent)]
    found = []
    for at, place, measured in sorted(timed, key=lambda each: each[:2]):
        if at > post.now + CLOCK_SLIP:
            judge.complain(place, "That time has not come yet.")
            continue
        reading = judge.take(place, measured, at)
        if reading is not None:
            found.append(_Judged(place, at, reading))
    judge.finish()
    return found


def _take_day(post: _Post, day: date, sent: Sequence[_Judged]) -> tuple[int, int, list[int]]:
    """Put one day's readings to its entry: the entry, how many are new, which are different."""
    session = post.session
    entry_id, rows = _entry_of(post, day, sent[0].at)
    known = programs.values_of_entry(session, entry_id, sent[0].at, sent[-1].at)
    fresh: list[_Judged] = []
    different = []
    for each in sent:
        if each.key not in known:
            known[each.key] = each.reading.value
            fresh.append(each)
        elif known[each.key] != each.reading.value:
            different.append(each.place)
    if rows + len(fresh) > MOST_A_DAY:
        raise Refused(f"One device may send {MOST_A_DAY} readings of one day. Send fewer.")
    if fresh:
        session.execute(insert(Reading), list(_rows(post, fresh, entry_id)))
        session.execute(
            update(Logger).where(Logger.entry_id == entry_id).values(rows=rows + len(fresh))
        )
        logger_days.summarize(session, entry_id)
    return entry_id, len(fresh), different


def _entry_of(post: _Post, day: date, first: datetime) -> tuple[int, int]:
    """The entry of a device's day and how many readings it holds.

    A new one where there is none, or where the last one was taken back.
    """
    session, tank_id = post.session, post.tank_id
    start = f"device-{post.program.token_id}-{day}"
    turn = 1
    while (found := programs.logger_by_token(session, tank_id, f"{start}-{turn}")) is not None:
        entry, logger = found
        if entry.status == EntryStatus.OK.value:
            return entry.id, logger.rows
        turn += 1
    header = {
        "tank_id": tank_id,
        "kind": EntryKind.LOGGER.value,
        "happened_at": first,
        "local_day": day,
        "recorded_at": post.now,
        "author_id": post.program.author_id,
        "token": f"{start}-{turn}",
        "digest": "",
    }
    draft = NewLoggerImport(file_name=post.program.label, rows=0)
    return entries.add(session, header, columns_of(session, tank_id, draft)), 0


def _rows(post: _Post, fresh: Sequence[_Judged], entry_id: int) -> Iterator[dict[str, Any]]:
    for each in fresh:
        row = asdict(each.reading) | {"quantity": each.reading.quantity.value}
        yield {**row, "at": each.at, "entry_id": entry_id, "tank_id": post.tank_id}
