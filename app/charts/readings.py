"""The points of a series as columns of numbers, and the refusal of what cannot be drawn."""

import math
from dataclasses import dataclass
from datetime import datetime
from operator import attrgetter
from typing import Final

import numpy as np

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
        points: The points themselves.
        seconds: Seconds since the start of the chart.
        low: Least possible value in the shown unit.
        high: Greatest possible value; infinite where the card's last step says "or more".
        kits: The kit's number, `NO_KIT` where none is named.
    """

    points: tuple[Point, ...]
    seconds: FloatArray
    low: FloatArray
    high: FloatArray
    kits: IntArray

    def __len__(self) -> int:
        """How many readings."""
        return len(self.points)

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
        _columns(series, tuple(meters), read, read),
        _columns(series, tuple(cards), ranges[:, 0], ranges[:, 1]),
    )


def together(meters: Readings, cards: Readings) -> tuple[Point, ...]:
    """The points of both sorts, ascending in time."""
    return tuple(sorted((*meters.points, *cards.points), key=_at))


def _columns(
    series: Series, points: tuple[Point, ...], low: FloatArray, high: FloatArray
) -> Readings:
    return Readings(
        points,
        np.array([(p.at - series.start).total_seconds() for p in points], dtype=np.float64),
        low,
        high,
        np.array([NO_KIT if p.kit_id is None else p.kit_id for p in points], dtype=np.int64),
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
    times += [each.at for each in series.ahead]
    times += [m.at for m in series.marks]
    times += [moment for s in series.spans for moment in (s.start, s.end)]
    return times if series.now is None else [*times, series.now]
