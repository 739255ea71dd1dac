"""Technician rounds: the tanks of one way in the order of their rooms, with what is due there."""

import re
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound
from app.domain.snapshot import TankSnapshot
from app.domain.wording import full_day
from app.knowledge.load import load
from app.rules.model import Severity, State, Task
from app.services import tasks
from app.storage.base import folded
from app.storage.queries import overview
from app.storage.queries.overview import TankPlace

_DIGITS: Final = re.compile(r"(\d+)")
_DOORS: Final = frozenset({"change", "job"})
TECHNICIAN: Final = "technician"


@dataclass(frozen=True, slots=True)
class RoundLine:
    """A round in the list, with how many tanks it has."""

    name: str
    tanks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundTask:
    """One thing to do on the way; `when` is the day it is due, "" for now."""

    title: str
    reason: str
    when: str
    urgent: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundStop:
    """One tank on the way: where it stands, how it is, what is due."""

    place: TankPlace
    state: State
    tasks: tuple[RoundTask, ...]


def rounds(session: Session, *, among: Collection[int] | None = None) -> tuple[RoundLine, ...]:
    """All rounds with how many tanks they have, by name."""
    counted = Counter(p.round for p in overview.tank_places(session, among) if p.round)
    return tuple(RoundLine(name, counted[name]) for name in sorted(counted, key=_natural))


def stops(
    session: Session, name: str, *, now: datetime, among: Collection[int] | None = None
) -> tuple[RoundStop, ...]:
    """The tanks of a round by place and room, with what a technician does there.

    That is what the plans give to technicians, jobs and water changes that are nobody's or an
    adult's, and whatever must be done now; from today up to a week ahead.

    Raises:
        NotFound: If no tank that may be seen is on such a round.
    """
    places = [p for p in overview.tank_places(session, among) if folded(p.round) == folded(name)]
    if not places or not name.strip():
        raise NotFound("There is no such round.")
    seen = tasks.look(session, [p.tank_id for p in places], now=now)
    found = []
    for place in sorted(places, key=_way):
        snapshot, evaluation = seen[place.tank_id]
        theirs = tuple(_told(t, snapshot) for t in evaluation.tasks if _is_theirs(t, snapshot))
        found.append(RoundStop(place=place, state=evaluation.state, tasks=theirs))
    return tuple(found)


def _is_theirs(task: Task, snapshot: TankSnapshot) -> bool:
    if task.severity >= Severity.ACT or task.who == TECHNICIAN:
        wanted = True
    else:
        wanted = task.who in {"", "adult"} and task.action.door in _DOORS
    ahead = timedelta(days=load().value("round.ahead-days"))
    return wanted and task.due_at <= snapshot.as_of + ahead


def _told(task: Task, snapshot: TankSnapshot) -> RoundTask:
    day = local_day(task.due_at, snapshot.site.zone)
    return RoundTask(
        title=task.action.title,
        reason=task.findings[0].reason,
        when=full_day(day) if day > snapshot.today else "",
        urgent=task.severity >= Severity.ACT,
    )


def _way(place: TankPlace) -> tuple[str, list[tuple[int, str]], str]:
    return (place.site_name.casefold(), _natural(place.room), place.name.casefold())


def _natural(text: str) -> list[tuple[int, str]]:
    """A key that puts Room 2 before Room 12."""
    parts = _DIGITS.split(text.casefold())
    return [(int(part), "") if part.isascii() and part.isdigit() else (-1, part) for part in parts]
