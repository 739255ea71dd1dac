"""Local days along the foot of a chart, and days and times in words."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import local_day
from app.domain.wording import clock

WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip

MOST_TICKS: Final = 8


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on the time axis and what is written there."""

    at: datetime
    label: str


def day_words(day: date, *, year: bool = False) -> str:
    """A day for a table or a sentence: "Mon 9 Nov", with the year if asked."""
    words = f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1][:3]}"
    return f"{words} {day.year}" if year else words


def clock_words(moment: datetime, zone: str) -> str:
    """The wall-clock time, "8:40 am"; the second of a doubled hour says so."""
    local, words = moment.astimezone(ZoneInfo(zone)), clock(moment, zone)
    doubled = local.fold == 1 and local.replace(fold=0).utcoffset() != local.utcoffset()
    return f"{words} (second time)" if doubled else words


def span_words(start: datetime, end: datetime, zone: str) -> str:
    """The days from start to end: "6 November to 8 February", with years if they differ."""
    first = local_day(start, zone)
    last = max(first, local_day(end - timedelta(microseconds=1), zone))
    years = first.year != last.year and (last - first).days > 300
    words = [
        f"{day.day} {MONTHS[day.month - 1]}" + (f" {day.year}" if years else "")
        for day in (first, last)
    ]
    return words[0] if words[0] == words[1] else " to ".join(words)


def ticks(start: datetime, end: datetime, zone: str) -> tuple[Tick, ...]:
    """At most `MOST_TICKS` ticks at local midnights (or, within two days, at whole hours).

    The distance between two of them follows the clock on the wall, so a day on which the
    clocks change is 23 or 25 hours long.
    """
    first, last = local_day(start, zone), local_day(end, zone)
    length = (last - first).days
    if length <= 2:
        chosen = _hours(first, last, zone)
    elif length <= 14 * MOST_TICKS // 2:
        step = next(s for s in (1, 2, 7, 14) if length / s <= MOST_TICKS or s == 14)
        chosen = _days(first, last, step, zone)
    else:
        months = length / 30.4
        steps = (1, 2, 3, 6, *(12 * n for n in (1, 2, 5, 10, 20, 50)))
        step = next(s for s in steps if months / s <= MOST_TICKS - 1 or s == steps[-1])
        chosen = _months(first, last, step, zone)
    return tuple(t for t in chosen if start <= t.at <= end)


def _midnight(day: date, zone: str, hour: int = 0) -> datetime:
    return datetime.combine(day, time(hour), ZoneInfo(zone)).astimezone(UTC)


def _hours(first: date, last: date, zone: str) -> Iterator[Tick]:
    for offset in range((last - first).days + 1):
        day = first + timedelta(days=offset)
        for hour in (0, 6, 12, 18) if (last - first).days < 2 else (0, 12):
            label = f"{WEEKDAYS[day.weekday()]} {day.day}" if hour == 0 else f"{hour}:00"
            yield Tick(_midnight(day, zone, hour), label)


def _days(first: date, last: date, step: int, zone: str) -> Iterator[Tick]:
    """Each day, or each so-manieth from a Monday so that the same days are named every time."""
    for offset in range((last - first).days + 1):
        day = first + timedelta(days=offset)
        if (day.toordinal() - 1) % step == 0:  # ordinal 1 was a Monday
            label = (
                f"{WEEKDAYS[day.weekday()]} {day.day}"
                if step < 7
                else f"{day.day} {MONTHS[day.month - 1][:3]}"
            )
            yield Tick(_midnight(day, zone), label)


def _months(first: date, last: date, step: int, zone: str) -> Iterator[Tick]:
    with_year = (last - first).days > 366
    for month in range(first.year * 12 + first.month - 1, last.year * 12 + last.month):
        if month % step:
            continue
        day = date(month // 12, month % 12 + 1, 1)
        name = MONTHS[day.month - 1][:3]
        label = f"{name} {day.year}" if with_year else f"1 {name}"
        yield Tick(_midnight(day, zone), str(day.year) if step >= 12 else label)
