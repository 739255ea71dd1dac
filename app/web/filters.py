"""Moments and days as people say them, beside `domain.wording`; also filters of the templates."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from flask import Flask

from app.domain import wording

_JUST_NOW = timedelta(minutes=1)
_DAYS_ONLY_FROM = timedelta(days=3)
_MONTH = 30.44
_YEAR = 365.25


def clock_parts(moment: datetime, zone: str) -> tuple[str, str]:
    """The tank's wall clock at a moment, in two parts: ("8:41", "am")."""
    hour = moment.astimezone(ZoneInfo(zone)).hour
    return wording.bare_clock(moment, zone), "am" if hour < 12 else "pm"


def short_day(day: date) -> str:
    """A day in short: "Mon 8 Feb"."""
    return f"{day:%a} {day.day} {day:%b}"


def span(length: timedelta) -> str:
    """A length of time as long as it helps: "4 minutes", "2 days 16 h 55 min", "17 days"."""
    if length >= _DAYS_ONLY_FROM:
        return wording.count(length.days, "day", "days")
    return wording.duration(length)


def ago(moment: datetime, now: datetime) -> str:
    """How long ago a moment was: "4 minutes ago", "just now"."""
    length = now - moment
    return "just now" if length < _JUST_NOW else f"{span(length)} ago"


def age(length: timedelta) -> str:
    """How old a thing is: "12 days", "5 months", "2 years"."""
    if length.days < 2 * _MONTH:
        return wording.count(length.days, "day", "days")
    if length.days < 2 * _YEAR:
        return wording.count(int(length.days / _MONTH), "month", "months")
    return wording.count(int(length.days / _YEAR), "year", "years")


def lasts(days: float, until: date | None) -> str:
    """For how long something lasts: "about 9 days, to Sunday 14 February 2027"."""
    words = f"about {age(timedelta(days=round(days)))}"
    return words if until is None else f"{words}, to {wording.dated(until)}"


def place(zone: str) -> str:
    """A time zone as the place it is named after: "New York"."""
    return zone.rsplit("/", maxsplit=1)[-1].replace("_", " ")


FILTERS = {
    "clock": wording.clock,
    "clock_parts": clock_parts,
    "day": wording.full_day,
    "dated": wording.dated,
    "short_day": short_day,
    "when": wording.when_text,
    "span": span,
    "ago": ago,
    "age": age,
    "place": place,
}


def register(app: Flask) -> None:
    """Let templates use these functions."""
    app.jinja_env.filters.update(FILTERS)
