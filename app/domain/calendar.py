"""Local days: which day a moment belongs to, when somebody is meant to come, clock changes."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from app.domain.tank import DayKind, Site


def local_day(moment: datetime, zone: str) -> date:
    """The date on the wall calendar of `zone` at an aware moment."""
    return moment.astimezone(ZoneInfo(zone)).date()


def day_start(day: date, zone: str) -> datetime:
    """The first moment of a local day, in UTC."""
    return datetime.combine(day, time.min, ZoneInfo(zone)).astimezone(UTC)


def next_midnight(moment: datetime, zone: str) -> datetime:
    """The first moment of the next local day, in UTC."""
    return day_start(local_day(moment, zone) + timedelta(days=1), zone)


def wall_time(naive: datetime, zone: str, *, later: bool = False) -> datetime:
    """A wall-clock time of `zone` as UTC; `later` takes the second of a doubled hour.

    Raises:
        ValueError: If the clocks skipped that time.
    """
    aware = naive.replace(tzinfo=ZoneInfo(zone), fold=1 if later else 0)
    moment = aware.astimezone(UTC)
    if moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None) != naive:
        raise ValueError("The clocks went forward: that time did not exist.")
    return moment


def is_doubled(naive: datetime, zone: str) -> bool:
    """Whether a wall-clock time happens twice because the clocks go back."""
    where = ZoneInfo(zone)
    first = naive.replace(tzinfo=where, fold=0)
    second = naive.replace(tzinfo=where, fold=1)
    return first.utcoffset() != second.utcoffset() and (
        second.astimezone(UTC) > first.astimezone(UTC)
    )


@lru_cache(maxsize=1024)
def clock_change_on(day: date, zone: str) -> timedelta | None:
    """How far the clocks move within a local day (positive: forward), or None."""
    start = datetime.combine(day, time.min, ZoneInfo(zone)).utcoffset()
    end = datetime.combine(day + timedelta(days=1), time.min, ZoneInfo(zone)).utcoffset()
    if start is None or end is None or start == end:
        return None
    return end - start


def somebody_comes(site: Site, day: date) -> bool:
    """Whether somebody is meant to come on a local day: on a staff day the adults do.

    A staff day takes pupils away and brings nobody: on a weekend nobody comes, and a break or a
    holiday on the same day counts before it.
    """
    if day.weekday() not in site.present_weekdays:
        return False
    return not any(b.holds(day) for b in site.away)


def pupils_come(site: Site, day: date) -> bool:
    """Whether pupils are meant to come on a local day, or a household's children."""
    staff = any(b.holds(day) for b in site.breaks if b.kind is DayKind.STAFF)
    return not staff and somebody_comes(site, day)


def comes(site: Site, day: date, who: str) -> bool:
    """Whether those whom a plan gives a job to come on a local day: pupils for "helper"."""
    return pupils_come(site, day) if who == "helper" else somebody_comes(site, day)


def days_between(first: date, last: date) -> Iterator[date]:
    """The days after `first` up to and including `last`."""
    for offset in range(1, (last - first).days + 1):
        yield first + timedelta(days=offset)


def present_days_since(site: Site, first: date, last: date) -> int:
    """How many days on which somebody comes lie after `first`, up to `last` included."""
    return sum(somebody_comes(site, day) for day in days_between(first, last))
