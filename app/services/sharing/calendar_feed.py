"""A tank's calendar for other programs: what is due and what is planned, as RFC 5545 writes it.

Nobody is named in it, nothing of a note, and no loss: whoever has the address reads it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final
from uuid import NAMESPACE_URL, UUID, uuid5

from icalendar import Calendar, Event, vDuration, vText
from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.knowledge.model import Knowledge
from app.rules.ahead import Planned, planned
from app.rules.model import Evaluation, Task
from app.services import tasks
from app.services.sharing import links
from app.services.sharing.links import LinkKind

_PRODUCT: Final = "-//Sillpond//Tank calendar//EN"
_AGAIN: Final = timedelta(hours=6)
_ONE_DAY: Final = timedelta(days=1)
# what a class hears from its teacher first
_LOSSES: Final = frozenset({"livestock.died", "livestock.missing"})


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar as it is sent, its link, and the local days of this and the last use."""

    content: bytes
    link_id: int
    today: date
    last_used_on: date | None


def feed(session: Session, token: str, *, now: datetime) -> Feed:
    """The calendar behind a link.

    Raises:
        NotFound: If the link is not open, or none for a calendar.
    """
    link = links.open_link(session, token, LinkKind.CALENDAR, now=now)
    found = tasks.look(session, [link.tank_id], now=now, pupils=True)
    snapshot, seen = found[link.tank_id]
    family = uuid5(NAMESPACE_URL, links.hash_of(token))
    content = calendar_of(snapshot, seen, load(), family)
    return Feed(content, link.id, snapshot.today, link.last_used_on)


def calendar_of(
    snapshot: TankSnapshot, seen: Evaluation, knowledge: Knowledge, family: UUID
) -> bytes:
    """Due and planned work of a tank as a calendar.

    An event keeps its UID while it is the same thing: a task as long as it is due, a planned job
    of a day, a break.

    Args:
        snapshot: The tank as pupils know it.
        seen: What is due.
        knowledge: For how far ahead is told.
        family: What the UIDs are made from: another link, other UIDs.
    """
    calendar = Calendar()
    for key, value in (("PRODID", _PRODUCT), ("VERSION", "2.0"), ("CALSCALE", "GREGORIAN")):
        calendar.add(key, value)
    for key in ("NAME", "X-WR-CALNAME"):
        calendar.add(key, vText(_one_line(snapshot.tank.name)))
    calendar.add("REFRESH-INTERVAL", vDuration(_AGAIN), parameters={"VALUE": "DURATION"})
    for event in _events(snapshot, seen, knowledge, family):
        event.add("DTSTAMP", snapshot.as_of.astimezone(UTC))
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _events(
    snapshot: TankSnapshot, seen: Evaluation, knowledge: Knowledge, family: UUID
) -> Iterator[Event]:
    today = snapshot.today
    for task in seen.tasks:
        if not _is_loss(task):
            yield _whole_days(family, f"due {task.key}", f"Due: {task.action.title}", today, today)
    until = today + timedelta(days=knowledge.value("sharing.calendar-days"))
    spell = timedelta(minutes=knowledge.value("sharing.calendar-list-minutes"))
    for each in planned(snapshot, knowledge, until):
        if each.at is not None:
            yield _timed(family, each, each.at, spell)
        else:
            uid = f"{each.name} {each.day.isoformat()}"
            yield _whole_days(family, uid, each.title, each.day, each.last)


def _is_loss(task: Task) -> bool:
    return any(finding.rule_id in _LOSSES for finding in task.findings)


def _whole_days(family: UUID, name: str, title: str, first: date, last: date) -> Event:
    """Days in a row; the end that the standard wants is the day after the last one."""
    event = _event(family, name, title)
    event.add("DTSTART", first)
    event.add("DTEND", last + _ONE_DAY)
    event.add("TRANSP", "TRANSPARENT")
    return event


def _timed(family: UUID, each: Planned, at: datetime, spell: timedelta) -> Event:
    """A moment in UTC, which is right whatever the clocks do."""
    event = _event(family, f"{each.name} {each.day.isoformat()}", each.title)
    event.add("DTSTART", at.astimezone(UTC))
    event.add("DTEND", (at + spell).astimezone(UTC))
    return event


def _event(family: UUID, name: str, title: str) -> Event:
    event = Event()
    event.add("UID", str(uuid5(family, name)))
    event.add("SUMMARY", _one_line(title))
    return event


def _one_line(text: str) -> str:
    """A text without line breaks and other signs that nobody sees."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
