"""Tasks put off, skipped or given to somebody: kept, with who and why, also when they ended."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, or_, select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.marks import MarkKind, TaskMark
from app.services.names import optional, required
from app.services.transaction import begin, finish
from app.storage.base import UtcTime
from app.storage.models.access import Author, shown_text
from app.storage.models.marks import TaskMark as MarkRow

_KEY, _REASON = 80, 200
_EMERGENCY = 3
_WAITING = (MarkKind.LATER.value, MarkKind.SKIPPED.value)
_MARKS = (
    select(MarkRow, Author.shown, shown_text(MarkRow.to_name))
    .join(Author, Author.id == MarkRow.author_id)
    .order_by(MarkRow.at, MarkRow.id)
)
_NOW = bindparam("now", type_=UtcTime())
_IN_FORCE = _MARKS.where(
    MarkRow.tank_id.in_(bindparam("tanks", expanding=True)),
    MarkRow.at <= _NOW,
    or_(MarkRow.until.is_(None), MarkRow.until > _NOW),
    or_(MarkRow.ended_at.is_(None), MarkRow.ended_at > _NOW),
)


@dataclass(frozen=True, slots=True)
class PastMark:
    """A mark as it is kept; `ended_at` is None while nobody took it back."""

    mark: TaskMark
    ended_at: datetime | None


def set_aside(
    session: Session,
    tank_id: int,
    key: str,
    until: datetime,
    reason: str,
    *,
    kind: MarkKind,
    author_id: int,
    severity: int = 0,
    now: datetime,
) -> int:
    """Put a task off, or leave it out this time, in place of what was said; returns the mark's id.

    Args:
        session: A writing session.
        tank_id: The tank.
        key: The task's key.
        until: When it is due again.
        reason: Why; one is needed.
        kind: Later or skipped.
        author_id: Who says so.
        severity: How much the task asks for now, 0 (info) to 3 (emergency).
        now: The present moment.

    Raises:
        NotFound: If there is no such tank.
        Refused: Without a reason, for a moment that is past, or for an emergency.
    """
    why = required(reason, "Write why it can wait.", _REASON)
    if severity >= _EMERGENCY:
        raise Refused("This cannot wait. Do it now, or call somebody who can.")
    if until <= now:
        raise Refused("Choose a time that is still to come.")
    begin(session, tank_id)
    _end(session, now, MarkRow.tank_id == tank_id, MarkRow.task_key == key,
         MarkRow.kind.in_(_WAITING))  # fmt: skip
    return _add(session, tank_id=tank_id, task_key=key, kind=kind.value, at=now, until=until,
                reason=why, author_id=author_id, severity=severity)  # fmt: skip


def assign(
    session: Session,
    tank_id: int,
    key: str,
    to: str,
    *,
    until: datetime | None = None,
    author_id: int,
    severity: int = 0,
    now: datetime,
) -> int:
    """Give a task to somebody, in place of whoever had it; returns the mark's id.

    `until` ends it, so that the next such task is nobody's again; None: it stays.

    Raises:
        NotFound: If there is no such tank.
        Refused: If nobody is named.
    """
    name = required(to, "Choose who does it.")
    begin(session, tank_id)
    _end(session, now, MarkRow.tank_id == tank_id, MarkRow.task_key == key,
         MarkRow.kind == MarkKind.ASSIGNED.value)  # fmt: skip
    return _add(session, tank_id=tank_id, task_key=key, kind=MarkKind.ASSIGNED.value, at=now,
                until=until, author_id=author_id, to_name=name, severity=severity)  # fmt: skip


def take_back(session: Session, tank_id: int, mark_id: int, *, now: datetime) -> None:
    """End a mark; it stays in the history. Twice is the same as once.

    Raises:
        NotFound: If the tank has no such mark.
    """
    begin(session, tank_id)
    row = session.get(MarkRow, mark_id)
    if row is None or row.tank_id != tank_id:
        raise NotFound("This tank has no such mark.")
    _end(session, now, MarkRow.id == mark_id)
    finish(session)


def marks_of(
    session: Session, tank_ids: Sequence[int], *, now: datetime
) -> dict[int, tuple[TaskMark, ...]]:
    """The marks in force by tank, oldest first, in one statement for any number of tanks."""
    found: dict[int, list[TaskMark]] = defaultdict(list)
    for row, by, to in session.execute(_IN_FORCE, {"tanks": tank_ids, "now": now}):
        found[row.tank_id].append(_mark(row, by, to))
    return {tank_id: tuple(found[tank_id]) for tank_id in tank_ids}


def history(session: Session, tank_id: int, key: str | None = None) -> tuple[PastMark, ...]:
    """All marks of a tank, or of one of its tasks, the newest first."""
    query = _MARKS.where(MarkRow.tank_id == tank_id)
    if key is not None:
        query = query.where(MarkRow.task_key == key)
    rows = session.execute(query).all()
    return tuple(PastMark(_mark(row, by, to), row.ended_at) for row, by, to in reversed(rows))


def _add(session: Session, **values: Any) -> int:
    row = MarkRow(**{**values, "task_key": optional(values["task_key"], _KEY)})
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def _end(session: Session, now: datetime, *which: Any) -> None:
    """End the marks that are still in force."""
    session.execute(update(MarkRow).where(MarkRow.ended_at.is_(None), *which).values(ended_at=now))


def _mark(row: MarkRow, by: str, to: str) -> TaskMark:
    return TaskMark(
        id=row.id,
        task_key=row.task_key,
        kind=MarkKind(row.kind),
        at=row.at,
        until=row.until,
        reason=row.reason,
        by=by,
        to=to,
        severity=row.severity,
    )
