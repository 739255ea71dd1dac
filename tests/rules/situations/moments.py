"""When something happened, in the words of the tables: "2 days ago", "yesterday at 8:30"."""

import re
from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from tests.situations import NEW_YORK, at

WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_NUMBERS = r"\d+(?:\.\d+)?(?:, \d+(?:\.\d+)?)*(?: and \d+(?:\.\d+)?)?"
_CLOCK = r"\d{1,2}:\d\d"
WHEN: Final = (
    rf"(?:now|(?:{_NUMBERS}) (?:minutes?|hours?|days?) ago(?: at {_CLOCK})?"
    rf"|(?:today|yesterday|{'|'.join(WEEKDAYS)}) at {_CLOCK}"
    rf"|on each of the last \d+ days at {_CLOCK})"
)
_ONE = timedelta(days=1)


def moment_of(day_and_clock: str) -> datetime:
    """The present moment of a row: "Friday 12:00" of one week, or "2026-11-01 9:00"."""
    day, clock = day_and_clock.split()
    if day in WEEKDAYS:
        day = f"2027-02-{8 + WEEKDAYS.index(day):02d}"
    return at(f"{day} {clock.zfill(5)}")


def wall(moment: datetime) -> str:
    """A moment as it stands on the wall clock and the calendar of the tank."""
    return moment.astimezone(ZoneInfo(NEW_YORK)).strftime("%Y-%m-%d %H:%M")


def moments(when: str, now: datetime) -> list[datetime]:
    """All moments that a phrase of time names, in UTC.

    Raises:
        ValueError: If the phrase is none that the tables know.
    """
    if when == "now":
        return [now]
    each = re.fullmatch(rf"on each of the last (\d+) days at ({_CLOCK})", when)
    if each:
        return [_on(now, days, each[2]) for days in range(int(each[1]), 0, -1)]
    ago = re.fullmatch(rf"({_NUMBERS}) (minute|hour|day)s? ago(?: at ({_CLOCK}))?", when)
    if ago:
        return [_ago(now, float(n), ago[2], ago[3]) for n in re.split(r", | and ", ago[1])]
    day, _, clock = when.partition(" at ")
    if day in WEEKDAYS:
        back = (now.astimezone(ZoneInfo(NEW_YORK)).weekday() - WEEKDAYS.index(day)) % 7
        return [_on(now, back, clock)]
    if day in {"today", "yesterday"}:
        return [_on(now, int(day == "yesterday"), clock)]
    raise ValueError(f"“{when}” is no time that the tables know.")


def _ago(now: datetime, number: float, unit: str, clock: str | None) -> datetime:
    if clock is not None:
        return _on(now, int(number), clock)
    return now - number * timedelta(**{f"{unit}s": 1})


def _on(now: datetime, days: int, clock: str) -> datetime:
    """A time on the wall clock of a day so many days before today."""
    hours, minutes = (int(part) for part in clock.split(":"))
    local = now.astimezone(ZoneInfo(NEW_YORK)) - days * _ONE
    return local.replace(hour=hours, minute=minutes).astimezone(UTC)
