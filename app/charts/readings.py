"""The points of a series as columns of numbers, and the refusal of what cannot be drawn."""

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from operator import attrgetter
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from app.charts.reduce import FloatArray, IntArray
from app.domain.series import Band, Point, Series

# Far outside what any form accepts; beyond it the sums of an axis leave the numbers
LARGEST: Final = 1e9
YEARS: Final = range(1900, 2200)

NO_KIT: Final = -1

_at: Final = attrgetter("at")


class CannotDrawError(ValueError):
    """The series holds a time or a number that no axis can carry."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings of one sort, as columns of one length, ascending in time.

    Attributes:
        points: The points themselves; empty where readings of loggers are among them.
        start: The start of the chart.
        seconds: Seconds since then.
        low: Least possible value in the shown unit.
        high: Greatest possible value; infinite where the card's last step says "or more".
        kits: The kit's number, `NO_KIT` where none is named.
        counts: How many readings each row stands for; see `Logged`.
        totals: Their sum.
    """

    points: tuple[Point, ...]
    start: datetime
    seconds: FloatArray
    low: FloatArray
    high: FloatArray
    kits: IntArray
    counts: IntArray
    totals: FloatArray

    def __len__(self) -> int:
        """How many rows."""
        return int(self.seconds.size)

    @property
    def count(self) -> int:
        """How many readings."""
        return int(self.counts.sum())

    @property
    def is_daily(self) -> bool:
        """Whether some rows stand for all readings of a day."""
        return bool((self.counts > 1).any())

    def at(self, index: int) -> datetime:
        """The moment of a row."""
        return self.start + timedelta(seconds=float(self.seconds[index]))

    def kit_changes(self) -> IntArray:
        """Indices of the first reading with each other kit."""
        return (np.flatnonzero(np.diff(self.kits)) + 1).astype(np.int64)


def is_card(point: Point) -> bool:
    """Whether a reading is a range of possible values rather than one number."""
    return point.low is not None or point.high is not None or point.open_top


def possible(point: Point) -> tuple[float, float]:
    """Least and greatest value the reading can stand for."""
    if not is_card(point):
        value = float("nan") if point.value is None else point.value
        return value, value
    step = point.value
    low = point.low if point.low is not None else (0.0 if step is None else step)
    if point.open_top or point.high is None:
        return low, math.inf if point.open_top or step is None else max(low, step)
    return min(low, point.high), max(low, point.high)


def columns(series: Series) -> tuple[Readings, Readings]:
    """The meter readings and the card readings of a series that `check` let through.

    Those between start and end, ascending in time; a value not taken is None or NaN.
    """
    start, end = series.start, series.end
    meters: list[Point] = []
    cards: list[Point] = []
    for point in sorted(series.points, key=_at):
        if not start <= point.at <= end:
            continue
        if is_card(point):
            cards.append(point)
        elif point.value is not None and not math.isnan(point.value):
            meters.append(point)
    read = np.array([p.value for p in meters], dtype=np.float64)
    ranges = np.array([possible(p) for p in cards], dtype=np.float64).reshape(-1, 2)
    return (
        _with_logged(_columns(series, tuple(meters), read, read), series),
        _columns(series, tuple(cards), ranges[:, 0], ranges[:, 1]),
    )


def together(meters: Readings, cards: Readings) -> tuple[Point, ...]:
    """The points of both sorts, ascending in time."""
    return tuple(sorted((*meters.points, *cards.points), key=_at))


def card_is_last(meters: Readings, cards: Readings) -> bool:
    """Whether the newest of all readings, of which there is one, is of a card."""
    return not len(meters) or (len(cards) > 0 and bool(cards.seconds[-1] >= meters.seconds[-1]))


def joined(one: Readings, other: Readings) -> Readings:
    """The rows of both, one after the other; both count from the same start."""
    named = ("seconds", "low", "high", "kits", "counts", "totals")
    both = {n: np.concatenate((getattr(one, n), getattr(other, n))) for n in named}
    return Readings(points=(*one.points, *other.points), start=one.start, **both)


def _columns(
    series: Series, points: tuple[Point, ...], low: FloatArray, high: FloatArray
) -> Readings:
    return Readings(
        points,
        series.start,
        np.array([(p.at - series.start).total_seconds() for p in points], dtype=np.float64),
        low,
        high,
        np.array([NO_KIT if p.kit_id is None else p.kit_id for p in points], dtype=np.int64),
        np.ones(len(points), dtype=np.int64),
        low,
    )


def _with_logged(typed: Readings, series: Series) -> Readings:
    """What was typed and what loggers wrote in one, ascending in time."""
    logged = series.logged
    if logged is None:
        return typed
    since = logged.seconds - series.start.timestamp()
    inside = (since >= 0) & (since <= (series.end - series.start).total_seconds())
    seconds = np.concatenate((typed.seconds, since[inside]))
    order = np.argsort(seconds, kind="stable")

    def both(one: NDArray[Any], other: NDArray[Any]) -> NDArray[Any]:
        return np.concatenate((one, other[inside]))[order]

    values = both(typed.low, logged.values)
    no_kits = np.full(len(logged), NO_KIT, dtype=np.int64)
    return Readings(
        (),
        series.start,
        seconds[order],
        values,
        values,
        both(typed.kits, no_kits),
        both(typed.counts, logged.counts),
        both(typed.totals, logged.totals),
    )


def check(series: Series) -> None:
    """Refuse what would break the axes.

    Raises:
        CannotDrawError: If a number is infinite or above `LARGEST`, a year outside `YEARS`, or the
            end not after the start.
    """
    if series.end <= series.start:
        raise CannotDrawError("the chart ends before it starts")
    for moment in _times(series):
        if moment.year not in YEARS:
            raise CannotDrawError(f"no axis for the year {moment.year}")
    numbers = [n for p in series.points for n in (p.value, p.low, p.high) if n is not None]
    for band in series.bands:
        numbers += [edge for edge in edges(band) if edge is not None]
    numbers += [n for each in series.ahead for n in (each.low, each.best, each.high)]
    if series.logged is not None and len(series.logged):
        numbers += [float(np.abs(series.logged.values).max())]
    if any(abs(n) > LARGEST for n in numbers):
        raise CannotDrawError("a number too large to draw")


def edges(band: Band) -> tuple[float | None, float | None]:
    """Lower and upper edge of a band; one that is missing or not a number is None."""
    low, high = (
        None if edge is None or math.isnan(edge) else edge for edge in (band.low, band.high)
    )
    return low, high


def _times(series: Series) -> list[datetime]:
    times = [series.start, series.end, *(p.at for p in series.points)]
    if series.logged is not None and len(series.logged):
        first, last = series.logged.seconds[[0, -1]]
        times += [datetime.fromtimestamp(float(edge), UTC) for edge in (first, last)]
    times += [each.at for each in series.ahead]
    times += [m.at for m in series.marks]
    times += [moment for s in series.spans for moment in (s.start, s.end)]
    return times if series.now is None else [*times, series.now]
