"""Dates and times as loggers write them: ISO, month first or day first, with or without zone."""

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import is_doubled, wall_time

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_SHORT = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})")
_TIME = re.compile(
    r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([ap])?\.?m?\.?\s*(Z|[+-]\d{2}:?\d{2})?",
    re.IGNORECASE,
)
_HOUR = re.compile(r"\d{1,2}")
_HOUR_AND_MINUTE = re.compile(r"(\d{1,2})(\d{2})")
_OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+-])\s*(\d{1,2})(?::?(\d{2}))?", re.IGNORECASE)
_CENTURY_TURNS: Final = 70


def zone_named(text: str) -> ZoneInfo | timezone:
    """A time zone by its name, or a fixed offset such as "-05:00", "UTC+2" or "UTC".

    Raises:
        ValueError: If there is none.
    """
    bare = text.strip()
    if bare.upper() in {"UTC", "GMT", "Z"}:
        return UTC
    match = _OFFSET.fullmatch(bare)
    if match:
        return _fixed(match)
    try:
        return ZoneInfo(bare)
    except (KeyError, ValueError, OSError):
        raise ValueError(f"There is no time zone called {bare[:40]}.") from None


def _fixed(match: re.Match[str]) -> timezone:
    ahead = timedelta(hours=int(match[2]), minutes=int(match[3] or 0))
    if ahead > timedelta(hours=14):
        raise ValueError(f"There is no offset {match[0]}.")
    return timezone(ahead if match[1] == "+" else -ahead)


def day_first_in(dates: Iterable[str]) -> bool | None:
    """Whether short dates begin with the day; None where none of them tells.

    Dates with dots (3.10.2016) begin with the day wherever they are written.
    """
    for text in dates:
        match = _SHORT.match(text.strip())
        if match is None:
            continue
        if match[2] == "." or int(match[1]) > 12:
            return True
        if int(match[3]) > 12:
            return False
    return None


def is_short_date(text: str) -> bool:
    """Whether a text begins with a date whose order of day and month has to be known."""
    return _SHORT.match(text.strip()) is not None


def is_same_both_ways(text: str) -> bool:
    """Whether a short date is one day in either order, such as 4/4/2026."""
    match = _SHORT.match(text.strip())
    return match is not None and int(match[1]) == int(match[3])


def is_date(text: str) -> bool:
    """Whether a text begins with a date, in whatever order."""
    bare = text.strip()
    return (_ISO.match(bare) or _SHORT.match(bare)) is not None


def has_no_time(text: str) -> bool:
    """Whether a text is a date and nothing more."""
    bare = text.strip()
    found = _ISO.match(bare) or _SHORT.match(bare)
    return found is not None and not bare[found.end() :].strip(" T,")


def carries_offset(text: str) -> bool:
    """Whether a text names its own offset from UTC."""
    match = _TIME.search(text)
    return bool(match and match[5])


def moment_of(
    text: str,
    hour: str | None,
    zone: ZoneInfo | timezone,
    *,
    day_first: bool,
    after: datetime | None = None,
) -> datetime:
    """The moment that a row names, in UTC.

    Args:
        text: Date and time, or the date alone where `hour` is given.
        hour: The time in a column of its own: "13:00", "1:00 PM", "13" or "1300"; else None.
        zone: The logger's clock, where the text names no offset.
        day_first: How short dates are meant.
        after: The moment of the row before: of a doubled hour the first time is taken, unless
            it does not come after this.

    Raises:
        ValueError: With the reason, in words.
    """
    found = _ISO.match(text) or _SHORT.match(text)
    if found is None:
        raise ValueError(f"{text[:40]} is no date")
    day = _day(found, day_first=day_first)
    rest = hour.strip() if hour is not None else text[found.end() :].strip(" T,")
    clock, offset, days = _clock(rest, is_hour=hour is not None)
    naive = datetime.combine(day, clock) + timedelta(days=days)
    if offset is not None:
        return naive.replace(tzinfo=offset).astimezone(UTC)
    if isinstance(zone, timezone):
        return naive.replace(tzinfo=zone).astimezone(UTC)
    return _on_wall(naive, zone.key, after)


def _on_wall(naive: datetime, zone: str, after: datetime | None) -> datetime:
    try:
        moment = wall_time(naive, zone)
    except ValueError:
        raise ValueError(
            f"{naive:%Y-%m-%d %H:%M} did not exist: the clocks went forward. "
            "Does the logger keep one offset all year?"
        ) from None
    if after is not None and moment <= after and is_doubled(naive, zone):
        return wall_time(naive, zone, later=True)
    return moment


def _day(match: re.Match[str], *, day_first: bool) -> date:
    if match.re is _ISO:
        year, month, day = (int(part) for part in match.groups())
    else:
        first, second, year = int(match[1]), int(match[3]), int(match[4])
        day, month = (first, second) if day_first or match[2] == "." else (second, first)
        if len(match[4]) == 2:
            year += 1900 if year >= _CENTURY_TURNS else 2000
    try:
        return date(year, month, day)
    except ValueError:
        raise ValueError(f"{match[0]} is no date") from None


def _clock(text: str, *, is_hour: bool) -> tuple[time, timezone | None, int]:
    """The time of day, its offset if it names one, and days to add (24:00 is the next day)."""
    if not text and not is_hour:
        raise ValueError("there is no time of day")
    bare = _HOUR.fullmatch(text) or _HOUR_AND_MINUTE.fullmatch(text) if is_hour else None
    match = None if bare else _TIME.fullmatch(text)
    if bare:
        hour, minute, second = int(text[:-2] or 0) if len(text) > 2 else int(text), 0, 0
        minute = int(text[-2:]) if len(text) > 2 else 0
        offset = None
    elif match:
        hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
        if match[4]:
            if not 1 <= hour <= 12:
                raise ValueError(f"{text[:20]} is no time of day")
            hour = hour % 12 + (12 if match[4].lower() == "p" else 0)
        offset = _offset(match[5])
    else:
        raise ValueError(f"{text[:20]} is no time of day" if text else "there is no time of day")
    if (hour, minute, second) == (24, 0, 0):
        return time(0), offset, 1
    try:
        return time(hour, minute, second), offset, 0
    except ValueError:
        raise ValueError(f"{text[:20]} is no time of day") from None


def _offset(text: str | None) -> timezone | None:
    match = _OFFSET.fullmatch(text) if text else None
    if match:
        return _fixed(match)
    return UTC if text else None
