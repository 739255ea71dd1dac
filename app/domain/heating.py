"""Hours in which a building is heated less: when they are, and how cold the room gets."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from app.domain.calendar import day_start, local_day, somebody_comes
from app.domain.tank import Setback, Site

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class RoomSpan:
    """From one moment to another, with the room in °C."""

    start: datetime
    end: datetime
    room_c: float

    @property
    def hours(self) -> float:
        """How long it lasts."""
        return (self.end - self.start) / timedelta(hours=1)


def lowest_setback_c(site: Site) -> float | None:
    """The coldest that the room gets in hours with less heating; None where nobody wrote it."""
    return min((s.room_c for s in site.setbacks if s.room_c is not None), default=None)


def heated_less(
    site: Site, start: datetime, end: datetime
) -> tuple[tuple[datetime, datetime], ...]:
    """The hours with less heating between two moments, joined where they touch, in order."""
    joined: list[tuple[datetime, datetime]] = []
    for begin, finish, _ in sorted(_within(site, start, end), key=lambda each: each[:2]):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], finish))
        else:
            joined.append((begin, finish))
    return tuple(joined)


def heated_less_at(site: Site, moment: datetime, after: timedelta) -> bool:
    """Whether the heating is down at a moment, or was not longer ago than `after`."""
    instant = timedelta(microseconds=1)
    return bool(heated_less(site, moment - after, moment + instant))


def room_course(site: Site, start: datetime, end: datetime, usual_c: float) -> tuple[RoomSpan, ...]:
    """The room from one moment to another: `usual_c`, and colder where the heating is down.

    Where several hours overlap the coldest counts. Hours whose room nobody wrote change nothing.
    """
    spells = [
        (begin, finish, room_c)
        for begin, finish, room_c in _within(site, start, end)
        if room_c is not None and room_c < usual_c
    ]
    edges = sorted({start, end, *(edge for spell in spells for edge in spell[:2])})
    found: list[RoomSpan] = []
    for first, last in pairwise(edges):
        colder = (c for begin, finish, c in spells if begin <= first and last <= finish)
        room_c = min(colder, default=usual_c)
        if found and found[-1].room_c == room_c:
            found[-1] = RoomSpan(found[-1].start, last, room_c)
        else:
            found.append(RoomSpan(first, last, room_c))
    return tuple(found)


def _within(
    site: Site, start: datetime, end: datetime
) -> Iterator[tuple[datetime, datetime, float | None]]:
    """Each spell with less heating that touches a time, cut to it, with its room."""
    day, last = local_day(start, site.zone) - _DAY, local_day(end, site.zone)
    while day <= last:
        for setback in site.setbacks:
            for begin, finish in _on(setback, day, site):
                if begin < end and finish > start:
                    yield max(begin, start), min(finish, end), setback.room_c
        day += _DAY


def _on(setback: Setback, day: date, site: Site) -> Iterator[tuple[datetime, datetime]]:
    if day.weekday() in setback.weekdays:
        over = _DAY if setback.ends <= setback.starts else timedelta()
        yield _at(day, setback.starts, site.zone), _at(day + over, setback.ends, site.zone)
    if setback.while_away and not somebody_comes(site, day):
        yield day_start(day, site.zone), day_start(day + _DAY, site.zone)


def _at(day: date, hour: time, zone: str) -> datetime:
    """A time of the wall clock in UTC; one that the clocks skipped is as much later."""
    return datetime.combine(day, hour, ZoneInfo(zone)).astimezone(UTC)
