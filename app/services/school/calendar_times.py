"""When an event of a calendar takes place, once or again and again, in whole local days."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from itertools import islice
from typing import Any, Final
from zoneinfo import ZoneInfo

from dateutil.rrule import rrulestr
from icalendar import Event
from icalendar.error import BrokenCalendarProperty

from app.domain.errors import Refused

YEARS_AHEAD: Final = 3
# of one event in the years ahead: a daily one is no holiday
_MOST_TIMES: Final = 200
# through all events that come back, the past ones included
_MOST_STEPS: Final = 20_000
# rules that never come true, as a 30 February: the library looks for them until the year 9999
_MOST_NEVER: Final = 1
_OLDEST: Final = timedelta(days=30 * 366)
"""Events that come back since longer are not read."""
_OFTEN: Final = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
_WITHIN_A_DAY: Final = frozenset({"BYHOUR", "BYMINUTE", "BYSECOND"})
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True, order=True)
class Days:
    """Local days in a row, both ends included; `key` tells the times of a series apart."""

    first: date
    last: date
    key: str = ""


class Unclear(Exception):
    """An event that cannot be read; the others can."""


@dataclass(frozen=True, slots=True)
class Occurrences:
    """One VEVENT: its first start and its length on the wall clock of its own zone."""

    event: Event
    start: datetime
    length: timedelta
    zone: tzinfo | None
    whole_days: bool


@dataclass(frozen=True, slots=True)
class _Rule:
    """How an event comes back: its parts as text, how many times at most, and until when."""

    text: str
    most: int | None
    until: date | None


class Steps:
    """A count over all events of a file, so that none of them goes on for ever."""

    def __init__(self) -> None:
        self._left = _MOST_STEPS
        self._never = _MOST_NEVER

    def take(self) -> None:
        """Count one more.

        Raises:
            Refused: If there were too many.
        """
        self._left -= 1
        if self._left < 0:
            raise Refused("The events of this file come back too often. Export fewer of them.")

    def take_never(self) -> None:
        """Count one more rule that was looked through to its end and never came true.

        Raises:
            Refused: If there were too many: each takes seconds.
        """
        self._never -= 1
        if self._never < 0:
            raise Refused("This file has rules that never come true. Export it once more.")


def read_event(event: Event) -> Occurrences:
    """When an event begins and how long it lasts.

    Raises:
        Unclear: If it says neither plainly.
    """
    start = moment_of(event, "DTSTART")
    whole = not isinstance(start, datetime)
    zone = start.tzinfo if isinstance(start, datetime) else None
    begins = on_the_wall(start, zone)
    length = _DAY if whole else timedelta()
    if "DTEND" in event:
        length = on_the_wall(moment_of(event, "DTEND"), zone) - begins
    elif "DURATION" in event:
        length = _value(event, "DURATION")
        if not isinstance(length, timedelta):
            raise Unclear
    if whole:  # some programs let a day end on itself
        length = max(length, _DAY)
    if length < timedelta():
        raise Unclear
    return Occurrences(event, begins, length, zone, whole)


def _value(event: Event, name: str) -> Any:
    """What stands in a property: a day, a moment, a span.

    Raises:
        Unclear: If it cannot be read, is not there or stands several times.
    """
    try:
        return event[name].dt  # type: ignore[union-attr]
    except (KeyError, AttributeError, BrokenCalendarProperty):
        raise Unclear from None


def moment_of(event: Event, name: str) -> date:
    """The day or the moment of a property.

    Raises:
        Unclear: If it is none of our days.
    """
    found = _value(event, name)
    if not isinstance(found, date) or not 1900 < found.year < 2200:
        raise Unclear
    return found


def on_the_wall(found: date, zone: tzinfo | None) -> datetime:
    """A day or a moment on the wall clock of a zone, without it."""
    if not isinstance(found, datetime):
        return datetime.combine(found, time.min)
    if found.tzinfo is not None and zone is not None:
        found = found.astimezone(zone)
    return found.replace(tzinfo=None)


def times(read: Occurrences, where: ZoneInfo, today: date, steps: Steps) -> Iterator[Days]:
    """The days of each time of an event from today on."""
    if "RRULE" not in read.event and "RDATE" not in read.event:
        yield days_on(read, read.start, where)
        return
    left_out = {on_the_wall(each, read.zone) for each in _listed(read.event, "EXDATE")}
    free_days = {each.date() for each in left_out}
    found = 0
    for start in _starts(read, today, steps):
        if start in left_out or (read.whole_days and start.date() in free_days):
            continue
        days = days_on(read, start, where)
        if days.last < today:
            continue
        found += 1
        if found > _MOST_TIMES:
            raise Unclear
        yield replace(days, key=start.date().isoformat())


def _starts(read: Occurrences, today: date, steps: Steps) -> Iterator[datetime]:
    yield from {on_the_wall(each, read.zone) for each in _listed(read.event, "RDATE")} | {
        read.start
    }
    if "RRULE" not in read.event:
        return
    rule = _rule(read.event)
    end = datetime.combine(today, time.min) + timedelta(days=366 * YEARS_AHEAD)
    if end - read.start > _OLDEST:
        raise Unclear
    if rule.until is not None:
        last = on_the_wall(rule.until, read.zone)
        whole = not isinstance(rule.until, datetime)
        end = min(end, last + _DAY - timedelta(seconds=1) if whole else last)
    try:
        found = rrulestr(f"RRULE:{rule.text};UNTIL={end:%Y%m%dT%H%M%S}", dtstart=read.start)
    except (ValueError, TypeError):
        raise Unclear from None
    comes = False
    for start in islice(found, rule.most):
        comes = True
        steps.take()
        if start != read.start:
            yield start
    if not comes and read.start <= end:
        steps.take_never()
        raise Unclear


def _rule(event: Event) -> _Rule:
    """How an event comes back.

    Raises:
        Unclear: If there are several rules, or it comes back within a day.
    """
    found: Any = event["RRULE"]
    if not isinstance(found, Mapping):
        raise Unclear
    parts = {str(k): v if isinstance(v, list) else [v] for k, v in found.items()}
    (until,), (most,) = (parts.pop(name, [None])[:1] for name in ("UNTIL", "COUNT"))
    often = parts.get("FREQ", [""])[0] in _OFTEN and not _WITHIN_A_DAY & set(parts)
    if not often or not isinstance(until, date | None) or not isinstance(most, int | None):
        raise Unclear
    text = ";".join(f"{name}={','.join(map(str, values))}" for name, values in parts.items())
    return _Rule(text, most, until)


def _listed(event: Event, name: str) -> Iterator[date]:
    """All days or moments of a property that may come several times."""
    found: Any = event.get(name, [])
    for each in found if isinstance(found, list) else [found]:
        try:
            moments = [value.dt for value in each.dts]
        except (AttributeError, BrokenCalendarProperty):
            raise Unclear from None
        for moment in moments:
            first = moment[0] if isinstance(moment, tuple) else moment
            if not isinstance(first, date):
                raise Unclear
            yield first


def days_on(read: Occurrences, start: datetime, where: ZoneInfo) -> Days:
    """The local days of one time of an event."""
    end = start + read.length
    if read.whole_days:
        return Days(start.date(), (end - _DAY).date())
    zone = read.zone or where
    begins, ends = (each.replace(tzinfo=zone).astimezone(where) for each in (start, end))
    if read.length:
        ends = (end - timedelta(microseconds=1)).replace(tzinfo=zone).astimezone(where)
    return Days(begins.date(), max(begins.date(), ends.date()))
