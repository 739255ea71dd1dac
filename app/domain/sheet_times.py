"""The moments of a keeper's own table: dates with or without a time, on the tank's wall clock."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from itertools import islice
from zoneinfo import ZoneInfo

from app.domain import logger_times
from app.domain.calendar import clock_change_on, local_day

EARLIEST = date(1970, 1, 1)
_LOOKED_AT = 5000


def day_first_of(dates: Iterable[str]) -> bool | None:
    """Whether short dates begin with the day; None where the first thousands do not tell."""
    found = list(islice(dates, 1))
    if not found or not logger_times.is_short_date(found[0]):
        return None
    return logger_times.day_first_in((*found, *islice(dates, _LOOKED_AT)))


def asks_for_order(dates: Iterable[str]) -> str:
    """The first date that can be read both ways while none tells how, or "".

    One such as 4/4/2026 is named only where there is no better one: it shows nothing to choose.
    """
    found = list(islice(dates, _LOOKED_AT))
    if logger_times.day_first_in(found) is not None:
        return ""
    short = [text for text in found if logger_times.is_short_date(text)]
    return next(
        (text for text in short if not logger_times.is_same_both_ways(text)), "".join(short[:1])
    )


class WallClock:
    """Reads moments in the order of a file; days with one offset are reckoned once."""

    def __init__(self, zone: str, *, day_first: bool | None, noon: time) -> None:
        self._name = zone
        self._zone = ZoneInfo(zone)
        self._day_first = day_first
        self._noon = f"{noon:%H:%M}"
        self._offsets: dict[date, timedelta | None] = {}
        self._before: datetime | None = None

    def moment(self, text: str, hour: str | None) -> tuple[datetime, date]:
        """A moment in UTC and its local day.

        Args:
            text: The cell of the date, with or without a time.
            hour: The cell of the time, or None where there is no such column.

        Raises:
            ValueError: With the reason, in words.
        """
        plain = f"{text} {hour}" if hour else text
        quick = self._quick(plain)
        at = self._slow(text, hour) if quick is None else quick[0]
        day = local_day(at, self._name) if quick is None else quick[1]
        if day < EARLIEST:
            raise ValueError(f"{text[:40]} is before {EARLIEST.year}")
        self._before = at
        return at, day

    def _quick(self, text: str) -> tuple[datetime, date] | None:
        """A plain ISO moment on a day without a clock change; None for all others."""
        if len(text) not in {16, 19} or text[4:5] != "-" or text[13:14] != ":":
            return None
        try:
            naive = datetime.fromisoformat(text)
        except ValueError:
            return None
        day = naive.date()
        if day not in self._offsets:
            still = clock_change_on(day, self._name) is None
            self._offsets[day] = naive.replace(tzinfo=self._zone).utcoffset() if still else None
        offset = self._offsets[day]
        return None if offset is None else ((naive - offset).replace(tzinfo=UTC), day)

    def _slow(self, text: str, hour: str | None) -> datetime:
        if self._day_first is None and logger_times.is_short_date(text):
            raise ValueError(f"{text[:40]} may begin with the month or the day: choose which")
        if not hour and logger_times.has_no_time(text):
            hour = self._noon
        return logger_times.moment_of(
            text,
            hour or None,
            self._zone,
            day_first=bool(self._day_first),
            after=self._before,
        )
