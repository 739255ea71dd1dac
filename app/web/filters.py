"""Moments, days and numbers as people say them. Plain functions, and filters of the templates."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from flask import Flask

from app.domain import words
from app.domain.calendar import local_day

NB = "\u00a0"
_SHORT_AGO = timedelta(minutes=1)


def number(value: float, decimals: int = 2) -> str:
    """A number without trailing zeros, with a real minus sign."""
    return words.number(value, decimals).replace("-", "−")


def clock_parts(moment: datetime, zone: str) -> tuple[str, str]:
    """The tank's wall clock at a moment: ("8:41", "am")."""
    local = moment.astimezone(ZoneInfo(zone))
    return f"{local.hour % 12 or 12}:{local.minute:02}", "am" if local.hour < 12 else "pm"


def clock(moment: datetime, zone: str) -> str:
    """The tank's wall clock at a moment: "8:41 am"."""
    return NB.join(clock_parts(moment, zone))


def day_words(day: date, *, year: bool = False) -> str:
    """A day in full: "Monday 8 February", with the year when asked for."""
    text = f"{day:%A} {day.day}{NB}{day:%B}"
    return f"{text} {day.year}" if year else text


def short_day(day: date) -> str:
    """A day in short: "Mon 8 Feb"."""
    return f"{day:%a} {day.day}{NB}{day:%b}"


def when(moment: datetime, now: datetime, zone: str) -> str:
    """A moment as somebody would name it at `now`: "8:41 am", "yesterday 3:10 pm", "Fri 5 Feb"."""
    day, today = local_day(moment, zone), local_day(now, zone)
    time = clock(moment, zone)
    days = (today - day).days
    if days == 0:
        return time
    if days == 1:
        return f"yesterday {time}"
    if 0 < days < 7:
        return f"{day:%A} {time}"
    named = short_day(day)
    return f"{named}, {time}" if day.year == today.year else f"{named} {day.year}, {time}"


def span(length: timedelta) -> str:
    """A length of time in its two largest units: "2 days 16 hours", "3 minutes"."""
    minutes = int(length.total_seconds()) // 60
    days, rest = divmod(minutes, 24 * 60)
    hours, left = divmod(rest, 60)
    if days >= 7:
        return _count(days, "day")
    parts = [(days, "day"), (hours, "hour")] if days else [(hours, "hour"), (left, "minute")]
    said = [_count(n, unit) for n, unit in parts if n]
    return " ".join(said) if said else "less than a minute"


def ago(moment: datetime, now: datetime) -> str:
    """How long ago a moment was: "3 minutes ago", "just now"."""
    length = now - moment
    return "just now" if length < _SHORT_AGO else f"{span(length)} ago"


def place(zone: str) -> str:
    """A time zone as the place it is named after: "New York"."""
    return zone.rsplit("/", maxsplit=1)[-1].replace("_", " ")


def _count(number: int, unit: str) -> str:
    return f"{number}{NB}{unit}" if number == 1 else f"{number}{NB}{unit}s"


def register(app: Flask) -> None:
    """Let templates use these functions by their names."""
    for each in (number, clock, clock_parts, day_words, short_day, when, span, ago, place):
        app.add_template_filter(each)
